// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "test_readings.h"

namespace fairhole {
namespace {

constexpr double kWorkedByHandMm = 1e-6;  // the figures below have seven digits

std::vector<double> sigmas_mm(const std::string& text) {
  std::vector<double> out;
  for (const Reading& reading : test::must_parse(text).rows) out.push_back(reading.sigma_mm);
  return out;
}

/// Rounding to a step s has the variance s^2 / 12 (JCGM 100:2008, F.2.2.1: u = 0.29 s); that of laying the
/// tape over a centre adds to it.
TEST(ReadingSigma, IsOfTheStepAndOfCentring) {
  const std::string header = "kind,from,to,reading,sigma\n";
  const std::vector<double> steps = sigmas_mm("# centring: 0\n" + header +
                                              "# resolution: 1\nalong,A,,10,\n"
                                              "# resolution: 0.5\nacross,A,,10,\n"
                                              "# resolution: 2\n# centring: 0.6\ncentres,A,B,10,\n");
  ASSERT_EQ(steps.size(), 3U);
  EXPECT_NEAR(steps[0], 0.2886751, kWorkedByHandMm);  // 1 / sqrt(12)
  EXPECT_NEAR(steps[1], 0.1443376, kWorkedByHandMm);
  EXPECT_NEAR(steps[2], 0.8326664, kWorkedByHandMm);  // sqrt(1/3 + 0.36)
}

TEST(ReadingSigma, HasItsDefaults) {
  const std::vector<double> mm = sigmas_mm(
      "kind,from,to,reading,sigma\nalong,A,,10,\nalong,B,,10,0.4\n"
      "dia,A,,20,\nknown-x,C,,5,\n");
  ASSERT_EQ(mm.size(), 4U);
  EXPECT_NEAR(mm[0], 0.2886751, kWorkedByHandMm);  // half a millimetre and 0.25 mm: sqrt(1/48 + 1/16)
  EXPECT_EQ(mm[1], 0.4);                           // the row's own
  EXPECT_EQ(mm[2], 0.1);                           // the caliper's
  EXPECT_EQ(mm[3], 0.0);
  const std::vector<double> inch = sigmas_mm("# unit: in\nkind,from,to,reading\nalong,A,,1 3/16\n");
  ASSERT_EQ(inch.size(), 1U);
  EXPECT_NEAR(inch[0], 0.3391213, kWorkedByHandMm);  // 1/32 in and 0.25 mm: sqrt(0.79375^2 / 12 + 1/16)
}

}  // namespace
}  // namespace fairhole

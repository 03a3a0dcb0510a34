// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "test_readings.h"

namespace fairhole {
namespace {

std::vector<int> rejected_rows(const SurveyResult& r) {
  std::vector<int> out;
  for (const ReadingVerdict& v : r.readings) {
    if (v.rejected) out.push_back(v.row);
  }
  return out;
}

TEST(Contradiction, TwoBlundersThatHideEachOtherAreFound) {
  // D lies at 100 along. Its ordinate and its distance from C both say 106 and support each other; three
  // distances say 100.
  const std::string rows =
      "along,A,,100,0.3,\nacross,A,,100,0.3,\nalong,B,,400,0.3,\nacross,B,,100,0.3,\n"
      "along,C,,400,0.3,\nacross,C,,400,0.3,\nalong,D,,106,0.3,\nacross,D,,400,0.3,\n"
      "along,E,,400,0.3,\nacross,E,,250,0.3,\ncentres,C,D,294,0.3,\ncentres,B,D,424.264,0.3,\n"
      "centres,D,E,335.410,0.3,\nalong,F,,300,0.3,\nacross,F,,400,0.3,\ncentres,D,F,200,0.3,\n"
      "centres,B,C,300,0.3,\ncentres,B,E,150,0.3,\ncentres,C,F,100,0.3,\ncentres,A,B,300,0.3,\n";
  const SurveyResult r = test::must_adjust(test::must_parse(test::with_header(rows)));
  EXPECT_EQ(rejected_rows(r), (std::vector<int>{7, 11}));
  EXPECT_GT(r.chi2_p, 0.99);
}

TEST(Contradiction, AFootTooMuchInAShortDistanceIsSetAside) {
  const std::string rows =
      "along,A,,100,0.3,\nacross,A,,100,0.3,\nalong,B,,160,0.3,\nacross,B,,100,0.3,\n"
      "along,C,,100,0.3,\nacross,C,,160,0.3,\ncentres,A,B,364.8,0.3,\ncentres,A,C,60,0.3,\n"
      "centres,B,C,84.853,0.3,\nalong,A,,100,0.3,\nalong,B,,160,0.3,\n";
  const SurveyResult r = test::must_adjust(test::must_parse(test::with_header(rows)));
  EXPECT_EQ(rejected_rows(r), (std::vector<int>{7}));
}

}  // namespace
}  // namespace fairhole

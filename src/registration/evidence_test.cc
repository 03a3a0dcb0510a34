// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "evidence.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "test_cases.h"

namespace fairhole {
namespace {

using test::exact_face;

/// The priors as docs/registration.md states them, integrated by the midpoint rule: the share missing has
/// density 3 (1 - m)^2, the extra holes are a Poisson process of density r N / area with r exponential, mean
/// 0.2.
double by_midpoints(double nominal, double found, double extra, double area_mm2) {
  constexpr int kSteps = 200000;
  constexpr double kMostShare = 10.0;  // e^-50 of the exponential lies beyond
  double missing_sum = 0.0, extra_sum = 0.0;
  for (int k = 0; k < kSteps; ++k) {
    const double m = (k + 0.5) / kSteps, r = kMostShare * m;
    missing_sum += 3.0 * (1.0 - m) * (1.0 - m) * std::pow(m, nominal - found) * std::pow(1.0 - m, found);
    extra_sum += 5.0 * std::exp(-5.0 * r - r * nominal) * std::pow(r * nominal / area_mm2, extra);
  }
  return std::log(missing_sum / kSteps) + std::log(kMostShare * extra_sum / kSteps);
}

TEST(HoleOdds, AreThePriorsAsStatedIntegrated) {
  constexpr double kMidpoint = 1e-6;  // relative error of the rule at these steps
  PointSets points;
  for (int k = 0; k < 9; ++k) points.nominal_mm.emplace_back(76.2 * k, 0.0);
  points.measured_mm.assign(points.nominal_mm.begin(), points.nominal_mm.begin() + 7);
  const double area_mm2 = (8 * 76.2 + 100.0) * 100.0;  // 50 mm of metal round the outermost holes
  const HoleOdds odds(points, std::nullopt);
  for (const std::size_t found : {2U, 4U, 7U}) {
    const auto pairs = static_cast<double>(found);
    EXPECT_NEAR(odds.log_probability(found), by_midpoints(9.0, pairs, 7.0 - pairs, area_mm2), kMidpoint);
    EXPECT_NEAR(HoleOdds(points, 2e6).log_probability(found), by_midpoints(9.0, pairs, 7.0 - pairs, 2e6),
                kMidpoint);
  }
  EXPECT_NEAR(odds.log_gain(4), odds.log_probability(4) - odds.log_probability(3), 1e-12);
}

/// Five holes hit the drawing to a tenth of a millimetre, a sixth lies 4 mm beside a drawn hole: were it
/// true, the others could hardly hit so well. It widens the scatter until it fits when it is let in first.
TEST(Registrar, LeavesOutAHoleThatOthersSpeakAgainst) {
  Pattern pattern;
  const std::vector<Eigen::Vector2d> drawn_mm = {{0, 0},    {110, 0},  {0, 150},
                                                 {230, 40}, {90, 210}, {300, 190}};
  for (const Eigen::Vector2d& p : drawn_mm)
    pattern.push_back({"T" + std::to_string(pattern.size() + 1), p, std::nullopt});
  std::vector<Eigen::Vector2d> measured_mm = drawn_mm;
  for (std::size_t k = 0; k < measured_mm.size(); ++k)
    measured_mm[k] += 0.05 * Eigen::Vector2d(k % 2 == 0 ? 1.0 : -1.0, k % 3 == 0 ? 1.0 : -0.5);
  measured_mm.back() += Eigen::Vector2d(2.8, -2.8);
  const auto got = Registrar{}(pattern, exact_face(measured_mm));
  ASSERT_TRUE(got);
  EXPECT_THAT(got->extra, testing::ElementsAre("M6"));
  EXPECT_THAT(got->missing, testing::ElementsAre("T6"));
  EXPECT_LT(got->scatter_mm, 1.0);
}

}  // namespace
}  // namespace fairhole

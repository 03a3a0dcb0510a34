// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "crescent.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "support/statistics.h"

namespace fairhole::report {
namespace {

using std::numbers::pi;

/// Area two discs share: the textbook's lens of two circular segments.
double lens_area(double r, double s, double d) {
  if (d >= r + s) return 0.0;
  if (d <= std::abs(r - s)) return pi * std::min(r, s) * std::min(r, s);
  const double a = std::acos((d * d + r * r - s * s) / (2 * d * r));
  const double b = std::acos((d * d + s * s - r * r) / (2 * d * s));
  return r * r * (a - 0.5 * std::sin(2 * a)) + s * s * (b - 0.5 * std::sin(2 * b));
}

double hatched_area(const Region& region, double reach_mm, double spacing_mm, double angle_rad = 0.25 * pi) {
  double length = 0.0;
  for (const HatchLine& line : hatch(region, Eigen::Vector2d::Zero(), reach_mm, angle_rad, spacing_mm)) {
    length += (line.b_mm - line.a_mm).norm();
  }
  return length * spacing_mm;
}

bool inside(const Rim& rim, const Eigen::Vector2d& p_mm) {
  const double length2 = rim.half_axis_mm.squaredNorm();
  const Eigen::Vector2d off = p_mm - rim.centre_mm;
  const double t = length2 > 0.0 ? std::clamp(off.dot(rim.half_axis_mm) / length2, -1.0, 1.0) : 0.0;
  return (off - t * rim.half_axis_mm).norm() < rim.radius_mm;
}

Rim disc(double x_mm, double y_mm, double radius_mm) {
  return {{x_mm, y_mm}, radius_mm, Eigen::Vector2d::Zero()};
}

constexpr double kSpacingMm = 0.002;
// The midpoint rule on a half circle's end loses about 0.6 r^(1/2) h^(3/2) a disc: 3e-4 mm2 for r = 12 at h =
// 0.002.
constexpr double kAreaTolMm2 = 2e-3;

TEST(Crescent, LeftOutsideHasTheAreaOfTheLune) {
  const double offsets[] = {0.0, 0.4, 3.0, 15.0, 30.0};
  for (const double d : offsets) {
    SCOPED_TRACE(d);
    const double lune = pi * 10.0 * 10.0 - lens_area(11.0, 10.0, d);
    EXPECT_NEAR(hatched_area(left_outside({disc(d, 0, 10.0)}, disc(0, 0, 11.0)), 45.0, kSpacingMm), lune,
                kAreaTolMm2);
  }
}

TEST(Crescent, TakenAwayHasTheAreaOfTheLune) {
  const double lune = pi * 11.0 * 11.0 - lens_area(11.0, 10.2, 0.6);
  EXPECT_NEAR(hatched_area(taken_away({disc(0.36, 0.48, 10.2)}, disc(0, 0, 11.0)), 12.0, kSpacingMm), lune,
              kAreaTolMm2);
}

TEST(Crescent, NothingIsTakenWithoutOldRims) {
  EXPECT_TRUE(taken_away({}, disc(0, 0, 11.0))({{0.0, 0.0}, {1.0, 0.0}}).empty());
}

TEST(Crescent, ACleanedUpHoleLeavesNothingOutside) {
  EXPECT_EQ(
      hatched_area(left_outside({disc(0.5, 0, 10.0), disc(-0.3, 0.2, 10.4)}, disc(0, 0, 11.0)), 30.0, 0.01),
      0.0);
}

TEST(Crescent, HatchLiesAtTheAngleAskedFor) {
  const auto lines = hatch(left_outside({disc(6, 0, 10.0)}, disc(0, 0, 11.0)), Eigen::Vector2d::Zero(), 20.0,
                           0.25 * pi, 0.5);
  ASSERT_FALSE(lines.empty());
  constexpr double kAngleTol = 1e-9;  // rounding over lengths of some mm
  for (const HatchLine& line : lines) {
    const Eigen::Vector2d run = (line.b_mm - line.a_mm).normalized();
    EXPECT_NEAR(run.x(), run.y(), kAngleTol);
  }
}

/// Two ovals and a circle at random against points thrown at them.
TEST(CrescentStatistics, OvalsAgreeWithMonteCarlo) {
  std::mt19937_64 random(20260314);
  std::uniform_real_distribution<double> unit;
  const auto between = [&](double low, double high) { return low + (high - low) * unit(random); };
  const int points = test::trials(400000);
  constexpr double kReachMm = 16.0;
  for (int trial = 0; trial < test::trials(12); ++trial) {
    SCOPED_TRACE(trial);
    std::vector<Rim> rims;
    for (int i = 0; i < 2; ++i) {
      rims.push_back({{between(-2, 2), between(-2, 2)}, between(7, 11), {between(-2, 2), between(-2, 2)}});
    }
    const Rim circle = disc(0, 0, 10.5);
    int outside = 0;
    int taken = 0;
    for (int i = 0; i < points; ++i) {
      const Eigen::Vector2d p{between(-kReachMm, kReachMm), between(-kReachMm, kReachMm)};
      const bool in_a = inside(rims[0], p);
      const bool in_b = inside(rims[1], p);
      const bool in_circle = inside(circle, p);
      outside += (in_a || in_b) && !in_circle ? 1 : 0;
      taken += in_circle && !(in_a && in_b) ? 1 : 0;
    }
    if (!test::judge_frequencies()) continue;
    constexpr double kSquare = 4.0 * kReachMm * kReachMm;
    const double sigma = kSquare * 0.5 / std::sqrt(static_cast<double>(points));  // at most, of a share
    const double kFourSigma = 4.0 * sigma;  // 24 comparisons: one false alarm in 600 runs of this test
    EXPECT_NEAR(hatched_area(left_outside(rims, circle), 1.5 * kReachMm, 0.01), kSquare * outside / points,
                kFourSigma);
    EXPECT_NEAR(hatched_area(taken_away(rims, circle), 1.5 * kReachMm, 0.01), kSquare * taken / points,
                kFourSigma);
  }
}

TEST(Crescent, OverhangIsTheFarthestPointsDistance) {
  constexpr double kTolMm = 1e-12;  // two additions
  EXPECT_NEAR(overhang_mm(disc(3, 4, 10.0), Eigen::Vector2d::Zero(), 11.0), 4.0, kTolMm);
  EXPECT_NEAR(overhang_mm({{0, 0}, 9.0, {0.0, 3.0}}, Eigen::Vector2d::Zero(), 11.0), 1.0, kTolMm);
  EXPECT_LT(overhang_mm(disc(0.5, 0, 10.0), Eigen::Vector2d::Zero(), 11.0), 0.0);
}

}  // namespace
}  // namespace fairhole::report

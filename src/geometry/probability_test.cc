// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <array>
#include <boost/math/distributions/non_central_chi_squared.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "fairhole/geometry/statistics.h"
#include "support/evidence.h"
#include "support/statistics.h"

namespace fairhole {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

constexpr double kPromised = 1e-6;  // the header's promise

Matrix2d covariance(double major_mm, double minor_mm, double angle_rad) {
  Matrix2d turn;
  turn << std::cos(angle_rad), -std::sin(angle_rad), std::sin(angle_rad), std::cos(angle_rad);
  return turn * Vector2d(major_mm * major_mm, minor_mm * minor_mm).asDiagonal() * turn.transpose();
}

TEST(ProbabilityInCircle, CentralRoundErrorHasAClosedForm) {
  test::Evidence law = test::second_method("closed form, 1 - exp(-r2/2)", "chance in a circle, round error");
  for (const double sigma_mm : {1e-6, 0.01, 0.3, 5.0}) {
    for (const double sigmas : {1e-6, 1e-3, 0.1, 0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 20.0, 1e6}) {
      SCOPED_TRACE(fmt::format("sigma {} mm, radius {} sigmas", sigma_mm, sigmas));
      law.near(
          probability_in_circle(Vector2d::Zero(), covariance(sigma_mm, sigma_mm, 0.3), sigmas * sigma_mm),
          -std::expm1(-sigmas * sigmas / 2), kPromised);
    }
  }
}

TEST(ProbabilityInCircle, OffsetRoundErrorIsANoncentralChiSquare) {
  test::Evidence chance =
      test::second_method("Boost, noncentral chi-square", "chance in a circle off the middle");
  for (const double offset : {0.01, 0.5, 1.0, 3.0, 10.0, 40.0}) {
    for (const double radius : {0.05, 0.5, 1.0, 2.5, 10.0, 11.0, 39.0, 41.0}) {
      SCOPED_TRACE(fmt::format("offset {}, radius {}", offset, radius));
      const boost::math::non_central_chi_squared_distribution<> law(2.0, offset * offset);
      chance.near(probability_in_circle({0.6 * offset, -0.8 * offset}, Matrix2d::Identity(), radius),
                  boost::math::cdf(law, radius * radius), kPromised);
    }
  }
}

TEST(ProbabilityInCircle, ErrorAlongOneLineIsThatOfTheChord) {
  const double angle_rad = 0.7;
  const Vector2d along(std::cos(angle_rad), std::sin(angle_rad));
  const Vector2d across(-along.y(), along.x());
  const auto phi = [](double z) { return std::erfc(-z / std::numbers::sqrt2) / 2; };
  for (const double minor_mm : {0.0, 1e-12, 1e-9, 1e-7}) {  // one axis zero, and nearly
    for (const double u_mm : {-2.0, 0.0, 0.3, 1.2}) {
      for (const double v_mm : {0.0, 0.5, -0.99, 1.01}) {
        SCOPED_TRACE(fmt::format("minor {} at ({}, {})", minor_mm, u_mm, v_mm));
        constexpr double kSigmaMm = 0.4;
        const double half_chord_mm = std::sqrt(std::max(0.0, 1.0 - v_mm * v_mm));
        const double expected = half_chord_mm == 0.0 ? 0.0
                                                     : phi((half_chord_mm - u_mm) / kSigmaMm) -
                                                           phi((-half_chord_mm - u_mm) / kSigmaMm);
        EXPECT_NEAR(probability_in_circle(u_mm * along + v_mm * across,
                                          covariance(kSigmaMm, minor_mm, angle_rad), 1.0),
                    expected, kPromised);
      }
    }
  }
}

TEST(ProbabilityInCircle, NoErrorIsInOrOut) {
  EXPECT_EQ(probability_in_circle({0.3, 0.4}, Matrix2d::Zero(), 0.51), 1.0);
  EXPECT_EQ(probability_in_circle({0.3, 0.4}, Matrix2d::Zero(), 0.49), 0.0);
  EXPECT_EQ(probability_in_circle({0.0, 0.0}, Matrix2d::Zero(), 0.0), 1.0);
  EXPECT_EQ(probability_in_circle({0.0, 0.0}, Matrix2d::Identity(), 0.0), 0.0);
  EXPECT_EQ(probability_in_circle({0.0, 0.0}, Matrix2d::Identity(), -1.0), 0.0);
}

/// Sum of the plane normal density over rings and rays: slow, and knows no principal axes.
double summed_over_the_disc(const Vector2d& offset_mm, const Matrix2d& cov_mm2, double radius_mm) {
  constexpr int kRings = 1500;
  constexpr int kRays = 600;
  const Matrix2d inverse = cov_mm2.inverse();
  const double scale = 1.0 / (2.0 * std::numbers::pi * std::sqrt(cov_mm2.determinant()));
  double sum = 0.0;
  for (int ring = 0; ring < kRings; ++ring) {
    const double rho_mm = (ring + 0.5) / kRings * radius_mm;
    for (int ray = 0; ray < kRays; ++ray) {
      const double t = 2.0 * std::numbers::pi * ray / kRays;
      const Vector2d e_mm = rho_mm * Vector2d(std::cos(t), std::sin(t)) - offset_mm;
      sum += std::exp(-e_mm.dot(inverse * e_mm) / 2) * rho_mm;
    }
  }
  return sum * scale * (radius_mm / kRings) * (2.0 * std::numbers::pi / kRays);
}

TEST(ProbabilityInCircle, AnyErrorAgreesWithASumOverTheDisc) {
  constexpr double kMidpointRule = 2e-6;  // second-order in 1/1500 of a radius of at most 6 minor sigmas
  std::mt19937_64 random(91);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int trial = 0; trial < test::trials(40); ++trial) {
    const double major_mm = 0.2 + unit(random);
    const double minor_mm = major_mm * (0.2 + 0.8 * unit(random));
    const double radius_mm = 6.0 * minor_mm * unit(random);
    const double offset_mm = 3.0 * major_mm * unit(random);
    const double at = 2.0 * std::numbers::pi * unit(random);
    const Vector2d offset = offset_mm * Vector2d(std::cos(at), std::sin(at));
    const Matrix2d cov_mm2 = covariance(major_mm, minor_mm, 3.0 * unit(random));
    SCOPED_TRACE(fmt::format("trial {}: {} x {}, radius {}", trial, major_mm, minor_mm, radius_mm));
    ASSERT_NEAR(probability_in_circle(offset, cov_mm2, radius_mm),
                summed_over_the_disc(offset, cov_mm2, radius_mm), kMidpointRule);
  }
}

/// The other way round: the density across the minor axis times the chance along the major, summed over
/// slices that crowd at the ends of the range, where the chord ends as a square root. `offset_mm` is in
/// principal axes.
double summed_across(const Vector2d& offset_mm, double major_mm, double minor_mm, double radius_mm) {
  constexpr int kSlices = 200'000;
  constexpr double kEnd = 9.0;  // sigmas; beyond it 3e-19
  const double from = std::max(-kEnd, (-radius_mm - offset_mm.y()) / minor_mm);
  const double to = std::min(kEnd, (radius_mm - offset_mm.y()) / minor_mm);
  if (to <= from) return 0.0;
  const double scale = major_mm * std::numbers::sqrt2;
  const double half = (to - from) / 2;
  double sum = 0.0;
  for (int i = 0; i < kSlices; ++i) {
    const double t = (i + 0.5) / kSlices * std::numbers::pi - std::numbers::pi / 2;
    const double z = (from + to) / 2 + half * std::sin(t);
    const double y_mm = offset_mm.y() + minor_mm * z;
    const double half_chord_mm = std::sqrt(std::max(0.0, radius_mm * radius_mm - y_mm * y_mm));
    sum += std::exp(-z * z / 2) * half * std::cos(t) *
           (std::erf((half_chord_mm - offset_mm.x()) / scale) -
            std::erf((-half_chord_mm - offset_mm.x()) / scale));
  }
  return sum / 2 * std::numbers::pi / kSlices / std::sqrt(2.0 * std::numbers::pi);
}

TEST(ProbabilityInCircle, AnyRatioOfAxesAgreesWithASumAcross) {
  constexpr double kSum = 1e-9;  // midpoint rule, second order in slices of 9 pi / 200,000 sigmas at most
  test::Evidence sum =
      test::second_method("sum over 200,000 slices", "chance in a circle, any ellipse of error");
  std::mt19937_64 random(92);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int trial = 0; trial < test::trials(150); ++trial) {
    const double major_mm = std::pow(10.0, 2.0 * unit(random) - 1.0);
    const double minor_mm = major_mm * std::pow(10.0, -6.0 * unit(random));
    const double radius_mm = major_mm * std::pow(10.0, 3.0 * unit(random) - 2.0);
    double across_mm = radius_mm * (2.0 * unit(random) - 1.0);
    across_mm += minor_mm * (2.0 * unit(random) - 1.0);
    const Vector2d offset_mm(2.0 * major_mm * (2.0 * unit(random) - 1.0), across_mm);
    SCOPED_TRACE(fmt::format("trial {}: {} x {} at ({}, {}), radius {}", trial, major_mm, minor_mm,
                             offset_mm.x(), offset_mm.y(), radius_mm));
    const Eigen::Rotation2Dd turn(3.0 * unit(random));
    const Matrix2d cov_mm2 = covariance(major_mm, minor_mm, turn.angle());
    sum.near(probability_in_circle(turn * offset_mm, cov_mm2, radius_mm),
             summed_across(offset_mm, major_mm, minor_mm, radius_mm), kSum);
  }
}

TEST(ProbabilityInCircle, IsTheSameAfterATurnAndInAnotherUnit) {
  constexpr double kRounding = 1e-12;
  const Vector2d offset(0.7, -0.2);
  const double p = probability_in_circle(offset, covariance(0.9, 0.1, 0.4), 1.1);
  for (const double turn_rad : {0.5, 1.5, 2.5, -1.0}) {
    const Eigen::Rotation2Dd turn(turn_rad);
    EXPECT_NEAR(probability_in_circle(turn * offset, covariance(0.9, 0.1, 0.4 + turn_rad), 1.1), p,
                kRounding);
  }
  EXPECT_NEAR(probability_in_circle(25.4 * offset, 25.4 * 25.4 * covariance(0.9, 0.1, 0.4), 25.4 * 1.1), p,
              kRounding);
}

TEST(ProbabilityInCircle, GrowsWithTheRadius) {
  for (const double minor_mm : {1e-6, 0.01, 0.3}) {
    double last = 0.0;
    for (double radius_mm = 0.0; radius_mm < 6.0; radius_mm += 0.01) {
      const double p = probability_in_circle({0.8, 0.5}, covariance(0.5, minor_mm, 1.0), radius_mm);
      constexpr double kQuadrature = 1e-9;
      ASSERT_GE(p, last - kQuadrature) << radius_mm;
      last = p;
    }
    EXPECT_GT(last, 0.999999);
  }
}

TEST(ProbabilityInCircleStatistics, MonteCarloAgrees) {
  const int count = test::trials(400'000);
  std::mt19937_64 random(17);
  std::normal_distribution<double> normal;
  for (const auto& [minor_mm, radius_mm, x_mm, y_mm] : {std::array{0.05, 0.8, 0.5, 0.3},
                                                        {0.5, 0.5, 0.1, -0.2},
                                                        {0.002, 1.0, 0.2, 0.99},
                                                        {0.3, 2.0, 1.5, 1.0}}) {
    const Matrix2d cov_mm2 = covariance(0.5, minor_mm, 0.6);
    const Matrix2d root = cov_mm2.llt().matrixL();
    int inside = 0;
    for (int i = 0; i < count; ++i) {
      const double u = normal(random);
      const Vector2d e_mm = root * Vector2d(u, normal(random)) + Vector2d(x_mm, y_mm);
      inside += e_mm.norm() <= radius_mm ? 1 : 0;
    }
    const double p = probability_in_circle({x_mm, y_mm}, cov_mm2, radius_mm);
    if (!test::judge_frequencies()) continue;
    constexpr double kSigmas = 4.0;  // one false alarm in 4,000 for the four cases
    test::statistics("chance in a circle, four ellipses of error", "share inside less chance, in sigmas")
        .trials(count, "points each", 17)
        .near((static_cast<double>(inside) / count - p) / std::sqrt(p * (1 - p) / count), 0.0, kSigmas);
  }
}

}  // namespace
}  // namespace fairhole

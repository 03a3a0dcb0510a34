// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "scattered_fit.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>
#include <random>

#include "support/evidence.h"

namespace fairhole {
namespace {

/// Source: NIST Statistical Reference Datasets, linear regression, Norris (36 observations), certified
/// values.
TEST(ScatteredFit, NorrisLineAgreesWithItsCertifiedValues) {
  constexpr double kX[] = {0.2, 337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
                           0.6, 775.5, 666.9, 338.0, 447.5, 11.6,  556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
                           0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, 0.5};
  constexpr double kY[] = {0.1, 338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
                           0.1, 778.1, 668.8, 339.3, 448.9, 10.8,  557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
                           0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, 0.2};
  constexpr int kCount = 36;
  Eigen::MatrixXd design(kCount, 2);
  Eigen::VectorXd y(kCount);
  for (int i = 0; i < kCount; ++i) {
    design.row(i) << 1.0, kX[i];
    y(i) = kY[i];
  }
  const ScatteredFit fit =
      fit_with_scatter(design, y, PrincipalCovariance(Eigen::MatrixXd::Zero(kCount, kCount)), 1.0);
  constexpr double kDigits = 1e-11;   // of 15 certified; the design's condition is about a thousand
  constexpr double kVariance = 1e-4;  // the scatter is iterated no further
  const auto nist = [](const char* quantity) {
    return test::published("NIST StRD, Norris (linear regression, certified)", quantity);
  };
  nist("intercept").near(fit.b(0), -0.262323073774029, kDigits);
  nist("slope").near(fit.b(1), 1.00211681802045, kDigits);
  const double sigma_nought = std::sqrt(fit.sigma_nought2());
  nist("standard deviation of the intercept")
      .near(sigma_nought * std::sqrt(fit.cofactor(0, 0)), 0.232818234301152, kDigits);
  nist("standard deviation of the slope")
      .near(sigma_nought * std::sqrt(fit.cofactor(1, 1)), 0.429796848199937e-3, kDigits);
  nist("residual standard deviation")
      .near(sigma_nought * std::sqrt(fit.scatter_mm2), 0.884796396144373, kDigits);
  EXPECT_NEAR(fit.scatter_mm2 / (0.884796396144373 * 0.884796396144373), 1.0, kVariance);
  EXPECT_EQ(fit.dof, kCount - 2);
}

/// log restricted likelihood from its definition: -1/2 (log|V| + log|X'V^-1 X| + r'V^-1 r).
double log_restricted(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                      const Eigen::MatrixXd& readings_mm2, double scatter_mm2) {
  Eigen::MatrixXd v = readings_mm2;
  v.diagonal().array() += scatter_mm2;
  const Eigen::MatrixXd v_inverse = v.inverse();
  const Eigen::MatrixXd normal = design.transpose() * v_inverse * design;
  const Eigen::VectorXd r = y - design * normal.inverse() * design.transpose() * v_inverse * y;
  return -0.5 * (std::log(v.determinant()) + std::log(normal.determinant()) + r.dot(v_inverse * r));
}

struct Sample {
  Eigen::MatrixXd design, readings_mm2;
  Eigen::VectorXd y;
};

Sample sample_with(double scatter_mm, unsigned seed) {
  constexpr int kRows = 14;
  std::mt19937_64 rng(seed);
  std::normal_distribution<double> normal;
  const auto draw = [&] { return normal(rng); };
  Sample sample{Eigen::MatrixXd::NullaryExpr(kRows, 4, draw), {}, {}};
  const Eigen::MatrixXd root = 0.3 * Eigen::MatrixXd::NullaryExpr(kRows, kRows, draw);
  sample.readings_mm2 = root * root.transpose() / kRows;
  sample.y = root * Eigen::VectorXd::NullaryExpr(kRows, draw) / std::sqrt(1.0 * kRows) +
             scatter_mm * Eigen::VectorXd::NullaryExpr(kRows, draw);
  return sample;
}

TEST(ScatteredFit, ScatterIsWhereTheRestrictedLikelihoodIsLargest) {
  constexpr double kStep = 1.02;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    SCOPED_TRACE(seed);
    const Sample s = sample_with(0.5, seed);
    const ScatteredFit fit = fit_with_scatter(s.design, s.y, PrincipalCovariance(s.readings_mm2), 1.0);
    const double at = log_restricted(s.design, s.y, s.readings_mm2, fit.scatter_mm2);
    EXPECT_GT(at, log_restricted(s.design, s.y, s.readings_mm2, fit.scatter_mm2 * kStep));
    EXPECT_GT(at, log_restricted(s.design, s.y, s.readings_mm2, fit.scatter_mm2 / kStep));
  }
}

TEST(ScatteredFit, AgreesWithTheNormalEquationsAtItsScatter) {
  constexpr double kRelative = 1e-9;
  const Sample s = sample_with(0.5, 7);
  const ScatteredFit fit = fit_with_scatter(s.design, s.y, PrincipalCovariance(s.readings_mm2), 1.0);
  Eigen::MatrixXd v = s.readings_mm2;
  v.diagonal().array() += fit.scatter_mm2;
  const Eigen::MatrixXd cofactor = (s.design.transpose() * v.inverse() * s.design).inverse();
  const Eigen::MatrixXd a = cofactor * s.design.transpose() * v.inverse();
  EXPECT_LT((fit.b - a * s.y).norm(), kRelative * fit.b.norm());
  EXPECT_LT((fit.cofactor - cofactor).norm(), kRelative * cofactor.norm());
  const Eigen::VectorXd reading_variance = (a * s.readings_mm2 * a.transpose()).diagonal();
  EXPECT_LT((fit.reading_variance - reading_variance).norm(), kRelative * reading_variance.norm());
  const Eigen::VectorXd r = s.y - s.design * fit.b;
  EXPECT_NEAR(fit.sum_of_squares, r.dot(v.inverse() * r), kRelative * fit.sum_of_squares);
}

}  // namespace
}  // namespace fairhole

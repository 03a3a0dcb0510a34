// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "scattered_fit.h"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>

namespace fairhole {
namespace {

constexpr double kLeastScatterMm2 = 1e-8;  ///< (0.1 micron)^2: keeps exact data from infinite weights
constexpr double kRoundingMm = 1e-9;

/// The fit in principal axes at one scatter.
struct Whitened {
  Eigen::VectorXd weight;
  Eigen::MatrixXd q, r;      ///< thin QR of the weighted design
  Eigen::VectorXd residual;  ///< weighted
  Eigen::VectorXd b;

  Whitened(const Eigen::MatrixXd& design, const Eigen::VectorXd& y, const Eigen::VectorXd& variances_mm2,
           double scatter_mm2)
      : weight((variances_mm2.array() + scatter_mm2).inverse()) {
    const Eigen::VectorXd root = weight.cwiseSqrt();
    const Eigen::HouseholderQR<Eigen::MatrixXd> qr(root.asDiagonal() * design);
    const auto columns = design.cols();
    q = qr.householderQ() * Eigen::MatrixXd::Identity(design.rows(), columns);
    r = qr.matrixQR().topRows(columns).triangularView<Eigen::Upper>();
    const Eigen::VectorXd weighted_y = root.cwiseProduct(y);
    const Eigen::VectorXd along = q.transpose() * weighted_y;
    residual = weighted_y - q * along;
    b = r.triangularView<Eigen::Upper>().solve(along);
  }

  /// Fisher's step for s^2: (y'PPy - tr P) / tr PP, P = W^1/2 (I - QQ') W^1/2.
  double scoring_step_mm2() const {
    const Eigen::VectorXd free = 1.0 - q.rowwise().squaredNorm().array();
    const Eigen::MatrixXd weighted = q.transpose() * weight.asDiagonal() * q;
    const double trace_pp =
        (weight.array().square() * (2.0 * free.array() - 1.0)).sum() + weighted.squaredNorm();
    return (weight.dot(residual.cwiseAbs2()) - weight.dot(free)) / trace_pp;
  }
};

}  // namespace

PrincipalCovariance::PrincipalCovariance(const Eigen::MatrixXd& covariance_mm2) {
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(covariance_mm2);
  axes_ = solver.eigenvectors();
  variances_mm2_ = solver.eigenvalues().cwiseMax(0.0);
}

double ScatteredFit::sigma_nought2() const {
  const double rounding = kRoundingMm * kRoundingMm / std::max(scatter_mm2, kLeastScatterMm2);
  return sum_of_squares / dof + rounding;
}

ScatteredFit fit_with_scatter(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                              const PrincipalCovariance& readings, double start_mm2) {
  constexpr int kMostSteps = 60;
  constexpr double kStill = 1e-5;       // of the variance: far below what any data can tell
  constexpr double kLongestFall = 0.1;  // a step never takes more than nine tenths of s^2 away
  const Eigen::MatrixXd turned_design = readings.turned(design);
  const Eigen::VectorXd turned_y = readings.turned(y);
  const Eigen::VectorXd& own = readings.variances_mm2();
  double s2 = std::max(start_mm2, kLeastScatterMm2);
  Whitened fit(turned_design, turned_y, own, s2);
  for (int step = 0; step < kMostSteps; ++step) {
    const double next = std::max({s2 + fit.scoring_step_mm2(), kLongestFall * s2, kLeastScatterMm2});
    const bool still = std::abs(next - s2) <= kStill * (s2 + own.mean());
    s2 = next;
    fit = Whitened(turned_design, turned_y, own, s2);
    if (still) break;
  }
  ScatteredFit out;
  const Eigen::MatrixXd r_inverse =
      fit.r.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(design.cols(), design.cols()));
  out.b = fit.b;
  out.cofactor = r_inverse * r_inverse.transpose();
  // b = A y with A = R^-1 Q' W^1/2; the readings' part of its covariance is A S A'.
  const Eigen::MatrixXd a = r_inverse * fit.q.transpose() * fit.weight.cwiseSqrt().asDiagonal();
  out.reading_variance = a.cwiseAbs2() * own;
  out.scatter_mm2 = s2;
  out.sum_of_squares = fit.residual.squaredNorm();
  out.dof = static_cast<int>(design.rows() - design.cols());
  return out;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

namespace fairhole {

/// A covariance in its principal axes, where adding the same scatter to every coordinate is adding a number.
class PrincipalCovariance {
 public:
  explicit PrincipalCovariance(const Eigen::MatrixXd& covariance_mm2);

  Eigen::MatrixXd turned(const Eigen::MatrixXd& rows) const { return axes_.transpose() * rows; }
  const Eigen::VectorXd& variances_mm2() const { return variances_mm2_; }

 private:
  Eigen::MatrixXd axes_;
  Eigen::VectorXd variances_mm2_;
};

/// Least squares of y = X b + scatter + reading error.
struct ScatteredFit {
  Eigen::VectorXd b;
  Eigen::MatrixXd cofactor;          ///< (X' V^-1 X)^-1; times sigma_nought^2 it is the covariance of b
  Eigen::VectorXd reading_variance;  ///< of each b from the reading errors alone
  double scatter_mm2 = 0.0;          ///< variance of the scatter, each coordinate
  double sum_of_squares = 0.0;       ///< weighted, of the residuals
  int dof = 0;

  /// Square of sigma nought. Never 0: rounding of the data (a millionth of a micron) counts as an error.
  double sigma_nought2() const;
};

/// V = S + s^2 I, S the readings' covariance, s^2 at the maximum of the restricted likelihood (Patterson and
/// Thompson 1971, Biometrika 58(3):545-554) by Fisher scoring from `start_mm2`. X has full rank and fewer
/// columns than rows.
ScatteredFit fit_with_scatter(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                              const PrincipalCovariance& readings, double start_mm2);

}  // namespace fairhole

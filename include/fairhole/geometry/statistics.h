// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

namespace fairhole {

/// Quantiles and tails of the usual distributions; thin over Boost.Math. p in (0, 1).
double normal_quantile(double p);
double normal_cdf(double z);
double chi2_quantile(double p, double dof);
double chi2_upper_tail(double chi2, double dof);  ///< P(X > chi2); dof 0 gives 1
double student_t_quantile(double p, double dof);
double f_upper_tail(double f, double dof1, double dof2);

/// Half axes of the ellipse that holds a plane normal error with probability `confidence`.
struct Ellipse {
  double major_mm = 0.0;
  double minor_mm = 0.0;
  double angle_rad = 0.0;  ///< of the major axis, from x, in (-pi/2, pi/2]
};
Ellipse confidence_ellipse(const Eigen::Matrix2d& cov_mm2, double confidence = 0.95);

/// P(|e + offset| <= radius) for e ~ N(0, cov): the exact chance that a point lands in a circle.
/// Absolute error < 1e-6 while radius and offset are below 1e7 sigmas (of the larger axis), and in the limits
/// of a zero axis, a zero covariance (0 or 1), a tiny and a huge radius. A negative radius gives 0. In
/// principal axes: the normal density across times the chance of the chord, integrated over x = r sin(t) by
/// Gauss-Legendre quadrature between the places where the integrand bends (docs/geometry.md).
double probability_in_circle(const Eigen::Vector2d& offset_mm, const Eigen::Matrix2d& cov_mm2,
                             double radius_mm);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

/// The second-order cone of three dimensions, { (t, p) : t >= |p| }, and what an interior-point method needs
/// of it. Notation and formulas: Vandenberghe, "The CVXOPT linear and quadratic cone program solvers", 2010,
/// section 4.
namespace fairhole::detail {

/// t^2 - |p|^2, without the cancellation near the boundary.
double cone_determinant(const Eigen::Vector3d& v);

/// u o v = (u'v, u0 v1 + v0 u1).
Eigen::Vector3d cone_product(const Eigen::Vector3d& u, const Eigen::Vector3d& v);

/// The x with u o x = v; u inside the cone.
Eigen::Vector3d cone_quotient(const Eigen::Vector3d& u, const Eigen::Vector3d& v);

/// Largest step with v + step * d in the cone; infinity if it never leaves. v inside.
double cone_step(const Eigen::Vector3d& v, const Eigen::Vector3d& d);

/// Nesterov and Todd's scaling W of a slack s and a multiplier z, both inside: W z = W^-1 s.
class ConeScaling {
 public:
  ConeScaling() = default;
  ConeScaling(const Eigen::Vector3d& s, const Eigen::Vector3d& z);

  Eigen::Vector3d times(const Eigen::Vector3d& v) const;          ///< W v
  Eigen::Vector3d inverse_times(const Eigen::Vector3d& v) const;  ///< W^-1 v
  Eigen::Matrix3d inverse_square() const;                         ///< W^-2

 private:
  double size_ = 1.0;
  Eigen::Vector3d w_ = Eigen::Vector3d::UnitX();
};

}  // namespace fairhole::detail

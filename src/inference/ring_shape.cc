// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "ring_shape.h"

#include <Eigen/Cholesky>
#include <cmath>
#include <numbers>

namespace fairhole::inference {

using Eigen::Vector2d;

Vector2d RingShape::place_mm(int k) const {
  return d_mm.head<2>() + 0.5 * d_mm[2] * Vector2d(std::cos(angle_rad(k)), std::sin(angle_rad(k)));
}

Eigen::Matrix<double, 2, 5> RingShape::derivatives(int k) const {
  const double c = std::cos(angle_rad(k)), s = std::sin(angle_rad(k)), arm = 0.5 * d_mm[2] / radius0_mm;
  Eigen::Matrix<double, 2, 5> out;
  out << 1.0, 0.0, 0.5 * c, -s * arm, -s * arm * k,  //
      0.0, 1.0, 0.5 * s, c * arm, c * arm * k;
  return out;
}

RingFit fit_ring(const SeenRing& ring, const std::vector<Vector2d>& holes_mm, bool closed) {
  constexpr int kSteps = 6;  // from a geometric fit: two are enough for 1e-6 mm
  RingFit fit;
  RingShape& shape = fit.shape;
  shape.radius0_mm = ring.radius_mm;
  shape.closed = closed;
  constexpr double kTurn = 2.0 * std::numbers::pi;
  shape.closed_step_rad = kTurn / std::round(kTurn / ring.step_rad);
  shape.d_mm << ring.centre_mm, 2.0 * ring.radius_mm, ring.radius_mm * ring.start_rad,
      ring.radius_mm * ring.step_rad;
  const Eigen::Index unknowns = shape.unknowns();
  for (int step = 0; step <= kSteps; ++step) {
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(unknowns, unknowns);
    Eigen::VectorXd right = Eigen::VectorXd::Zero(unknowns);
    fit.squares_mm2 = 0.0;
    for (const Member& m : ring.members) {
      if (m.strayed || m.face != 0) continue;
      const Eigen::MatrixXd slope = shape.derivatives(m.k).leftCols(unknowns);
      const Vector2d off = holes_mm[static_cast<std::size_t>(m.hole)] - shape.place_mm(m.k);
      normal += slope.transpose() * slope;
      right += slope.transpose() * off;
      fit.squares_mm2 += off.squaredNorm();
    }
    if (step < kSteps) shape.d_mm.head(unknowns) += normal.ldlt().solve(right);
  }
  return fit;
}

bool fit_circle(const std::vector<Vector2d>& points_mm, Vector2d& centre_mm, double& radius_mm) {
  constexpr int kMostSteps = 100;
  constexpr double kRunaway = 1e5;  // mm
  for (int step = 0; step < kMostSteps; ++step) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (const Vector2d& p : points_mm) {
      const Vector2d arm = p - centre_mm;
      const double length = arm.norm();
      if (length == 0.0) return false;
      const Eigen::Vector3d row(arm.x() / length, arm.y() / length, 1.0);
      normal += row * row.transpose();
      right += row * (length - radius_mm);
    }
    const Eigen::LDLT<Eigen::Matrix3d> factor(normal);
    if (factor.info() != Eigen::Success || factor.rcond() < 1e-12) return false;
    const Eigen::Vector3d change = factor.solve(right);
    centre_mm += change.head<2>();
    radius_mm += change.z();
    if (!(std::abs(radius_mm) < kRunaway)) return false;
    if (change.norm() < 1e-11 * (1.0 + radius_mm)) return radius_mm > 0.0;
  }
  return radius_mm > 0.0;
}

}  // namespace fairhole::inference

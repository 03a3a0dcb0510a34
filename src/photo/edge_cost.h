// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <ceres/rotation.h>
#include <ceres/sized_cost_function.h>

#include <Eigen/Core>
#include <cmath>

#include "bundle.h"

namespace fairhole::photo {

inline Eigen::Matrix3d cross_matrix(const Eigen::Vector3d& v) {
  Eigen::Matrix3d out;
  out << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return out;
}

/// d (R(w) p) / d w (Gallego and Yezzi 2015, J. Math. Imaging Vision 51, for a rotation vector w).
inline Eigen::Matrix3d turned_by_vector(const Eigen::Matrix3d& rotation, const Eigen::Vector3d& w,
                                        const Eigen::Vector3d& p) {
  const double angle2 = w.squaredNorm(), angle = std::sqrt(angle2);
  const bool small = angle2 < 1e-8;
  const double first = small ? 0.5 : (1.0 - std::cos(angle)) / angle2;
  const double second = small ? 1.0 / 6.0 : (angle - std::sin(angle)) / (angle2 * angle);
  const Eigen::Matrix3d along = cross_matrix(w);
  return -rotation * cross_matrix(p) * (Eigen::Matrix3d::Identity() - first * along + second * along * along);
}

/// Misfit of a printed edge across itself, in sigmas, with its derivatives written out: by the lens, the
/// picture's pose and growth, and the board. Automatic ones cost five times as much.
class EdgeCost : public ceres::SizedCostFunction<1, kLensUnknowns, 6, 1, kBoardUnknowns> {
 public:
  EdgeCost(const EdgeSight& edge, double sigma) : edge_(edge), sigma_(sigma) {}

  bool Evaluate(double const* const* unknowns, double* residual, double** slopes) const override {
    const double *lens = unknowns[0], *pose = unknowns[1], *board = unknowns[3];
    const double c = std::cos(board[kBoardTurn]), s = std::sin(board[kBoardTurn]);
    const double bx = board[kScaleX] * edge_.board_mm.x(), by = board[kScaleY] * edge_.board_mm.y();
    const Eigen::Vector3d point(board[kBoardX] + c * bx - s * by, board[kBoardY] + s * bx + c * by,
                                board[kBoardLift]);
    Eigen::Matrix3d rotation;
    ceres::AngleAxisToRotationMatrix(pose, rotation.data());  // column by column, as Eigen's
    const Eigen::Vector3d seen = rotation * point + Eigen::Vector3d(pose[3], pose[4], pose[5]);
    const double x = seen.x() / seen.z(), y = seen.y() / seen.z(), r2 = x * x + y * y;
    const double k1 = lens[kRadial1], k2 = lens[kRadial2], p1 = lens[kTangent1], p2 = lens[kTangent2];
    const double radial = 1.0 + r2 * (k1 + r2 * k2), focal = std::exp(lens[kLnFocal]) / sigma_;
    // Stretched, the picture is longer by half of it one way and shorter by half the other.
    const double across = std::exp(0.5 * lens[kLnStretch]);
    const Eigen::RowVector2d n(edge_.normal.x() * across, edge_.normal.y() / across);
    const Eigen::Vector2d bent(x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
                               y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y);
    const Eigen::Vector2d centre(lens[kCentreX], lens[kCentreY]);
    const double scaled = focal * n.dot(bent);
    *residual = scaled + (edge_.normal.dot(centre - edge_.pixel) + unknowns[2][0]) / sigma_;
    if (slopes == nullptr) return true;

    if (slopes[0] != nullptr) {
      Eigen::Map<Eigen::Matrix<double, 1, kLensUnknowns>>(slopes[0]) << scaled, edge_.normal.x() / sigma_,
          edge_.normal.y() / sigma_, focal * r2 * (n.x() * x + n.y() * y),
          focal * r2 * r2 * (n.x() * x + n.y() * y),
          focal * (n.x() * 2.0 * x * y + n.y() * (r2 + 2.0 * y * y)),
          focal * (n.x() * (r2 + 2.0 * x * x) + n.y() * 2.0 * x * y),
          0.5 * focal * (n.x() * bent.x() - n.y() * bent.y());
    }
    const double growing = 2.0 * (k1 + 2.0 * r2 * k2), mixed = growing * x * y + 2.0 * (p1 * x + p2 * y);
    const double dx = n.x() * (radial + growing * x * x + 2.0 * p1 * y + 6.0 * p2 * x) + n.y() * mixed;
    const double dy = n.x() * mixed + n.y() * (radial + growing * y * y + 6.0 * p1 * y + 2.0 * p2 * x);
    const Eigen::RowVector3d by_seen = focal / seen.z() * Eigen::RowVector3d(dx, dy, -(dx * x + dy * y));
    if (slopes[1] != nullptr) {
      Eigen::Map<Eigen::Matrix<double, 1, 6>> pose_slope(slopes[1]);
      pose_slope << by_seen * turned_by_vector(rotation, {pose[0], pose[1], pose[2]}, point), by_seen;
    }
    if (slopes[2] != nullptr) slopes[2][0] = 1.0 / sigma_;
    if (slopes[3] != nullptr) {
      const Eigen::RowVector3d by_point = by_seen * rotation;
      Eigen::Map<Eigen::Matrix<double, 1, kBoardUnknowns>>(slopes[3]) << by_point.x(), by_point.y(),
          by_point.x() * (-s * bx - c * by) + by_point.y() * (c * bx - s * by), by_point.z(),
          edge_.board_mm.x() * (by_point.x() * c + by_point.y() * s),
          edge_.board_mm.y() * (by_point.y() * c - by_point.x() * s);
    }
    return true;
  }

 private:
  EdgeSight edge_;
  double sigma_;
};

}  // namespace fairhole::photo

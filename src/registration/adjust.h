// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "fairhole/geometry/pose.h"

namespace fairhole {

/// One pair by index: pattern hole, measured hole.
struct Pairing {
  int nominal = 0;
  int measured = 0;
  friend auto operator<=>(const Pairing&, const Pairing&) = default;
};

/// The points to be brought together. Covariance of the measured points: `full` (2n x 2n) or, when that is
/// empty, each point's own block.
struct PointSets {
  std::vector<Eigen::Vector2d> nominal_mm;
  std::vector<Eigen::Vector2d> measured_mm;
  std::vector<Eigen::Matrix2d> blocks_mm2;
  Eigen::MatrixXd full_mm2;
};

struct AdjustedPose {
  Motion face_from_pattern;
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();  ///< (shift x, shift y, turn), at the pattern's origin
  std::vector<Eigen::Vector2d> residual_mm;       ///< one a pairing
  double scatter_mm = 0.0;
  double chi2 = 0.0;
  /// log of the restricted likelihood of the paired points, pose integrated out over a flat prior, scatter at
  /// its best value under its prior.
  double log_evidence = 0.0;
};

/// Weighted rigid adjustment: minimises r' (S + s^2 I)^-1 r over shift and turn (hand fixed by `start`), S
/// the points' covariance, s the scatter at the mode of restricted likelihood times log-normal prior (median
/// `expected_scatter_mm`, sd 0.7 of the logarithm: old holes lie between a quarter and four times that, 19
/// times in 20). Needs at least 2 pairings with distinct nominal points (else nothing).
std::optional<AdjustedPose> adjust_pose(const PointSets& points, std::span<const Pairing> pairs,
                                        const Motion& start, double expected_scatter_mm);

}  // namespace fairhole

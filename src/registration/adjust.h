// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "lookup.h"

namespace fairhole {

/// Holes are numbered by int, for differences; containers by std::size_t.
inline std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// One pair by index: pattern hole, measured hole.
struct Pairing {
  int nominal = 0;
  int measured = 0;
  friend auto operator<=>(const Pairing&, const Pairing&) = default;  // NOLINT(modernize-use-nullptr)
};

/// The points to be brought together. Covariance of the measured points: `full` (2n x 2n) or, when that is
/// empty, each point's own block.
struct PointSets {
  std::vector<Eigen::Vector2d> nominal_mm;
  std::vector<Eigen::Vector2d> measured_mm;
  std::vector<Eigen::Matrix2d> blocks_mm2;
  Eigen::MatrixXd full_mm2;
  NominalGrid grid;  ///< over `nominal_mm`
};

struct AdjustedPose {
  Motion face_from_pattern;
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();  ///< (shift x, shift y, turn), at the pattern's origin
  std::vector<Eigen::Vector2d> residual_mm;       ///< one a pairing
  double scatter_mm = 0.0;                        ///< at its best value
  double chi2 = 0.0;                              ///< at that scatter
  /// log of the likelihood of the paired points, pose integrated out over a flat prior of density 1 per mm2
  /// and radian, scatter integrated out over its prior.
  double log_evidence = 0.0;
};

/// Prior of the scatter: log-normal about `expected_mm`; sd of the logarithm.
inline constexpr double kLogScatterSd = 0.7;

/// log density of that prior in the logarithm of scatter / expected.
double log_scatter_prior(double log_ratio);

/// Weighted rigid adjustment under r' (S + s^2 I)^-1 r over shift and turn (hand fixed by `start`), S the
/// points' covariance, s the scatter with its log-normal prior (median `expected_scatter_mm`, sd 0.7 of the
/// logarithm: old holes lie between a quarter and four times that, 19 times in 20). Pose and covariance are
/// the posterior mean and covariance over all scatters. One similarity transform to tridiagonal form makes
/// every further scatter a matter of O(n). Needs at least 2 pairings with distinct nominal points (else
/// nothing).
std::optional<AdjustedPose> adjust_pose(const PointSets& points, std::span<const Pairing> pairs,
                                        const Motion& start, double expected_scatter_mm);

}  // namespace fairhole

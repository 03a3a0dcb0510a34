// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <vector>

#include "tridiagonal.h"

namespace fairhole {

/// One pair by index: pattern hole, measured hole.
struct Pairing {
  int nominal = 0;
  int measured = 0;
  friend auto operator<=>(const Pairing&, const Pairing&) = default;  // NOLINT(modernize-use-nullptr)
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
/// the posterior mean and covariance over all scatters. `forms` are of these points. Needs at least 2
/// pairings with distinct nominal points (else nothing).
std::optional<AdjustedPose> adjust_pose(const PointSets& points, TridiagonalForms& forms,
                                        const std::vector<Pairing>& pairs, const Motion& start,
                                        double expected_scatter_mm);

}  // namespace fairhole

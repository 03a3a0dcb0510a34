// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "adjust.h"
#include "assign.h"
#include "fairhole/registration/registration.h"

namespace fairhole {

/// How holes come to be on a part, as odds: the stated prior of every correspondence decision. Judgement, not
/// measurement: of ten drawn holes one cannot be measured, and a part has one extra hole in ten, anywhere on
/// it.
struct HoleOdds {
  double missing = 0.1;
  double log_extra_density = 0.0;  ///< log of extra holes expected per mm2 of the part

  double log_gain_constant() const;  ///< of taking a pair, before its residual's density
};
HoleOdds hole_odds(const PointSets& points);

/// A pose on trial and the pairs it explains.
struct Candidate {
  AdjustedPose pose;
  std::vector<Pairing> pairs;
  double log_evidence = 0.0;  ///< pose integrated out under the prior; comparable between candidates
};

/// Refines a pose: assignment and adjustment in turn until the pairs repeat. Nothing when fewer than 2 pairs
/// stand.
std::optional<Candidate> refine(const PointSets& points, const Motion& start, const PosePrior& prior,
                                const Registrar& registrar, const HoleOdds& odds);

/// Gains of all pairs inside the gate of a pose with covariance `pose_cov` (at the pattern's origin), scatter
/// included.
std::vector<Gain> gated_gains(const PointSets& points, const Motion& pose, const Eigen::Matrix3d& pose_cov,
                              double scatter_mm, double gate_chi2, const HoleOdds& odds);

/// Covariance of the posed image of `q_mm` under a pose covariance at the pattern's origin.
Eigen::Matrix2d image_covariance(const Motion& pose, const Eigen::Matrix3d& pose_cov,
                                 const Eigen::Vector2d& q_mm);

/// log of a plane normal density at `r_mm`.
double log_normal_density(const Eigen::Vector2d& r_mm, const Eigen::Matrix2d& cov_mm2);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "fairhole/registration/distortion.h"
#include "scattered_fit.h"

/// One model of a distorted part and its fit: the pose, and some of the terms.
namespace fairhole {

using Terms = std::vector<DistortionTerm>;

/// Shift of the part's point q (along, away; mm from the middle) for a coefficient of 1.
Eigen::Vector2d term_shift(DistortionTerm term, const Eigen::Vector2d& q_mm, double length_mm,
                           double width_mm);

/// A problem made ready: points in the part's axes about their middle, readings' covariance turned.
struct DistortionProblem {
  std::vector<Eigen::Vector2d> part_mm;
  std::vector<Eigen::Vector2d> measured_mm;
  PrincipalCovariance readings;
  DistortedPose start;                                  ///< no term
  Eigen::Vector2d extent_mm = Eigen::Vector2d::Zero();  ///< of the holes, along and across
  double shape_sigma_mm =
      0.0;  ///< of a coordinate from reading errors alone, what a rigid motion takes up left out
};

/// Needs two points apart.
DistortionProblem distortion_problem(const MatchedPoints& points, const Motion& start,
                                     const PartDatum& datum);

/// Why the term cannot be estimated beside `others`, if so.
std::optional<NotDetermined> not_determined(const DistortionProblem& problem, const Terms& others,
                                            DistortionTerm term);

struct ModelFit {
  Terms terms;
  DistortedPose pose;
  ScatteredFit fit;  ///< b: image x, image y, turn, then the terms in their order; of the last step

  /// Row of a term in `fit`.
  Eigen::Index row(DistortionTerm term) const;
  /// ((S1 - S2) / 1) / (S2 / f2) for the model without the term: with one parameter that is (b / sigma)^2.
  double f(DistortionTerm term) const;
};

/// Gauss-Newton over pose and terms, scatter estimated along with them. The terms are determined.
ModelFit fit_model(const DistortionProblem& problem, const Terms& terms);

}  // namespace fairhole

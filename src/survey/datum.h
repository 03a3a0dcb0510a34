// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// The rigid motions of the whole net that no reading notices: columns over (shift x, shift y, turn about the
/// origin in rad). A shift may be taken up by the unknown zeros of running tapes.
struct Gauge {
  Eigen::MatrixXd modes;  // 3 x g
  int count() const { return static_cast<int>(modes.cols()); }
};

Gauge find_gauge(const Model& model, const Eigen::VectorXd& state);

/// Holds `gauge.count()` coordinates at their start values, far apart, so that the rest is determined:
/// minimal constraints, turned into inner ones afterwards.
void pin_gauge(const Gauge& gauge, const Eigen::VectorXd& state, Model& model);

/// Moves the net within its gauge: as near as can be to the places named in the file; else, when all three
/// motions are free, the first hole to the origin and the second onto the positive x axis.
void lay_down(const Gauge& gauge, const Model& model, Eigen::VectorXd& state);

/// The covariance of all hole coordinates (2n x 2n; rows of held coordinates are 0), for inner constraints
/// over the holes named by `# near` lines, or over all, where a gauge is free:
///   S Q S', S = I - G (B'G)^-1 B'  (Baarda's S-transformation; Strang and Borre 1997, ch. 12).
/// `turned_rad`: how far lay_down has turned the net since `solution`.
Eigen::MatrixXd coordinate_covariance(const Gauge& gauge, const Model& model, const Columns& columns,
                                      const Solution& solution, const Eigen::VectorXd& placed,
                                      double turned_rad);

/// The turn, counter-clockwise, that carries the net at `before` into the net at `after`.
double turn_between(const Model& model, const Eigen::VectorXd& before, const Eigen::VectorXd& after);

}  // namespace fairhole::survey_detail

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

/// Carries errors of the hole coordinates (2n) from the pinned net to the net as laid down, with inner
/// constraints over the holes named by `# near` lines, or over all, where a gauge is free:
///   S R e, S = I - G (B'G)^-1 B'  (Baarda's S-transformation; Strang and Borre 1997, ch. 12), R the turn of
///   lay_down.
class DatumChange {
 public:
  /// `placed`: the state after lay_down.
  DatumChange(const Gauge& gauge, const Model& model, const Eigen::VectorXd& solved,
              const Eigen::VectorXd& placed);
  /// Each column is one set of errors.
  bool trivial() const { return trivial_; }  ///< no gauge was free: nothing changes
  Eigen::MatrixXd apply(const Eigen::MatrixXd& errors) const;

 private:
  bool trivial_ = true;
  Eigen::Matrix2d turn_;
  Eigen::MatrixXd g_;  // S = I - g k
  Eigen::MatrixXd k_;
};

/// The covariance of all hole coordinates as laid down (2n x 2n; rows of held coordinates are 0).
Eigen::MatrixXd coordinate_covariance(const DatumChange& change, const Model& model, const Columns& columns,
                                      const Eigen::MatrixXd& q);

}  // namespace fairhole::survey_detail

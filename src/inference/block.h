// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <vector>

#include "fairhole/inference/series.h"

namespace fairhole::inference {

/// Coordinates with their covariance: z0 + turn * z1 = X d + scatter + measuring error.
struct Segment {
  Eigen::VectorXd z0_mm;
  Eigen::VectorXd z1_mm;  ///< change of the coordinates with the part's turn taken off, mm per rad
  Eigen::MatrixXd design;
  Eigen::MatrixXd measuring_cov_mm2;
};

inline constexpr int kMostSnapped = 3;

/// Dimensions that the same coordinates depend on. The first `snapped` are round values of the drawing; the
/// others are anything.
struct Block {
  int snapped = 0;
  std::vector<Segment> segments;
};

/// A block at one scatter: weighted least squares, and what depends on the turn.
struct Adjusted {
  Eigen::VectorXd d0_mm, d1_mm;            ///< snapped dimensions = d0 + turn * d1
  Eigen::MatrixXd root_cov;                ///< lower Cholesky root of their covariance, mm
  double log_norm = 0.0;                   ///< of the restricted likelihood, turn apart
  double r00 = 0.0, r01 = 0.0, r11 = 0.0;  ///< weighted residuals' square: r00 + 2 turn r01 + turn^2 r11

  Eigen::VectorXd at(double turn_rad) const { return d0_mm + turn_rad * d1_mm; }
  double log_restricted(double turn_rad) const {
    return log_norm - 0.5 * (r00 + turn_rad * (2.0 * r01 + turn_rad * r11));
  }
};

Adjusted adjust_block(const Block& block, double scatter_mm);

/// A choice of round values, in steps of the unit's finest series, and what it weighs.
struct Term {
  std::array<long, kMostSnapped> index{};
  double mass = 0.0;
};

struct LatticeSum {
  std::vector<Term> terms;
  double total = 0.0;
};

/// Sum over the round values of one unit of prior times N(mean; value, root root'). Values within four sigmas
/// (at least the nearest one on either side), one dimension after another, each given those before it.
LatticeSum sum_round_values(const Eigen::VectorXd& mean_mm, const Eigen::MatrixXd& root_cov,
                            const SeriesPrior& prior, Unit unit);

}  // namespace fairhole::inference

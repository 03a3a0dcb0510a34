// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <random>
#include <string>
#include <vector>

#include "fairhole/survey/readings.h"

namespace fairhole::test {

/// A face with its truth, measured by formulas written independently of the library's model: rims are found
/// as points, offsets by areas. Truth for whatever has a prior is drawn from that prior.
struct SimulatedFace {
  Readings readings;
  Eigen::VectorXd truth;  ///< x, y of each hole, then d, a, b of each hole, scale, zero along, zero across,
                          ///< corner (rad), zeros of the two running set-ups, common diameter
  int holes = 0;

  Eigen::Vector2d place(int hole) const { return truth.segment<2>(2 * hole); }
  /// The reading as it would be without noise, at any state.
  double measure(const Reading& r, const Eigen::VectorXd& state) const;
  /// Draws new noise for every reading.
  void measure_again(std::mt19937_64& random);
  /// Draws new truth for the tape and the corner too.
  void draw_tape(std::mt19937_64& random);
  /// Information matrix (Fisher) at the truth by central differences, priors included, over all of `truth`.
  Eigen::MatrixXd information() const;
  /// The bound of Cramer and Rao for the coordinates (2n x 2n), by a rank-revealing inverse of the
  /// information.
  Eigen::MatrixXd cramer_rao() const;
  /// What the readings' errors leave of themselves in the normalised residuals: v / sigma = R (e / sigma),
  /// with R = I - A N^-1 A', A the weighted derivatives and N the information at the truth.
  Eigen::MatrixXd residual_maker() const;
  /// Those a reading may depend on.
  std::vector<int> parameters_of(const Reading& r) const;
  /// Rows of derivatives / sigma, one for each reading.
  Eigen::MatrixXd weighted_jacobian() const;
  /// Rows of what is known beforehand, in the same scaling.
  Eigen::MatrixXd prior_rows() const;

  int d(int hole) const { return 2 * holes + 3 * hole; }
  int scale() const { return 5 * holes; }
  int zero(bool across) const { return 5 * holes + (across ? 2 : 1); }
  int corner() const { return 5 * holes + 3; }
  int run_zero(bool across) const { return 5 * holes + (across ? 5 : 4); }
  int common() const { return 5 * holes + 6; }
  bool oval(int hole) const { return oval_[static_cast<std::size_t>(hole)]; }
  bool sized(int hole) const { return sized_[static_cast<std::size_t>(hole)]; }

  /// The inverse of the information, over all of `truth`.
  Eigen::MatrixXd inverse_information() const;

  std::vector<bool> oval_;   // measured across in two directions
  std::vector<bool> sized_;  // measured across at all
};

/// A face of `holes` holes on 900 x 400 mm with every kind of reading, about `per_hole` of them a hole.
/// With `neighbours` the readings between holes go to a hole beside, as on a part too long for anything else.
SimulatedFace simulate_face(std::mt19937_64& random, int holes, int per_hole = 6, bool neighbours = false);

double normal(std::mt19937_64& random);
double uniform(std::mt19937_64& random);

}  // namespace fairhole::test

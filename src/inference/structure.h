// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "lattice.h"

/// What order the holes are in, before any dimension is rounded: rows on gauge lines, rows that share their
/// pitch and phase, circles. Chosen by evidence against "all holes lie anywhere".
namespace fairhole::inference {

/// One gauge line with holes at (k + half) * pitch.
struct SeenLine {
  std::vector<Member> members;  ///< k rising, counted on the rows' common lattice
  bool half = false;            ///< half a pitch off the others: staggered
  double gauge_mm = 0.0;

  double shift() const { return half ? 0.5 : 0.0; }
};

/// Rows of one pitch and phase. Along x the gauge is y; along y it is x.
struct SeenRows {
  bool along_y = false;
  double start_mm = 0.0;  ///< of k = 0
  double pitch_mm = 0.0;
  std::vector<SeenLine> lines;

  int holes() const;
};

struct SeenRing {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double start_rad = 0.0;
  double step_rad = 0.0;
  bool closed = false;  ///< step is a whole part of the turn
  std::vector<Member> members;
};

struct Structure {
  std::vector<SeenRows> rows;
  std::vector<SeenRing> rings;
  std::vector<int> loose;
  double turn_rad = 0.0;
  double scatter_mm = 0.5;
  double score = 0.0;
};

/// What the search needs to know; lengths as in PatternInference.
struct SearchRules {
  double expected_scatter_mm = 0.5;
  double scatter_log_sd = 0.7;
  double turn_sigma_rad = 0.003;
  double least_pitch_mm = 15.0;
  double stray_mm = 6.0;
};

/// The part's turn taken off: pattern = R(-turn) face, to first order in the turn.
inline Eigen::Vector2d turned_back(const Eigen::Vector2d& p_mm, double turn_rad) {
  return {p_mm.x() + turn_rad * p_mm.y(), p_mm.y() - turn_rad * p_mm.x()};
}

/// Turn of one face's rows against the axes, from every line's slope about its own middle, under its prior.
struct Slope {
  double turn_rad = 0.0;
  double variance_rad2 = 0.0;
};
Slope slope_of_lines(const std::vector<Eigen::Vector2d>& holes_mm, const std::vector<SeenRows>& all, int face,
                     double scatter_mm, double turn_sigma_rad);

/// The structure of greatest evidence over some scatters and orders of looking. `own_sigma_mm`: what
/// measuring adds to the scatter.
Structure find_structure(const std::vector<Eigen::Vector2d>& holes_mm, double own_sigma_mm,
                         const SearchRules& rules);

}  // namespace fairhole::inference

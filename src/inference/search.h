// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "structure.h"

/// The steps of find_structure; all in the frame with the part's turn taken off.
namespace fairhole::inference {

/// The holes and what any place on the face is worth.
struct Field {
  std::vector<Eigen::Vector2d> holes_mm;   ///< turn taken off
  double scatter_mm = 0.5;                 ///< each axis, measuring included
  double width_mm = 0.0, height_mm = 0.0;  ///< the field's size, not less than kLeastField_mm
  SearchRules rules;

  /// Log density of a hole at its place over that of a stray hole anywhere, for residual 0.
  double member_gain() const;
};

inline constexpr double kLeastFieldMm = 100.0;   // a single row says nothing of where else holes might lie
inline constexpr double kPitchRangeMm = 150.0;   // pitches and radii are equally likely over ranges of this
inline constexpr double kRadiusRangeMm = 300.0;  // order; a factor of two changes a score by 0.7

// What any claim of order must earn beforehand: rows are looked for in many places, turns and scatters, and
// circles are rarer than rows. Our judgement, set so that strewn holes seldom look ordered.
inline constexpr double kRowCost = 4.0;
inline constexpr double kRingCost = 7.0;

Field make_field(const std::vector<Eigen::Vector2d>& holes_mm, double turn_rad, double scatter_mm,
                 const SearchRules& rules);

/// Log of the number of ways to choose m of n: what a choice of members costs.
double log_choices(int n, int m);

/// The turn under which most holes fall onto common lines along x or y.
double best_turn(const std::vector<Eigen::Vector2d>& holes_mm, double scatter_mm, const SearchRules& rules);

/// The same without a datum edge: any direction from 0 to 90 degrees.
double any_turn(const std::vector<Eigen::Vector2d>& holes_mm, double scatter_mm);

/// Takes rows out of `free`, best first; adds their scores.
void take_rows(const Field& field, bool along_y, std::vector<int>& free, Structure& structure);

/// Takes circles out of `free`, best first; adds their scores.
void take_rings(const Field& field, std::vector<int>& free, Structure& structure);

/// Joins rows that share pitch and phase where that has the greater evidence.
void join_rows(const Field& field, Structure& structure);

/// Marks members of rows as strayed, the farthest first, while a torn hole explains them better than a
/// greater scatter of all.
void part_strays(const Field& field, Structure& structure);

/// Gives loose holes that lie near an empty place of a row to it, as strayed.
void adopt_strays(const Field& field, Structure& structure);

/// Least-squares start and pitch over all lines.
void settle_rows(const Field& field, SeenRows& rows);

}  // namespace fairhole::inference

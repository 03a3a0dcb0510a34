// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>
#include <span>
#include <utility>
#include <vector>

/// The crescents between an old hole and the circle chosen for it, as exact chords: a line cuts a convex
/// shape in one piece, so the line through a difference of convex shapes is known from its end points alone.
namespace fairhole::report {

/// An old rim: the hull of two discs of one radius, at centre +- half_axis (an oval hole; half_axis 0: a
/// round one).
struct Rim {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  Eigen::Vector2d half_axis_mm = Eigen::Vector2d::Zero();
};

/// The line { point + t * direction }; direction has length one.
struct Ray {
  Eigen::Vector2d point_mm, direction;
};
using Piece = std::pair<double, double>;  ///< t from, t to; from < to
using Pieces = std::vector<Piece>;        ///< ascending, apart

/// Where the line runs inside the rim.
std::optional<Piece> chord(const Rim& rim, const Ray& ray);

/// A plane region, told by what it keeps of a line.
using Region = std::function<Pieces(const Ray&)>;

/// What lies in at least one of `rims` but outside `circle`: old hole left outside the new one.
Region left_outside(std::vector<Rim> rims, const Rim& circle);
/// What lies in `circle` but not in all of `rims`: metal to be taken away. Empty when there are no rims.
Region taken_away(std::vector<Rim> rims, const Rim& circle);

struct HatchLine {
  Eigen::Vector2d a_mm, b_mm;
};
/// Hatch of a region that lies within `reach_mm` of `centre_mm`: parallel lines at `angle_rad`, `spacing_mm`
/// apart, the first half a spacing from the border of the reach.
std::vector<HatchLine> hatch(const Region& region, const Eigen::Vector2d& centre_mm, double reach_mm,
                             double angle_rad, double spacing_mm);

/// How far the rim stands out beyond the circle at its worst point; 0 or less: the circle cleans it up.
double overhang_mm(const Rim& rim, const Eigen::Vector2d& circle_centre_mm, double circle_radius_mm);

}  // namespace fairhole::report

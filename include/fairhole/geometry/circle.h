// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <span>
#include <vector>

namespace fairhole {

struct Circle {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
};

/// A circle and the discs that hold it: indices into the input, one to three of them, ascending. They are the
/// reason: move any other disc a little and the circle stays.
struct SupportedCircle {
  Circle circle;
  std::vector<int> support;
};

/// Smallest circle that encloses every disc: the reamer that cleans up every old hole of a stack.
/// Exact by singles, pairs and triples of at most four discs (the optimum has at most three supporting discs:
/// Fischer and Gaertner, IJCGA 14, 2004; Welzl's method for points fails for discs); with more, the farthest
/// outside is exchanged for a support until none is outside. Requires n >= 1, finite values, radii >= 0
/// (asserted). One disc enclosing all is returned unchanged; where fewer discs explain the circle, the fewer
/// are named. Radius and enclosure are right to 1e-9 mm for |coordinates| < 1e4 mm. The centre is so too
/// where the discs hold it well; along a direction in which they barely do, it is what their rounding allows.
SupportedCircle smallest_enclosing(std::span<const Circle> discs);

/// Largest circle that lies inside every disc: the bolt that passes all the holes of a stack.
/// With M = max r_i it is M - smallest_enclosing(discs of radius M - r_i). The radius is negative when no
/// circle passes (the discs have no common point); its size then says by how much. Same domain as above.
SupportedCircle largest_passing(std::span<const Circle> discs);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/rules.h"
#include "fairhole/geometry/circle.h"

/// Where the centre of a stack may stand.
namespace fairhole::detail {

/// normal . p - offset >= need: a straight edge kept clear of.
struct Limit {
  Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
  double offset_mm = 0.0;
  double need_mm = 0.0;
  std::string name;  ///< "end edge of near angle"

  double distance_mm(const Eigen::Vector2d& p) const { return normal.dot(p) - offset_mm; }
  double slack_mm(const Eigen::Vector2d& p) const { return distance_mm(p) - need_mm; }
};

/// A hole wanted: its finish diameter, its shank and head.
struct HoleSize {
  double hole_mm = 0.0;
  double fastener_mm = 0.0;
  double head_mm = 0.0;
};

/// Limits of one old layer. Where the hole is left as it is only what concerns heads counts: its edges are as
/// found.
void add_layer_limits(const OldLayer& layer, const HoleSize& size, bool is_cut, const EdgeRules& edges,
                      std::vector<Limit>& limits);

/// Straight limits of a convex plate; a re-entrant plate gives none and is left to `plate_fault`.
void add_plate_limits(const PlateShape& plate, const HoleSize& size, const EdgeRules& edges,
                      std::vector<Limit>& limits);

/// Why a hole may not stand at `p` in the plate: outside, too near an edge, in a keep-out. Empty: it may.
std::string plate_fault(const PlateShape& plate, const Eigen::Vector2d& p, const HoleSize& size,
                        const EdgeRule& rule);

/// The limit most overstepped at `p`, in words; empty when none is.
std::string limit_fault(std::span<const Limit> limits, const Eigen::Vector2d& p);

/// Largest distance from `c` to the far rim of the discs: the radius about `c` that encloses them all.
double enclosing_radius_mm(std::span<const Circle> discs, const Eigen::Vector2d& c);

/// Centre of the smallest circle about the discs whose centre keeps to the limits. The problem is convex: the
/// free optimum, or the best on one limit's line within the others. Absent when the limits leave no place.
std::optional<Eigen::Vector2d> best_centre(std::span<const Circle> discs, std::span<const Limit> limits);

double distance_to_segment_mm(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b);
Eigen::Vector2d nearest_on_segment(const Eigen::Vector2d& p, const Eigen::Vector2d& a,
                                   const Eigen::Vector2d& b);
bool inside_polygon(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& p);
bool is_convex(const std::vector<Eigen::Vector2d>& polygon);

}  // namespace fairhole::detail

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

/// A straight piece of a plate's rim or of a keep-out: holes stay on the side of `normal`.
struct PlateEdge {
  Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
  double offset_mm = 0.0;
  std::string name;
  bool is_keep_out = false;  ///< kept clear of by the hole alone
  bool exact = true;         ///< false: at a re-entrant corner, where its neighbour would do as well
  int corner = -1;           ///< where one of several sides must be kept to: which corner
  int side = 0;              ///< of the corner's sides, from 0; a side may be several edges
  bool taken = true;         ///< of a corner's sides that which is farthest behind the place looked from
  double share = 1.0;        ///< of the need that is to be kept

  double need_mm(const HoleSize& size, const EdgeRules& edges) const;
};

/// How far around a place edges are looked for, and how far off it a hole's centre may come to lie.
struct EdgeReach {
  double look_mm = 0.0;
  double move_mm = 0.0;
};

/// The edges that concern centres about `at`. To keep to all of the exact ones is necessary, and where there
/// are no others it suffices, as far as the reach goes. At a re-entrant corner one of its sides must be kept
/// to; `plate_fault` has the last word.
std::vector<PlateEdge> plate_edges_near(const PlateShape& plate, const Eigen::Vector2d& at,
                                        const EdgeReach& reach);

/// Why a hole may not stand at `p` in the plate: outside, too near an edge, in a keep-out. Empty: it may.
std::string plate_fault(const PlateShape& plate, const Eigen::Vector2d& p, const HoleSize& size,
                        const EdgeRule& rule);

/// The limit most overstepped at `p`, in words; empty when none is.
std::string limit_fault(std::span<const Limit> limits, const Eigen::Vector2d& p);

/// Largest distance from `c` to the far rim of the discs: the radius about `c` that encloses them all.
double enclosing_radius_mm(std::span<const Circle> discs, const Eigen::Vector2d& c);

/// The smallest circle about the discs. Radii may be negative: a disc that may lie outside by so much.
Circle smallest_about(std::span<const Circle> discs);

/// Centre of the smallest circle about the discs whose centre keeps to the limits. Radii may be negative. The
/// problem is convex: the free optimum, or the best on one limit's line within the others. Absent when the
/// limits leave no place.
std::optional<Eigen::Vector2d> best_centre(std::span<const Circle> discs, std::span<const Limit> limits);

double distance_to_segment_mm(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b);
Eigen::Vector2d nearest_on_segment(const Eigen::Vector2d& p, const Eigen::Vector2d& a,
                                   const Eigen::Vector2d& b);
bool inside_polygon(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& p);

}  // namespace fairhole::detail

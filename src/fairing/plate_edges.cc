// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>

#include "limits.h"

namespace fairhole::detail {
namespace {

double cross(const Eigen::Vector2d& u, const Eigen::Vector2d& v) { return u.x() * v.y() - u.y() * v.x(); }

double doubled_area(const std::vector<Eigen::Vector2d>& polygon) {
  double sum = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i)
    sum += cross(polygon[i], polygon[(i + 1) % polygon.size()]);
  return sum;
}

/// Edges of a polygon walked with the permitted side on the left.
class Walk {
 public:
  Walk(const std::vector<Eigen::Vector2d>& corners, const PlateEdge& kind, const Eigen::Vector2d& at,
       const EdgeReach& reach)
      : corners_(corners),
        at_(at),
        reach_(reach),
        edges_(corners.size(), kind),
        near_(corners.size()),
        corner_of_(corners.size(), -1) {
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      const Eigen::Vector2d along = (next(i) - corners[i]).normalized();
      edges_[i].normal = {-along.y(), along.x()};
      edges_[i].offset_mm = edges_[i].normal.dot(corners[i]);
      near_[i] = distance_to_segment_mm(at, corners[i], next(i)) <= reach.look_mm;
    }
  }

  /// Corners are numbered from `first_corner`.
  void add_to(std::vector<PlateEdge>& out, int first_corner) {
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (meets_before(i)) join(before(i), i);
    }
    if (inside_polygon(corners_, at_) != edges_.front().is_keep_out) leave_out_what_lies_behind();
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (corner_of_[i] < 0 && near_[i]) out.push_back(edges_[i]);
      if (corner_of_[i] == static_cast<int>(i)) add_corner(i, first_corner, out);
    }
  }

 private:
  const Eigen::Vector2d& next(std::size_t i) const { return corners_[(i + 1) % corners_.size()]; }
  std::size_t before(std::size_t i) const { return (i + corners_.size() - 1) % corners_.size(); }
  double slack(std::size_t i) const { return edges_[i].normal.dot(at_) - edges_[i].offset_mm; }
  bool may_lie_beyond(std::size_t i) const { return slack(i) + reach_.move_mm >= 0.0; }
  bool is_re_entrant(std::size_t i) const {
    return cross(edges_[before(i)].normal, edges_[i].normal) < -1e-9;
  }
  bool meets_before(std::size_t i) const {
    return is_re_entrant(i) && (corners_[i] - at_).norm() <= reach_.look_mm;
  }

  /// Edges that meet at re-entrant corners within reach: to keep to one of them will do. They go by the
  /// first.
  void join(std::size_t i, std::size_t k) {
    const int of_i = corner_of_[i] < 0 ? static_cast<int>(i) : corner_of_[i];
    const int of_k = corner_of_[k] < 0 ? static_cast<int>(k) : corner_of_[k];
    corner_of_[i] = of_i, corner_of_[k] = of_k;
    std::replace(corner_of_.begin(), corner_of_.end(), std::max(of_i, of_k), std::min(of_i, of_k));
  }

  /// Seen from a permitted place, an edge with its permitted side turned away is the far side of a strip or a
  /// notch: nothing is asked by it. If a centre may come to lie beyond it, the near side is not asked either.
  void leave_out_what_lies_behind() {
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!near_[i] || slack(i) >= 0.0 || corner_of_[i] >= 0) continue;
      near_[i] = false;
      beyond_ = beyond_ || may_lie_beyond(i);
    }
    for (std::size_t i = 0; i < edges_.size() && beyond_; ++i) {
      if (is_re_entrant(i)) edges_[i].exact = edges_[before(i)].exact = false;
    }
  }

  /// The edges that `group` names: one side each; and at each corner itself the wedge between their normals,
  /// in which a centre may be nearer to both lines than to the corner, but not nearer than the chord.
  void add_corner(std::size_t group, int first_corner, std::vector<PlateEdge>& out) const {
    std::size_t taken = group;
    int sides = 0;
    const auto is_member = [&](std::size_t i) { return corner_of_[i] == static_cast<int>(group); };
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (is_member(i) && slack(i) > slack(taken)) taken = i;
    }
    const auto is_side = [&](std::size_t i) { return is_member(i) && (i == taken || may_lie_beyond(i)); };
    for (std::size_t i = 0; i < edges_.size(); ++i) sides += is_side(i) ? 1 : 0;
    if (sides == 1 || beyond_) return out.push_back(edges_[taken]);
    int side = 0;
    const auto add = [&](PlateEdge edge, double share, bool is_taken) {
      edge.exact = false, edge.corner = first_corner + static_cast<int>(group), edge.side = side;
      edge.share = share, edge.taken = is_taken;
      out.push_back(std::move(edge));
    };
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!is_side(i)) continue;
      add(edges_[i], 1.0, i == taken);
      ++side;
    }
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!meets_before(i) || !is_side(i) || !is_side(before(i))) continue;
      PlateEdge chord = edges_[i];
      chord.normal = (edges_[i].normal + edges_[before(i)].normal).normalized();
      chord.offset_mm = chord.normal.dot(corners_[i]);
      add(chord, chord.normal.dot(edges_[i].normal), false);
      add(edges_[i], 0.0, false);
      add(edges_[before(i)], 0.0, false);
      ++side;
    }
  }

  const std::vector<Eigen::Vector2d>& corners_;
  Eigen::Vector2d at_;
  EdgeReach reach_;
  std::vector<PlateEdge> edges_;
  std::vector<bool> near_;
  std::vector<int> corner_of_;  ///< of each edge, -1: none
  bool beyond_ = false;
};

}  // namespace

double PlateEdge::need_mm(const HoleSize& size, const EdgeRules& edges) const {
  return is_keep_out ? size.hole_mm / 2.0 : least_edge_mm(edges.least, size.fastener_mm, size.hole_mm);
}

std::vector<PlateEdge> plate_edges_near(const PlateShape& plate, const Eigen::Vector2d& at,
                                        const EdgeReach& reach) {
  std::vector<PlateEdge> edges;
  PlateEdge kind;
  kind.name = fmt::format("edge of plate {}", plate.name);
  if (!plate.outline_mm.empty()) Walk(plate.outline_mm, kind, at, reach).add_to(edges, 0);
  int corners = static_cast<int>(plate.outline_mm.size());
  for (const KeepOut& zone : plate.keep_outs) {
    std::vector<Eigen::Vector2d> walk = zone.outline_mm;
    if (doubled_area(walk) > 0.0) std::reverse(walk.begin(), walk.end());
    kind.name = fmt::format("keep-out \"{}\" of plate {}", zone.name, plate.name);
    kind.is_keep_out = true;
    if (!walk.empty()) Walk(walk, kind, at, reach).add_to(edges, corners);
    corners += static_cast<int>(walk.size());
  }
  return edges;
}

}  // namespace fairhole::detail

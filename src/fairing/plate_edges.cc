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
      : corners_(corners), at_(at), reach_(reach), edges_(corners.size(), kind), near_(corners.size()) {
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      const Eigen::Vector2d along = (next(i) - corners[i]).normalized();
      edges_[i].normal = {-along.y(), along.x()};
      edges_[i].offset_mm = edges_[i].normal.dot(corners[i]);
      near_[i] = distance_to_segment_mm(at, corners[i], next(i)) <= reach.look_mm;
    }
  }

  void add_to(std::vector<PlateEdge>& out) {
    if (inside_polygon(corners_, at_) != edges_.front().is_keep_out) leave_out_what_lies_behind();
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!is_re_entrant(i) || (corners_[i] - at_).norm() > reach_.look_mm) continue;
      const bool keep_this = slack(i) >= slack(before(i));
      const std::size_t kept = keep_this ? i : before(i), other = keep_this ? before(i) : i;
      near_[other] = false;
      if (may_lie_beyond(other)) edges_[kept].exact = false;
    }
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (near_[i]) out.push_back(edges_[i]);
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

  /// Seen from a permitted place, an edge with its permitted side turned away is the far side of a strip or a
  /// notch: nothing is asked by it. If a centre may come to lie beyond it, the near side is not asked either.
  void leave_out_what_lies_behind() {
    bool beyond = false;
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (!near_[i] || slack(i) >= 0.0) continue;
      near_[i] = false;
      beyond = beyond || may_lie_beyond(i);
    }
    for (std::size_t i = 0; i < edges_.size() && beyond; ++i) {
      if (is_re_entrant(i)) edges_[i].exact = edges_[before(i)].exact = false;
    }
  }

  const std::vector<Eigen::Vector2d>& corners_;
  Eigen::Vector2d at_;
  EdgeReach reach_;
  std::vector<PlateEdge> edges_;
  std::vector<bool> near_;
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
  if (!plate.outline_mm.empty()) Walk(plate.outline_mm, kind, at, reach).add_to(edges);
  for (const KeepOut& zone : plate.keep_outs) {
    std::vector<Eigen::Vector2d> walk = zone.outline_mm;
    if (doubled_area(walk) > 0.0) std::reverse(walk.begin(), walk.end());
    kind.name = fmt::format("keep-out \"{}\" of plate {}", zone.name, plate.name);
    kind.is_keep_out = true;
    if (!walk.empty()) Walk(walk, kind, at, reach).add_to(edges);
  }
  return edges;
}

}  // namespace fairhole::detail

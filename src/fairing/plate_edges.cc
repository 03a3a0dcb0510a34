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
void add_edges_near(const std::vector<Eigen::Vector2d>& walk, const PlateEdge& kind,
                    const Eigen::Vector2d& at, double reach_mm, std::vector<PlateEdge>& out) {
  const std::size_t n = walk.size();
  std::vector<PlateEdge> edges(n, kind);
  std::vector<bool> near(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Eigen::Vector2d& a = walk[i];
    const Eigen::Vector2d along = (walk[(i + 1) % n] - a).normalized();
    edges[i].normal = {-along.y(), along.x()};
    edges[i].offset_mm = edges[i].normal.dot(a);
    near[i] = distance_to_segment_mm(at, a, walk[(i + 1) % n]) <= reach_mm;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t before = (i + n - 1) % n;
    const bool re_entrant = cross(edges[before].normal, edges[i].normal) < -1e-9;
    if (!re_entrant || (walk[i] - at).norm() > reach_mm) continue;
    const auto slack = [&](std::size_t k) { return edges[k].normal.dot(at) - edges[k].offset_mm; };
    const bool keep_this = slack(i) >= slack(before);
    near[keep_this ? before : i] = false;
    edges[keep_this ? i : before].exact = false;
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (near[i]) out.push_back(edges[i]);
  }
}

}  // namespace

double PlateEdge::need_mm(const HoleSize& size, const EdgeRules& edges) const {
  return is_keep_out ? size.hole_mm / 2.0 : least_edge_mm(edges.least, size.fastener_mm, size.hole_mm);
}

std::vector<PlateEdge> plate_edges_near(const PlateShape& plate, const Eigen::Vector2d& at, double reach_mm) {
  std::vector<PlateEdge> edges;
  PlateEdge kind;
  kind.name = fmt::format("edge of plate {}", plate.name);
  add_edges_near(plate.outline_mm, kind, at, reach_mm, edges);
  for (const KeepOut& zone : plate.keep_outs) {
    std::vector<Eigen::Vector2d> walk = zone.outline_mm;
    if (doubled_area(walk) > 0.0) std::reverse(walk.begin(), walk.end());
    kind.name = fmt::format("keep-out \"{}\" of plate {}", zone.name, plate.name);
    kind.is_keep_out = true;
    add_edges_near(walk, kind, at, reach_mm, edges);
  }
  return edges;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "limits.h"

namespace fairhole::detail {

Eigen::Vector2d nearest_on_segment(const Eigen::Vector2d& p, const Eigen::Vector2d& a,
                                   const Eigen::Vector2d& b) {
  const Eigen::Vector2d along = b - a;
  const double length2 = along.squaredNorm();
  if (length2 <= 0.0) return a;
  return a + std::clamp((p - a).dot(along) / length2, 0.0, 1.0) * along;
}

double distance_to_segment_mm(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return (p - nearest_on_segment(p, a, b)).norm();
}

// Crossings of a ray to +x (even-odd rule).
bool inside_polygon(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& p) {
  bool inside = false;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d& b = polygon[(i + 1) % polygon.size()];
    if ((a.y() > p.y()) == (b.y() > p.y())) continue;
    const double x = a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x());
    if (p.x() < x) inside = !inside;
  }
  return inside;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "outline.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fairhole::job {
namespace {

using Eigen::Vector2d;

constexpr double kLeastAreaMm2 = 1.0;  // smaller encloses no part of any machine
constexpr int kGrid = 40;              // grid points along each axis of the box round an outline

double cross(const Vector2d& a, const Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

double side(const Vector2d& a, const Vector2d& b, const Vector2d& p) { return cross(b - a, p - a); }

bool segments_cross(const Vector2d& a, const Vector2d& b, const Vector2d& c, const Vector2d& d) {
  return side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
}

const Vector2d& corner(const Outline& outline, std::size_t i) { return outline[i % outline.size()]; }

}  // namespace

double signed_area_mm2(const Outline& outline_mm) {
  double twice = 0.0;
  for (std::size_t i = 0; i < outline_mm.size(); ++i)
    twice += cross(outline_mm[i], corner(outline_mm, i + 1));
  return twice / 2.0;
}

std::optional<std::string> outline_fault(const Outline& outline_mm) {
  const std::size_t n = outline_mm.size();
  if (n < 3) return fmt::format("{} corners enclose nothing", n);
  for (std::size_t i = 0; i < n; ++i) {
    if ((outline_mm[i] - corner(outline_mm, i + 1)).norm() < 1e-6) {
      return fmt::format("corner {} is stated twice running", i + 1);
    }
    for (std::size_t j = i + 1; j < n; ++j) {
      if (segments_cross(outline_mm[i], corner(outline_mm, i + 1), outline_mm[j],
                         corner(outline_mm, j + 1))) {
        return fmt::format(
            "the outline crosses itself: the edge after corner {} and the edge after corner {}", i + 1,
            j + 1);
      }
    }
  }
  if (std::abs(signed_area_mm2(outline_mm)) < kLeastAreaMm2) return "the outline encloses nothing";
  return std::nullopt;
}

double distance_to_segment_mm(const Vector2d& point_mm, const Vector2d& a_mm, const Vector2d& b_mm) {
  const Vector2d along = b_mm - a_mm;
  const double t = std::clamp((point_mm - a_mm).dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (point_mm - (a_mm + t * along)).norm();
}

bool inside(const Outline& outline_mm, const Vector2d& point_mm, double margin_mm) {
  bool in = false;
  for (std::size_t i = 0; i < outline_mm.size(); ++i) {
    const Vector2d& a = outline_mm[i];
    const Vector2d& b = corner(outline_mm, i + 1);
    if (distance_to_segment_mm(point_mm, a, b) <= margin_mm) return true;
    // Crossing number: edges met by the ray from the point to the right.
    if ((a.y() > point_mm.y()) != (b.y() > point_mm.y()) &&
        point_mm.x() < a.x() + (point_mm.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) {
      in = !in;
    }
  }
  return in;
}

double share_over(const Outline& inner_mm, const Outline& outer_mm) {
  Vector2d low = inner_mm.front(), high = inner_mm.front();
  for (const Vector2d& p : inner_mm) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  int of_inner = 0, over = 0;
  for (int i = 0; i < kGrid; ++i) {
    for (int j = 0; j < kGrid; ++j) {
      const Vector2d p = low + (high - low).cwiseProduct(Vector2d((i + 0.5) / kGrid, (j + 0.5) / kGrid));
      if (!inside(inner_mm, p)) continue;
      ++of_inner;
      if (inside(outer_mm, p)) ++over;
    }
  }
  return of_inner == 0 ? 0.0 : static_cast<double>(over) / of_inner;
}

}  // namespace fairhole::job

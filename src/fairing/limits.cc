// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "limits.h"

#include <fmt/core.h>

#include <algorithm>
#include <limits>

#include "fairhole/base/length.h"

namespace fairhole::detail {
namespace {

constexpr double kTouchMm = 1e-9;  // rounding of a centre that lies on its limit

// The part of a line within all limits but its own, as an interval of the parameter.
struct Interval {
  double from = -1e5, to = 1e5;  // mm: plates are shorter than 100 m
};

Interval within(std::span<const Limit> limits, std::size_t own, const Eigen::Vector2d& origin,
                const Eigen::Vector2d& along) {
  Interval interval;
  for (std::size_t k = 0; k < limits.size(); ++k) {
    if (k == own) continue;
    const double slope = limits[k].normal.dot(along);
    const double slack = limits[k].slack_mm(origin);
    if (std::abs(slope) < 1e-12) {
      if (slack < -kTouchMm) return {1.0, -1.0};
      continue;
    }
    (slope > 0.0 ? interval.from : interval.to) =
        slope > 0.0 ? std::max(interval.from, -slack / slope) : std::min(interval.to, -slack / slope);
  }
  return interval;
}

// Least of a convex function over an interval, by golden section.
template <class F>
double golden_section(const F& f, Interval interval) {
  constexpr double kRatio = 0.6180339887498949;
  double a = interval.from;
  double b = interval.to;
  double x1 = b - kRatio * (b - a);
  double x2 = a + kRatio * (b - a);
  double f1 = f(x1);
  double f2 = f(x2);
  for (int i = 0; i < 90; ++i) {
    if (f1 <= f2) {
      b = x2, x2 = x1, f2 = f1;
      x1 = b - kRatio * (b - a), f1 = f(x1);
    } else {
      a = x1, x1 = x2, f1 = f2;
      x2 = a + kRatio * (b - a), f2 = f(x2);
    }
  }
  return (a + b) / 2.0;
}

}  // namespace

void add_layer_limits(const OldLayer& layer, const HoleSize& size, bool is_cut, const EdgeRules& edges,
                      std::vector<Limit>& limits) {
  for (const OldLayer::Bound& bound : layer.bounds) {
    if (!bound.head_too && !is_cut) continue;
    const double need = bound.head_too ? std::max(size.head_mm, size.hole_mm) / 2.0
                                       : least_edge_mm(edges.least, size.fastener_mm, size.hole_mm);
    limits.push_back({bound.normal, bound.offset_mm, need, fmt::format("{} of {}", bound.name, layer.part)});
  }
}

std::string plate_fault(const PlateShape& plate, const Eigen::Vector2d& p, const HoleSize& size,
                        const EdgeRule& rule) {
  const std::size_t n = plate.outline_mm.size();
  double edge = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < n; ++i) {
    edge = std::min(edge, distance_to_segment_mm(p, plate.outline_mm[i], plate.outline_mm[(i + 1) % n]));
  }
  const double need = least_edge_mm(rule, size.fastener_mm, size.hole_mm);
  if (n > 0 && !inside_polygon(plate.outline_mm, p))
    return fmt::format("the hole lies outside plate {}", plate.name);
  if (edge < need - kTouchMm) {
    return fmt::format("the edge of plate {} is {} mm from the hole's centre, {} mm is the least", plate.name,
                       format_mm(edge), format_mm(need));
  }
  for (const KeepOut& zone : plate.keep_outs) {
    double gap = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < zone.outline_mm.size(); ++i) {
      gap = std::min(gap, distance_to_segment_mm(p, zone.outline_mm[i],
                                                 zone.outline_mm[(i + 1) % zone.outline_mm.size()]));
    }
    if (inside_polygon(zone.outline_mm, p) || gap < size.hole_mm / 2.0 - kTouchMm) {
      return fmt::format("the hole touches the keep-out \"{}\" of plate {}", zone.name, plate.name);
    }
  }
  return {};
}

std::string limit_fault(std::span<const Limit> limits, const Eigen::Vector2d& p) {
  const auto worst = std::min_element(limits.begin(), limits.end(), [&p](const Limit& a, const Limit& b) {
    return a.slack_mm(p) < b.slack_mm(p);
  });
  if (worst == limits.end() || worst->slack_mm(p) >= -kTouchMm) return {};
  return fmt::format("the {} is {} mm from the centre, {} mm is the least", worst->name,
                     format_mm(worst->distance_mm(p)), format_mm(worst->need_mm));
}

double enclosing_radius_mm(std::span<const Circle> discs, const Eigen::Vector2d& c) {
  double radius = -std::numeric_limits<double>::infinity();
  for (const Circle& disc : discs) radius = std::max(radius, (disc.centre_mm - c).norm() + disc.radius_mm);
  return radius;
}

Circle smallest_about(std::span<const Circle> discs) {
  double least = 0.0;
  for (const Circle& disc : discs) least = std::min(least, disc.radius_mm);
  std::vector<Circle> grown(discs.begin(), discs.end());
  for (Circle& disc : grown) disc.radius_mm -= least;
  Circle circle = smallest_enclosing(grown).circle;
  circle.radius_mm += least;
  return circle;
}

std::optional<Eigen::Vector2d> best_centre(std::span<const Circle> discs, std::span<const Limit> limits) {
  const auto allowed = [&limits](const Eigen::Vector2d& p) {
    return std::all_of(limits.begin(), limits.end(),
                       [&p](const Limit& l) { return l.slack_mm(p) >= -kTouchMm; });
  };
  const Eigen::Vector2d free = smallest_about(discs).centre_mm;
  if (allowed(free)) return free;
  std::optional<Eigen::Vector2d> best;
  double best_radius = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < limits.size(); ++k) {
    const Limit& limit = limits[k];
    const Eigen::Vector2d along(-limit.normal.y(), limit.normal.x());
    const Eigen::Vector2d origin = free - limit.slack_mm(free) * limit.normal;
    const Interval interval = within(limits, k, origin, along);
    if (interval.from > interval.to + kTouchMm) continue;
    const auto radius = [&](double t) { return enclosing_radius_mm(discs, origin + t * along); };
    const Eigen::Vector2d p = origin + golden_section(radius, interval) * along;
    if (enclosing_radius_mm(discs, p) < best_radius) {
      best = p;
      best_radius = enclosing_radius_mm(discs, p);
    }
  }
  return best;
}

}  // namespace fairhole::detail

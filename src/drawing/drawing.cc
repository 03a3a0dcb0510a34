// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/drawing/drawing.h"

#include <cmath>
#include <initializer_list>
#include <limits>
#include <utility>

#include "check.h"

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;

/// How far descenders reach below the baseline, in heights of the capitals (DejaVu Sans: glyph p, 426 of
/// 1493).
constexpr double kDescent = 426.0 / 1493.0;

Box empty_box() {
  constexpr double kFar = std::numeric_limits<double>::infinity();
  return {.low_mm = {kFar, kFar}, .high_mm = {-kFar, -kFar}};
}

void widen(Box& box, const Vector2d& point) {
  box.low_mm = box.low_mm.cwiseMin(point);
  box.high_mm = box.high_mm.cwiseMax(point);
}

template <class Points>
Box box_of(const Points& points) {
  Box box = empty_box();
  for (const Vector2d& p : points) widen(box, p);
  return box;
}

Box round_box(const Vector2d& centre, double half_x, double half_y) {
  const Vector2d half(half_x, half_y);
  return {.low_mm = centre - half, .high_mm = centre + half};
}

Box text_box(const Text& s) {
  const double width = text_width_mm(s.text, s.height_mm, s.bold);
  const double left = s.align == Align::kLeft ? 0.0 : (s.align == Align::kCentre ? -width / 2 : -width);
  const double foot = s.vertical == Text::Vertical::kMiddle ? -s.height_mm / 2 : 0.0;
  const Vector2d along(std::cos(s.angle_rad), std::sin(s.angle_rad));
  const Vector2d up(-along.y(), along.x());
  const auto corner = [&](double x, double y) -> Vector2d { return s.at_mm + x * along + y * up; };
  const double low = foot - kDescent * s.height_mm;
  const double high = foot + s.height_mm;
  return box_of(std::initializer_list<Vector2d>{corner(left, low), corner(left + width, low),
                                                corner(left, high), corner(left + width, high)});
}

}  // namespace

void Drawing::add(Shape shape, Stroke stroke, std::string layer) {
  marks.push_back({std::move(shape), stroke, std::move(layer)});
}

Box bounds(const Shape& shape) {
  return std::visit(
      Overloaded{[](const Line& s) {
                   return box_of(std::initializer_list<Vector2d>{s.a_mm, s.b_mm});
                 },
                 [](const Circle& s) { return round_box(s.centre_mm, s.radius_mm, s.radius_mm); },
                 [](const Arc& s) { return round_box(s.centre_mm, s.radius_mm, s.radius_mm); },
                 [](const Ellipse& s) {
                   const double c = std::cos(s.angle_rad);
                   const double n = std::sin(s.angle_rad);
                   return round_box(s.centre_mm, std::hypot(s.major_mm * c, s.minor_mm * n),
                                    std::hypot(s.major_mm * n, s.minor_mm * c));
                 },
                 [](const Polyline& s) { return box_of(s.points_mm); },
                 [](const Text& s) { return text_box(s); }},
      shape);
}

Box bounds(const Drawing& drawing) {
  if (drawing.marks.empty()) return {};
  Box all = empty_box();
  for (const Mark& mark : drawing.marks) {
    const Box box = bounds(mark.shape);
    widen(all, box.low_mm);
    widen(all, box.high_mm);
  }
  return all;
}

bool overlap(const Box& a, const Box& b) {
  return (a.low_mm.array() < b.high_mm.array()).all() && (b.low_mm.array() < a.high_mm.array()).all();
}

}  // namespace fairhole::drawing

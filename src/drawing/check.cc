// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "fairhole/drawing/writers.h"

namespace fairhole::drawing {
namespace {

constexpr double kFarthestMm = 1e5;  // 100 m, the bound lengths have when they are read

bool good(double value) { return std::abs(value) <= kFarthestMm; }  // false for NaN
bool good(const Eigen::Vector2d& point) { return good(point.x()) && good(point.y()); }
bool above_zero(double value) { return value > 0.0 && value <= kFarthestMm; }

/// What is wrong with a shape, empty if nothing.
std::string fault(const Shape& shape) {
  static constexpr const char* kPlace = "a place that is not a finite number within 100 m";
  return std::visit(
      Overloaded{[](const Line& s) -> std::string { return good(s.a_mm) && good(s.b_mm) ? "" : kPlace; },
                 [](const Circle& s) -> std::string {
                   if (!good(s.centre_mm)) return kPlace;
                   return above_zero(s.radius_mm) ? "" : fmt::format("the radius {}", s.radius_mm);
                 },
                 [](const Arc& s) -> std::string {
                   if (!good(s.centre_mm) || !good(s.start_rad) || !good(s.end_rad)) return kPlace;
                   return above_zero(s.radius_mm) ? "" : fmt::format("the radius {}", s.radius_mm);
                 },
                 [](const Ellipse& s) -> std::string {
                   if (!good(s.centre_mm) || !good(s.angle_rad)) return kPlace;
                   if (above_zero(s.minor_mm) && s.major_mm >= s.minor_mm && good(s.major_mm)) return "";
                   return fmt::format("the half axes {} and {}", s.major_mm, s.minor_mm);
                 },
                 [](const Polyline& s) -> std::string {
                   if (s.points_mm.size() < 2) return fmt::format("{} points", s.points_mm.size());
                   const bool all = std::all_of(s.points_mm.begin(), s.points_mm.end(),
                                                [](const auto& p) { return good(p); });
                   return all ? "" : kPlace;
                 },
                 [](const Text& s) -> std::string {
                   if (!good(s.at_mm) || !good(s.angle_rad)) return kPlace;
                   return above_zero(s.height_mm) ? "" : fmt::format("the height {}", s.height_mm);
                 }},
      shape);
}

const char* shape_name(const Shape& shape) {
  static constexpr const char* kNames[] = {"line", "circle", "arc", "ellipse", "polyline", "text"};
  return kNames[shape.index()];
}

}  // namespace

std::optional<Problem> find_bad_mark(const Drawing& drawing) {
  for (std::size_t i = 0; i < drawing.marks.size(); ++i) {
    const Shape& shape = drawing.marks[i].shape;
    const std::string what = fault(shape);
    if (!what.empty()) {
      return Problem{codes::kDrawingBadNumber, fmt::format("drawing, mark {}", i + 1),
                     fmt::format("a {} with {}", shape_name(shape), what),
                     "places are finite and within 100 m, sizes above 0, lines have two points or more"};
    }
  }
  return std::nullopt;
}

std::optional<Problem> find_bad_mark(const Page& page) {
  if (!above_zero(page.width_mm) || !above_zero(page.height_mm)) {
    return Problem{codes::kDrawingBadNumber, "page",
                   fmt::format("a page of {} by {} mm", page.width_mm, page.height_mm),
                   "a page has a size above 0"};
  }
  if (auto problem = find_bad_mark(page.drawing)) return problem;
  return find_bad_mark(page.frame);
}

}  // namespace fairhole::drawing

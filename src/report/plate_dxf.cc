// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "fairhole/base/length.h"
#include "fairhole/report/sheets.h"
#include "hole_labels.h"
#include "placement.h"
#include "words.h"

namespace fairhole {
namespace {

using drawing::Align;
using drawing::Drawing;
using Eigen::Vector2d;

constexpr const char* kOutline = "plate outline";
constexpr const char* kCutToSize = "drill or cut to size";
constexpr const char* kPilot = "pilot, cut";
constexpr const char* kInPlace = "finish in place, do not cut";
constexpr const char* kPopMarks = "pop marks";
constexpr const char* kJoint = "joint line";
constexpr const char* kKeepClear = "keep clear";
constexpr const char* kLabels = "labels";
constexpr const char* kOrdinates = "ordinates";
constexpr const char* kCheckBar = "check bar";

constexpr double kPopArmMm = 1.5;
constexpr double kLabelMm = 3.0;       ///< height of capitals, and of all lengths below on the drawing itself
constexpr double kLineGapMm = 5.0;     ///< between lines of words
constexpr double kOutMm = 6.0;         ///< the ordinates' first straight piece, from the datum edge outwards
constexpr double kJogMm = 14.0;        ///< where the leader reaches the figure's place
constexpr double kForeignFont = 1.15;  ///< other programs set their own, wider letters

void put_line(Drawing& on, const Vector2d& a, const Vector2d& b, const char* layer,
              drawing::Dash dash = drawing::Dash::kSolid) {
  on.add(drawing::Line{a, b}, {.width_mm = drawing::kFineMm, .dash = dash}, layer);
}

void put_closed(Drawing& on, const std::vector<Vector2d>& points, const char* layer, drawing::Dash dash) {
  if (points.size() < 3) return;
  on.add(drawing::Polyline{.points_mm = points, .closed = true}, {.dash = dash}, layer);
}

/// The diameter of the pilot that starts the hole on the bench; nothing where it is drilled straight to size.
std::optional<double> pilot_of(const LaidHole& hole) {
  if (hole.pilot_mm) return hole.pilot_mm;
  if (hole.bench_steps.size() < 2) return std::nullopt;
  return hole.bench_steps.front().diameter_mm;
}

void put_hole(Drawing& on, const LaidHole& hole, const DxfContent& content) {
  const auto circle = [&](double diameter_mm, const char* layer) {
    if (diameter_mm > 0.0) on.add(drawing::Circle{hole.centre_mm, diameter_mm / 2}, {}, layer);
  };
  const auto pilot = pilot_of(hole);
  if (content.pilots_for_finish && pilot) {
    circle(*pilot, kPilot);
  } else if (hole.finish == Finish::kBench) {
    circle(hole.finish_mm, kCutToSize);
  } else {
    circle(hole.finish_mm, kInPlace);
    if (hole.pilot_mm) circle(*hole.pilot_mm, kPilot);
  }
  for (const Vector2d& arm : {Vector2d(kPopArmMm, 0.0), Vector2d(0.0, kPopArmMm)}) {
    put_line(on, hole.centre_mm - arm, hole.centre_mm + arm, kPopMarks);
  }
}

void put_labels(Drawing& on, const PlateLayout& layout, const report::Box& region) {
  for (const report::HoleLabel& label : report::label_holes(layout, region, kLabelMm, kForeignFont)) {
    if (label.leader) put_line(on, label.leader->first, label.leader->second, kLabels);
    on.add(label.text, {}, kLabels);
  }
}

/// Figure and place of one ordinate; holes on one figure share it.
std::map<double, std::string> figures(const PlateLayout& layout, int axis) {
  std::map<double, std::string> found;  // by hundredths of a mm, as written
  for (const LaidHole& hole : layout.holes) {
    const double hundredths = std::round(hole.centre_mm[axis] * 100.0);
    found[hundredths / 100.0] = format_mm(hole.centre_mm[axis], 2);
  }
  found[0.0] = "0";
  return found;
}

/// Running ordinates along one datum edge: from the edge outwards, jogged apart where they crowd.
void put_ordinates(Drawing& on, const PlateLayout& layout, int axis) {
  const auto found = figures(layout, axis);
  std::vector<double> wanted;
  wanted.reserve(found.size());
  for (const auto& [place, figure] : found) wanted.push_back(place);
  static constexpr double kPitch = 1.5;      // of the letters' height
  static constexpr double kBeyondMm = 60.0;  // how far the figures may spread past the first and last one
  for (const double height : {3.0, 2.5, 2.0, 1.5, 1.0, 0.5}) {
    const auto places =
        report::spread(wanted, kPitch * height, wanted.front() - kBeyondMm, wanted.back() + kBeyondMm);
    if (!places) continue;
    const auto beside = [&](double along, double out) {
      return axis == 0 ? Vector2d(along, -out) : Vector2d(-out, along);
    };
    std::size_t i = 0;
    for (const auto& [own, figure] : found) {
      const double place = (*places)[i++];
      put_line(on, beside(own, 1.0), beside(own, kOutMm), kOrdinates);
      put_line(on, beside(own, kOutMm), beside(place, kJogMm), kOrdinates);
      on.add(drawing::Text{.at_mm = beside(place, kJogMm + 1.0),
                           .text = figure,
                           .height_mm = height,
                           .align = Align::kRight,
                           .vertical = drawing::Text::Vertical::kMiddle,
                           .angle_rad = axis == 0 ? std::numbers::pi / 2 : 0.0},
             {}, kOrdinates);
    }
    return;
  }
}

void put_joint(Drawing& on, const PlateLayout& layout, const Vector2d& middle) {
  if (!layout.joint_line_mm) return;
  const auto& [a, b] = *layout.joint_line_mm;
  put_line(on, a, b, kJoint, drawing::Dash::kCentre);
  on.add(report::beside_joint(a, b, middle, "joint to the old plate", kLabelMm), {}, kJoint);
}

/// A bar to measure in whatever reads the file: the surest word on units.
void put_check_bar(Drawing& on, const Vector2d& left) {
  static constexpr double kBarMm = 100.0, kTickMm = 2.0;
  const Vector2d right = left + Vector2d(kBarMm, 0.0);
  put_line(on, left, right, kCheckBar);
  for (const Vector2d& end : {left, right}) {
    put_line(on, end - Vector2d(0.0, kTickMm), end + Vector2d(0.0, kTickMm), kCheckBar);
  }
  on.add(drawing::Text{.at_mm = right + Vector2d(5.0, 0.0),
                       .text = "check bar 100 mm   UNITS mm",
                       .height_mm = kLabelMm,
                       .vertical = drawing::Text::Vertical::kMiddle},
         {}, kCheckBar);
}

/// Above the plate, from below: check bar, then the words, the hand on top in large letters.
void put_title(Drawing& on, const PlateLayout& layout, const SheetTitle& title, const DxfContent& content,
               const Vector2d& corner) {
  put_check_bar(on, corner + Vector2d(0.0, 12.0));
  std::vector<std::string> lines = {
      fmt::format("{}   {}   plan {}", title.job, title.date, title.plan_hash),
      "cut or drill the layers \"drill or cut to size\" and \"pilot, cut\" only; leave the rest",
      "holes on \"finish in place, do not cut\" are reamed through the parts bolted together",
      fmt::format("{}   {} mm thick   {}", layout.plate, report::size_mm(layout.thickness_mm),
                  layout.material)};
  if (content.pilots_for_finish)
    lines.insert(lines.begin() + 1, "every hole at its pilot diameter, none at its finish");
  Vector2d at = corner + Vector2d(0.0, 20.0);
  for (const std::string& words : lines) {
    on.add(drawing::Text{.at_mm = at, .text = words, .height_mm = kLabelMm}, {}, kLabels);
    at.y() += kLineGapMm + 1.0;
  }
  on.add(drawing::Text{.at_mm = at + Vector2d(0.0, 2.0),
                       .text = report::face_words(layout),
                       .height_mm = 8.0,
                       .bold = true},
         {}, kLabels);
}

}  // namespace

Drawing plate_dxf(const PlateLayout& layout, const SheetTitle& title, const DxfContent& content) {
  Drawing on;
  on.layers = {{kOutline, 7}, {kCutToSize, 5}, {kPilot, 4},  {kInPlace, 1},   {kPopMarks, 3},
               {kJoint, 8},   {kKeepClear, 6}, {kLabels, 7}, {kOrdinates, 8}, {kCheckBar, 2}};
  const report::Box plate = report::outline_box(layout);
  put_closed(on, layout.outline_mm, kOutline, drawing::Dash::kSolid);
  for (const KeepOut& zone : layout.keep_outs)
    put_closed(on, zone.outline_mm, kKeepClear, drawing::Dash::kBroken);
  for (const LaidHole& hole : layout.holes) put_hole(on, hole, content);
  put_joint(on, layout, plate.centre_mm());
  put_labels(on, layout, plate);
  put_ordinates(on, layout, 0);
  put_ordinates(on, layout, 1);
  put_title(on, layout, title, content, {plate.low_mm.x(), plate.high_mm.y()});
  return on;
}

}  // namespace fairhole

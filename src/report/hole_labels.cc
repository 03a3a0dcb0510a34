// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "hole_labels.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "words.h"

namespace fairhole::report {
namespace {

using Eigen::Vector2d;

constexpr double kAirMm = 1.0;
constexpr double kLineHeight = 1.5;  ///< of the capitals: with descenders and air

std::string label_words(const LaidHole& hole) {
  std::string words = fmt::format("{}  \xC3\x98{}", hole.id, size_mm(hole.finish_mm));
  if (doubtful(hole)) words += fmt::format("  {}", state_name(hole.state));
  return words;
}

}  // namespace

bool doubtful(const LaidHole& hole) {
  return hole.state == State::kLookAgain || hole.state == State::kUndecided;
}

double reach_mm(const LaidHole& hole) { return std::max(hole.witness_mm, hole.finish_mm) / 2 + kAirMm; }

std::vector<HoleLabel> label_holes(const PlateLayout& layout, const Box& region, double height_mm,
                                   double stretch) {
  std::vector<LabelRequest> requests;
  for (const LaidHole& hole : layout.holes) {
    requests.push_back({hole.centre_mm, reach_mm(hole),
                        drawing::text_width_mm(label_words(hole), height_mm) * stretch,
                        height_mm * kLineHeight});
  }
  Obstacles obstacles{.region = region, .boxes = {}, .discs = {}, .lines = {}};
  const auto keep_off = [&](const std::vector<Vector2d>& outline) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
      obstacles.lines.emplace_back(outline[i], outline[(i + 1) % outline.size()]);
    }
  };
  keep_off(layout.outline_mm);
  for (const KeepOut& zone : layout.keep_outs) keep_off(zone.outline_mm);
  if (layout.joint_line_mm) obstacles.lines.push_back(*layout.joint_line_mm);
  const auto placed = place_labels(requests, obstacles);
  std::vector<HoleLabel> labels;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const Box& box = placed[i].box;
    HoleLabel label;
    label.text = {.at_mm = {box.low_mm.x(), box.centre_mm().y()},
                  .text = label_words(layout.holes[i]),
                  .height_mm = height_mm,
                  .vertical = drawing::Text::Vertical::kMiddle};
    if (placed[i].leader) {
      const Vector2d end = box.nearest(requests[i].at_mm);
      const Vector2d away = (end - requests[i].at_mm).normalized();
      label.leader = {requests[i].at_mm + requests[i].keep_off_mm * away, end};
    }
    labels.push_back(std::move(label));
  }
  return labels;
}

std::string face_words(const PlateLayout& layout) {
  const std::string face = fmt::format("marked face: {}, seen looking at it", layout.marked_face);
  return layout.hand.empty() ? face : fmt::format("{}   {}", layout.hand, face);
}

Box outline_box(const PlateLayout& layout) {
  Box box;
  const auto widen = [&](const Vector2d& p) {
    box.low_mm = box.low_mm.cwiseMin(p);
    box.high_mm = box.high_mm.cwiseMax(p);
  };  // the datum corner, the frame's origin, always belongs to it
  for (const Vector2d& corner : layout.outline_mm) widen(corner);
  for (const LaidHole& hole : layout.holes) {
    const Vector2d reach = Vector2d::Constant(reach_mm(hole));
    widen(hole.centre_mm - reach);
    widen(hole.centre_mm + reach);
  }
  return box;
}

drawing::Text beside_joint(const Vector2d& a_mm, const Vector2d& b_mm, const Vector2d& middle_mm,
                           const std::string& words, double height_mm) {
  Vector2d along = (b_mm - a_mm).normalized();
  if (along.x() < -1e-9 || (std::abs(along.x()) <= 1e-9 && along.y() < 0.0))
    along = -along;  // read from left or foot
  const Vector2d up(-along.y(), along.x());
  const Vector2d centre = (a_mm + b_mm) / 2;
  const double side = (middle_mm - centre).dot(up) > 0.0 ? -1.0 : 1.0;
  return {.at_mm = centre + side * 1.3 * height_mm * up,
          .text = words,
          .height_mm = height_mm,
          .align = drawing::Align::kCentre,
          .vertical = drawing::Text::Vertical::kMiddle,
          .angle_rad = std::atan2(along.y(), along.x())};
}

}  // namespace fairhole::report

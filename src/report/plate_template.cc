// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/report/sheets.h"
#include "hole_labels.h"
#include "pen.h"
#include "words.h"

namespace fairhole {
namespace {

using drawing::Drawing;
using Eigen::Vector2d;

constexpr double kPunchClearMm = 2.0;  ///< only the cross comes nearer to a punch point
constexpr double kCutClearMm = 3.0;    ///< about a centre kept free of cut lines and match marks, at least
constexpr double kArmBeyondMm =
    3.0;                            ///< the cross's arms end outside the witness circle: a punch leaves them
constexpr double kAroundMm = 12.0;  ///< paper shown around the plate, with the words of the edges
constexpr double kHoleLabelMm = 2.6;
constexpr double kEdgeWordsMm = 2.4;
constexpr double kEdgeWordsEveryMm = 150.0;  ///< so that every sheet along the edge has them
constexpr double kTickMm = 2.5, kTickPitchMm = 10.0;
constexpr double kOnDatumMm = 0.01;  ///< an outline corner this close to an axis lies on the datum edge

void put_hole(Drawing& on, const LaidHole& hole) {
  const double arm = report::reach_mm(hole) - 1.0 + kArmBeyondMm;
  for (const Vector2d& along : {Vector2d(arm, 0.0), Vector2d(0.0, arm)}) {
    report::line(on, hole.centre_mm - along, hole.centre_mm + along);
  }
  const auto dash = report::doubtful(hole) ? drawing::Dash::kBroken : drawing::Dash::kSolid;
  const drawing::Stroke finish{drawing::kHeavyMm, dash, drawing::Ink::kNew};
  if (hole.finish_mm / 2 - finish.width_mm / 2 >= kPunchClearMm) {
    on.add(drawing::Circle{hole.centre_mm, hole.finish_mm / 2}, finish);
  }
  if (hole.witness_mm / 2 - report::kFine.width_mm / 2 < kPunchClearMm) return;
  // Open where the arms cross it: nobody takes it for the hole.
  static constexpr double kQuarter = std::numbers::pi / 2, kGapRad = 0.12;
  for (int i = 0; i < 4; ++i) {
    on.add(drawing::Arc{hole.centre_mm, hole.witness_mm / 2, i * kQuarter + kGapRad,
                        (i + 1) * kQuarter - kGapRad},
           report::kFine);
  }
}

/// Heavy, with ticks on the plate's side and its name outside, again and again.
void put_datum_edge(Drawing& on, const Vector2d& a, const Vector2d& b, int axis) {
  static constexpr double kDatumMm = 0.7;
  report::line(on, a, b, {kDatumMm, drawing::Dash::kSolid, drawing::Ink::kInk});
  const double from = std::min(a[1 - axis], b[1 - axis]);
  const double length = (b - a).norm();
  const Vector2d along = Vector2d::Unit(1 - axis);
  const Vector2d inward = Vector2d::Unit(axis);
  const Vector2d start = Vector2d::Zero() + from * along;
  for (int i = 1; i * kTickPitchMm < length; ++i) {
    const Vector2d foot = start + i * kTickPitchMm * along;
    report::line(on, foot, foot + kTickMm * inward);
  }
  const bool upright = axis == 0;
  const int count = std::max(1, static_cast<int>(length / kEdgeWordsEveryMm));
  for (int i = 0; i < count; ++i) {
    report::write(on, start + (i + 0.5) * length / count * along - 1.6 * kEdgeWordsMm * inward,
                  upright ? "datum edge, y runs along it" : "datum edge, x runs along it",
                  {.height_mm = kEdgeWordsMm,
                   .align = drawing::Align::kCentre,
                   .vertical = drawing::Text::Vertical::kMiddle,
                   .angle_rad = upright ? std::numbers::pi / 2 : 0.0});
  }
}

void put_edges(Drawing& on, const PlateLayout& layout) {
  if (layout.outline_mm.size() < 3) return;
  on.add(drawing::Polyline{.points_mm = layout.outline_mm, .closed = true}, report::kHeavy);
  const std::size_t n = layout.outline_mm.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vector2d& a = layout.outline_mm[i];
    const Vector2d& b = layout.outline_mm[(i + 1) % n];
    for (const int axis : {0, 1}) {
      const bool on_axis = std::abs(a[axis]) <= kOnDatumMm && std::abs(b[axis]) <= kOnDatumMm;
      if (on_axis && (a - b).norm() > kTickPitchMm) put_datum_edge(on, a, b, axis);
    }
  }
}

void put_surroundings(Drawing& on, const PlateLayout& layout, const Vector2d& middle) {
  for (const KeepOut& zone : layout.keep_outs) {
    if (zone.outline_mm.size() < 2) continue;
    on.add(drawing::Polyline{.points_mm = zone.outline_mm, .closed = true},
           {drawing::kFineMm, drawing::Dash::kBroken, drawing::Ink::kWarn});
  }
  if (!layout.joint_line_mm) return;
  const auto& [a, b] = *layout.joint_line_mm;
  report::line(on, a, b, {drawing::kMediumMm, drawing::Dash::kCentre, drawing::Ink::kOld});
  on.add(report::beside_joint(a, b, middle, "joint to the old plate", kEdgeWordsMm),
         {.ink = drawing::Ink::kOld});
}

Drawing full_size(const PlateLayout& layout, const report::Box& plate) {
  Drawing on;
  put_surroundings(on, layout, plate.centre_mm());
  put_edges(on, layout);
  for (const LaidHole& hole : layout.holes) put_hole(on, hole);
  for (const report::HoleLabel& label : report::label_holes(layout, plate, kHoleLabelMm)) {
    if (label.leader) report::line(on, label.leader->first, label.leader->second);
    on.add(label.text);
  }
  return on;
}

drawing::TileTitle title_of(const PlateLayout& layout, const SheetTitle& title, bool mirrored) {
  std::string headline = report::face_words(layout);
  if (mirrored) {
    headline = fmt::format("{}{}MIRRORED, for the face that is not the {} one", layout.hand,
                           layout.hand.empty() ? "" : "   ", layout.marked_face);
  }
  return {headline, fmt::format("{}, {}, {}, plan {}. Print at actual size.", title.job, layout.plate,
                                title.date, title.plan_hash)};
}

}  // namespace

namespace {

/// Sheets that show one hole and no other: nothing on them tells whether they lie right.
int lone_holes(const PlateLayout& layout, const drawing::TileLayout& tiles) {
  return static_cast<int>(
      std::count_if(tiles.tiles.begin(), tiles.tiles.end(), [&](const drawing::Tile& tile) {
        return std::count_if(layout.holes.begin(), layout.holes.end(), [&](const LaidHole& hole) {
                 const Eigen::Vector2d at = hole.centre_mm - Eigen::Vector2d(tile.x_mm, tile.y_mm);
                 const double r = 0.5 * hole.finish_mm;
                 return at.x() > -r && at.x() < tile.width_mm + r && at.y() > -r &&
                        at.y() < tile.height_mm + r;
               }) == 1;
      }));
}

/// Holes whose circles a cut line would run through.
int cut_holes(const PlateLayout& layout, const drawing::TileLayout& tiles, double overlap_mm) {
  int cut = 0;
  for (const drawing::Tile& tile : tiles.tiles) {
    const Eigen::Vector2d low(tile.x_mm, tile.y_mm);
    const Eigen::Vector2d line = low + Eigen::Vector2d::Constant(0.5 * overlap_mm);
    for (const LaidHole& hole : layout.holes) {
      const double reach = report::reach_mm(hole);
      const Eigen::Vector2d at = hole.centre_mm - low;
      const bool inside = at.x() > 0.0 && at.x() < tile.width_mm && at.y() > 0.0 && at.y() < tile.height_mm;
      if (!inside) continue;
      const Eigen::Vector2d off = (hole.centre_mm - line).cwiseAbs();
      cut += (tile.column > 0 && off.x() < reach) || (tile.row > 0 && off.y() < reach) ? 1 : 0;
    }
  }
  return cut;
}

/// The sheets cover more than the plate: they are shifted within that until the fewest show a single hole,
/// and then until the fewest circles lie under a cut.
Result<drawing::TileLayout> lay_sheets(const PlateLayout& layout, const report::Box& shown,
                                       const drawing::TileOptions& options) {
  constexpr int kSteps = 8;         // each way, along and across
  constexpr int kLoneWeighs = 100;  // against a hole under a cut
  const auto faults = [&](const drawing::TileLayout& tiles) {
    return kLoneWeighs * lone_holes(layout, tiles) + cut_holes(layout, tiles, options.overlap_mm);
  };
  const auto laid = [&](const Eigen::Vector2d& shift) {
    const Eigen::Vector2d low = shown.low_mm + shift, high = shown.high_mm + shift;
    return drawing::lay_tiles(low.x(), low.y(), high.x(), high.y(), options);
  };
  Result<drawing::TileLayout> best = laid(Eigen::Vector2d::Zero());
  if (!best || options.single_sheet) return best;
  Eigen::Vector2d slack = shown.low_mm;
  for (const drawing::Tile& tile : best->tiles) slack = slack.cwiseMin(Eigen::Vector2d(tile.x_mm, tile.y_mm));
  slack = shown.low_mm - slack;  // as much beyond the other end
  int fewest = faults(*best);
  for (int i = -kSteps; i <= kSteps && fewest > 0; ++i) {
    for (int j = -kSteps; j <= kSteps && fewest > 0; ++j) {
      Result<drawing::TileLayout> tried = laid(slack.cwiseProduct(Eigen::Vector2d(i, j)) / kSteps);
      if (!tried || tried->tiles.size() != best->tiles.size()) continue;
      const int found = faults(*tried);
      if (found >= fewest) continue;
      fewest = found;
      best = std::move(tried);
    }
  }
  return best;
}

}  // namespace

Result<std::vector<drawing::Page>> plate_template(const PlateLayout& layout, const SheetTitle& title,
                                                  const drawing::TileOptions& options) {
  const report::Box plate = report::outline_box(layout);
  const report::Box shown = plate.grown(kAroundMm);
  const auto tiles = lay_sheets(layout, shown, options);
  if (!tiles) return tiles.problems();
  std::vector<drawing::Circle> keep_clear;
  for (const LaidHole& hole : layout.holes)
    keep_clear.push_back({hole.centre_mm, std::max(kCutClearMm, report::reach_mm(hole))});
  return drawing::tile_pages(full_size(layout, plate), *tiles, options,
                             title_of(layout, title, options.mirrored), keep_clear);
}

}  // namespace fairhole

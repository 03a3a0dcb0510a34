// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tile_frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <numbers>

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;

// The foot strip from below, heights over the margin: x bar with its words, title lines beside the map, room
// for the words of the cut lines. The left strip from outside likewise.
constexpr double kBarMm = 2.0;       ///< the bar's line
constexpr double kBarTickMm = 2.0;   ///< half the length of its end ticks
constexpr double kBarWordsMm = 4.8;  ///< baseline of its words
constexpr double kLineMm = 8.6;
constexpr double kLabelMm = 12.2;
constexpr double kHeadlineMm = 16.6;
constexpr double kMapLowMm = 8.6, kMapHighMm = 21.8;
constexpr double kMapWidthMm = 40.0;

constexpr double kSmallMm = 2.0, kMiddleMm = 2.4, kLargeMm = 5.0;  ///< heights of capitals

constexpr Stroke kFine{.width_mm = kFineMm};
constexpr Stroke kMedium{.width_mm = kMediumMm};
constexpr Stroke kSlate{.width_mm = kFineMm, .ink = Ink::kOld};

/// A text made smaller, if need be, to fit a width.
Text fitted(Text text, double room_mm) {
  const double width = text_width_mm(text.text, text.height_mm, text.bold);
  if (width > room_mm) text.height_mm *= room_mm / width;
  return text;
}

Polyline rectangle(const Vector2d& low, const Vector2d& high) {
  return {.points_mm = {low, {high.x(), low.y()}, high, {low.x(), high.y()}}, .closed = true};
}

/// Every 10 mm a tick, longer at 50; the ends longest: a rule laid beside it shows where it runs off.
void put_bar(Drawing& out, const Vector2d& start, const Vector2d& end) {
  const Vector2d across = Vector2d(start.y() - end.y(), end.x() - start.x()).normalized();
  out.add(Line{start, end}, kMedium);
  static constexpr int kParts = static_cast<int>(kCheckBarMm / 10.0);
  for (int i = 0; i <= kParts; ++i) {
    const bool at_end = i == 0 || i == kParts;
    const double half = at_end ? kBarTickMm : (i % 5 == 0 ? 0.6 * kBarTickMm : 0.3 * kBarTickMm);
    const Vector2d at = start + (end - start) * i / kParts;
    out.add(Line{at - half * across, at + half * across}, kFine);
  }
}

std::string bar_words(char axis, double scale) {
  std::string corrected;
  if (scale != 1.0) corrected = fmt::format(" Corrected for this printer: x {:.4f}.", scale);
  if (axis == 'y' && !corrected.empty()) corrected[corrected.find(": x ") + 2] = 'y';
  return fmt::format("Measure me ({}): {:.0f} mm from end to end. If not, print anew with what you read.{}",
                     axis, kCheckBarMm, corrected);
}

}  // namespace

void SheetFrame::put_bars(Drawing& out, const TileView& view) const {
  const double margin = options.margin_mm;
  const double left = view.window().low_mm.x();
  const double foot = view.window().low_mm.y();
  const Vector2d x_start(left, margin + kBarMm);
  put_bar(out, x_start, x_start + Vector2d(kCheckBarMm * options.scale_x, 0.0));
  out.add(fitted(
      {.at_mm = {left, margin + kBarWordsMm}, .text = bar_words('x', options.scale_x), .height_mm = kSmallMm},
      kCheckBarMm * options.scale_x));
  const Vector2d y_start(margin + kBarMm, foot);
  put_bar(out, y_start, y_start + Vector2d(0.0, kCheckBarMm * options.scale_y));
  // Turned, a text stands to the left of its baseline.
  out.add(fitted({.at_mm = {margin + kBarWordsMm + kSmallMm, foot},
                  .text = bar_words('y', options.scale_y),
                  .height_mm = kSmallMm,
                  .angle_rad = std::numbers::pi / 2},
                 kCheckBarMm * options.scale_y));
}

std::string SheetFrame::label(const Tile& tile) const {
  if (layout.tiles.size() == 1) return "One sheet";
  const auto at = [&](int row, int column) {
    const auto first = layout.tiles.begin() + static_cast<std::ptrdiff_t>(row) * layout.columns;
    return (first + column)->name;
  };
  std::string lay;
  if (tile.column > 0) lay = fmt::format("{} on the left", at(tile.row, tile.column - 1));
  if (tile.row > 0) lay += fmt::format("{}{} below", lay.empty() ? "" : ", ", at(tile.row - 1, tile.column));
  if (!lay.empty()) lay = fmt::format(" Join {}: cut, and lay over.", lay);
  return fmt::format("Sheet {}, {} of {}.{}", tile.name, tile.row * layout.columns + tile.column + 1,
                     layout.tiles.size(), lay);
}

void SheetFrame::put_words(Drawing& out, const Tile& tile, double left_mm, double right_mm) const {
  const double room = right_mm - left_mm;
  const double margin = options.margin_mm;
  out.add(fitted(
      {.at_mm = {left_mm, margin + kHeadlineMm}, .text = title.headline, .height_mm = kLargeMm, .bold = true},
      room));
  out.add(fitted(
      {.at_mm = {left_mm, margin + kLabelMm}, .text = label(tile), .height_mm = kMiddleMm, .bold = true},
      room));
  out.add(fitted({.at_mm = {left_mm, margin + kLineMm}, .text = title.line, .height_mm = kSmallMm}, room));
}

/// All sheets in small with the heavy closed lines of the drawing, this sheet in slate.
void SheetFrame::put_map(Drawing& out, const Tile& tile, const Box& room) const {
  const Tile& corner = options.mirrored ? layout.tiles.back() : layout.tiles.front();  // the one lowest in x
  const double step_x = layout.tiles.front().width_mm - options.overlap_mm;
  const double step_y = layout.tiles.front().height_mm - options.overlap_mm;
  const Vector2d covered(layout.columns * step_x, layout.rows * step_y);
  const Vector2d low(corner.x_mm + options.overlap_mm / 2,
                     layout.tiles.front().y_mm + options.overlap_mm / 2);
  const Vector2d size = room.high_mm - room.low_mm;
  const double scale = std::min(size.x() / covered.x(), size.y() / covered.y());
  const Vector2d origin(room.high_mm.x() - covered.x() * scale, room.high_mm.y() - covered.y() * scale);
  const Vector2d cell(step_x * scale, step_y * scale);
  const auto cell_low = [&](const Tile& t) -> Vector2d {
    return origin + cell.cwiseProduct(Vector2d(t.column, t.row));
  };
  Polyline here = rectangle(cell_low(tile), cell_low(tile) + cell);
  here.filled = true;
  out.add(here, {.ink = Ink::kOld});
  for (const Mark& mark : drawing.marks) {
    const auto* line = std::get_if<Polyline>(&mark.shape);
    if (line == nullptr || !line->closed || mark.stroke.width_mm < kHeavyMm) continue;
    Polyline small = *line;
    for (Vector2d& p : small.points_mm) {
      p = (p - low) * scale;
      p = origin + Vector2d(options.mirrored ? covered.x() * scale - p.x() : p.x(), p.y());
    }
    out.add(small, kFine);
  }
  for (const Tile& t : layout.tiles) {
    out.add(rectangle(cell_low(t), cell_low(t) + cell), kSlate);
    const double height = std::min(1.8, cell.y() * 0.5);
    if (text_width_mm(t.name, height) > 0.9 * cell.x() || height < 1.0) continue;  // too small to read
    const Vector2d middle = cell_low(t) + cell / 2;
    if (t.name != tile.name) {  // the outline gives way to the name
      const Vector2d half(0.5 * text_width_mm(t.name, height) + 0.3, 0.75 * height);
      Polyline ground = rectangle(middle - half, middle + half);
      ground.filled = true;
      out.add(ground, {.ink = Ink::kPaper});
    }
    out.add(Text{.at_mm = middle,
                 .text = t.name,
                 .height_mm = height,
                 .align = Align::kCentre,
                 .vertical = Text::Vertical::kMiddle},
            {.ink = t.name == tile.name ? Ink::kPaper : Ink::kOld});
  }
}

void SheetFrame::put(Drawing& out, const Tile& tile, const TileView& view) const {
  const double margin = options.margin_mm;
  const double left = view.window().low_mm.x();
  const double right = view.window().high_mm.x();
  put_bars(out, view);
  const bool alone = layout.tiles.size() == 1;
  put_words(out, tile, left, alone ? right : right - kMapWidthMm - 4.0);
  if (!alone) put_map(out, tile, {{right - kMapWidthMm, margin + kMapLowMm}, {right, margin + kMapHighMm}});
}

}  // namespace fairhole::drawing

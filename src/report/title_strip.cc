// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "title_strip.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kHandHeightMm = 9.5;  ///< the largest type on the sheet
constexpr double kPadMm = 2.0;
constexpr double kSmallMm = 2.0;
constexpr double kNameMm = 2.9;

/// Cells of the strip, left to right: hand, picture, names, sheet and date.
struct Cells {
  Box hand, picture, names, sheet;
};

Cells cells_of(const Box& box) {
  const double left = box.low_mm.x();
  const double right = box.high_mm.x();
  const double bottom = box.low_mm.y();
  const double top = box.high_mm.y();
  const double hand = left + 53.0;
  const double picture = hand + 25.0;
  const double sheet = right - 42.0;
  return {{{left, bottom}, {hand, top}},
          {{hand, bottom}, {picture, top}},
          {{picture, bottom}, {sheet, top}},
          {{sheet, bottom}, {right, top}}};
}

void draw_hand(drawing::Drawing& on, const Box& cell, const Strip& strip) {
  const double width = cell.width_mm() - 2.0 * kPadMm;
  const double x = cell.centre_mm().x();
  const std::string word = strip.hand.empty() ? strip.plate : strip.hand;
  double height = kHandHeightMm;
  const double natural = drawing::text_width_mm(word, height, true);
  // A hand is one short word and always has its full size; only a plate's name standing in for it is shrunk.
  if (natural > width) height = std::max(3.0, 0.98 * height * width / natural);
  write(on, {x, cell.high_mm.y() - kPadMm - 1.5 - kHandHeightMm}, fitted(word, width, height, true),
        {.height_mm = height, .bold = true, .align = drawing::Align::kCentre});
  if (strip.marked_face.empty()) return;
  const double base = cell.low_mm.y() + kPadMm + 1.0;
  write(on, {x, base + 4.2},
        fitted(fmt::format("seen on its {} face", upper_case(strip.marked_face)), width, 2.6, true),
        {.height_mm = 2.6, .bold = true, .align = drawing::Align::kCentre});
  write(on, {x, base}, "the marks are on this face",
        {.height_mm = kSmallMm, .align = drawing::Align::kCentre});
}

void draw_names(drawing::Drawing& on, const Box& cell, const Strip& strip) {
  const double x = cell.low_mm.x() + kPadMm;
  const double width = cell.width_mm() - 2.0 * kPadMm;
  double y = cell.high_mm.y() - kPadMm - kNameMm - 0.6;
  const auto put = [&](const std::string& text, double height, bool bold, std::size_t most_lines) {
    std::vector<std::string> lines = wrapped(text, width, height, bold);
    if (lines.size() > most_lines) {
      lines[most_lines - 1] += " " + lines[most_lines];
      lines.resize(most_lines);
    }
    for (const std::string& row : lines) {
      write(on, {x, y}, fitted(row, width, height, bold), {.height_mm = height, .bold = bold});
      y -= height * 1.75;
    }
  };
  put(strip.plate, kNameMm, true, 1);
  put(strip.title.job, 2.4, false, 2);
  y -= 0.6;
  put(strip.caution.empty() ? caution_line() : strip.caution, kSmallMm, false, 2);
}

void draw_sheet_cell(drawing::Drawing& on, const Box& cell, const Strip& strip) {
  const double x = cell.low_mm.x() + kPadMm;
  const double width = cell.width_mm() - 2.0 * kPadMm;
  double y = cell.high_mm.y() - kPadMm - 3.6;
  write(on, {x, y}, fitted(fmt::format("sheet {} of {}", strip.sheet, strip.of), width, 3.2, true),
        {.height_mm = 3.2, .bold = true});
  std::vector<std::string> rows{"date " + strip.title.date, "plan " + strip.title.plan_hash};
  if (!strip.scale.empty()) rows.insert(rows.begin(), "scale " + strip.scale);
  for (const std::string& row : rows) {
    y -= 5.0;
    write(on, {x, y}, fitted(row, width, 2.2), {.height_mm = 2.2});
  }
}

}  // namespace

void draw_hand_picture(drawing::Drawing& on, const Box& box, const std::string& hand,
                       const std::string& marked_face) {
  const Eigen::Vector2d mid = box.centre_mm();
  const double half_gap = 0.17 * box.width_mm();
  const double foot = box.low_mm.y() + 7.2;
  const double head = box.high_mm.y() - 4.6;
  const drawing::Stroke plate_stroke{0.9, drawing::Dash::kSolid, drawing::Ink::kNew};
  for (const auto& [name, side] : {std::pair{"LEFT", -1.0}, std::pair{"RIGHT", 1.0}}) {
    const bool ours = hand == name;
    const double x = mid.x() + side * half_gap;
    line(on, {x, foot}, {x, head}, ours ? plate_stroke : kFine);
    if (!ours || (marked_face != "outer" && marked_face != "inner")) continue;
    const double from = marked_face == "outer" ? side : -side;
    const Eigen::Vector2d tip(x + from * 0.8, 0.5 * (foot + head));
    const double tail = marked_face == "outer" ? 6.0 : 5.2;
    line(on, tip, tip + Eigen::Vector2d(from * tail, 0.0), kMedium);
    arrow_head(on, tip, {-from, 0.0}, 2.6);
  }
  const Words small{.height_mm = 1.9, .align = drawing::Align::kCentre};
  write(on, {mid.x(), head + 1.3}, "toe", small);
  // Who stands at the rear and looks towards the toe: head and shoulders from above.
  dot(on, {mid.x(), foot - 1.4}, 0.8);
  on.add(drawing::Ellipse{{mid.x(), foot - 1.4}, 2.0, 0.9, 0.0}, kFine);
  write(on, {mid.x(), box.low_mm.y() + 1.6}, "rear", small);
}

void draw_title_strip(drawing::Drawing& on, const Box& box, const Strip& strip) {
  const Cells cells = cells_of(box);
  rectangle(on, box, kHeavy);
  for (const Box& cell : {cells.picture, cells.names, cells.sheet}) {
    line(on, cell.low_mm, {cell.low_mm.x(), cell.high_mm.y()}, kMedium);
  }
  draw_hand(on, cells.hand, strip);
  if (!strip.hand.empty() || !strip.marked_face.empty())
    draw_hand_picture(on, cells.picture, strip.hand, strip.marked_face);
  draw_names(on, cells.names, strip);
  draw_sheet_cell(on, cells.sheet, strip);
}

}  // namespace fairhole::report

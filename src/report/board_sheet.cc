// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/board_sheet.h"

#include <fmt/format.h>

#include <numbers>

#include "pen.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using report::Words;

constexpr double kTickMm = 1.6;  // half of an end tick
constexpr double kSmallMm = 2.2;
constexpr double kLineMm = 4.6;  // from line to line of the words
constexpr drawing::Stroke kBarStroke{drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kBlack};

void draw_bar(drawing::Drawing& on, const BoardSheet::Bar& bar) {
  const Vector2d along = (bar.b_mm - bar.a_mm).normalized();
  const Vector2d up(-along.y(), along.x());
  report::line(on, bar.a_mm, bar.b_mm, kBarStroke);
  for (const Vector2d& end : {bar.a_mm, bar.b_mm})
    report::line(on, end - kTickMm * up, end + kTickMm * up, kBarStroke);
  const std::string words = fmt::format("{} check bar: {:g} mm by design, tick to tick. Measure me.",
                                        bar.along_x ? "x" : "y", bar.length_mm);
  report::write(on, 0.5 * (bar.a_mm + bar.b_mm) + 1.0 * up, words,
                {.height_mm = 1.8,
                 .align = drawing::Align::kCentre,
                 .angle_rad = bar.along_x ? 0.0 : std::numbers::pi / 2.0});
}

std::vector<std::string> instructions(const std::string& name) {
  return {
      "1. Print at full size (100 %, \"actual size\"), on matt paper.",
      "2. Measure both check bars to 0.1 mm with a steel rule and write down what they are:",
      "x ______________ mm      y ______________ mm",
      "3. Tape the sheet flat to the face that has the holes. Nothing may cover it.",
      // One sentence over two lines of code.
      std::string(
          "4. Photograph from above, the whole sheet and the holes in the picture; then once or twice ") +
          "more from the side. Do not zoom between the pictures.",
      "5. On a long part lay sheets of different numbers; each picture shows two of them.",
      fmt::format("6. fairhole photo PICTURES --board {}.json --check {}=X,Y", name, name),
  };
}

void write_words(drawing::Drawing& on, const BoardSheet& sheet) {
  const double left = sheet.words_low_mm.x(), width = sheet.words_high_mm.x() - left;
  double y = sheet.words_high_mm.y() - 8.0;
  report::write(on, {left, y}, sheet.name, {.height_mm = 8.0, .bold = true});
  report::write(on, {sheet.words_high_mm.x(), y}, "Scale board",
                {.height_mm = 4.0, .align = drawing::Align::kRight});
  y -= 4.0;
  report::line(on, {left, y}, {sheet.words_high_mm.x(), y}, report::kMedium);
  y -= 2.0;
  for (const std::string& step : instructions(sheet.name)) {
    y -= 2.0;
    for (const std::string& row : report::wrapped(step, width, kSmallMm)) {
      y -= kLineMm;
      report::write(on, {left, y}, row, {.height_mm = kSmallMm});
    }
  }
}

}  // namespace

drawing::Page board_page(const BoardSheet& sheet) {
  drawing::Page page = report::blank_page(sheet.width_mm, sheet.height_mm);
  for (const BoardSheet::Rectangle& box : sheet.rectangles)
    page.drawing.add(drawing::Polyline{.points_mm = {box.low_mm,
                                                     {box.high_mm.x(), box.low_mm.y()},
                                                     box.high_mm,
                                                     {box.low_mm.x(), box.high_mm.y()}},
                                       .closed = true,
                                       .filled = true},
                     {.ink = box.black ? drawing::Ink::kBlack : drawing::Ink::kPaper});
  for (const BoardSheet::Bar& bar : sheet.bars) draw_bar(page.drawing, bar);
  write_words(page.drawing, sheet);
  return page;
}

}  // namespace fairhole

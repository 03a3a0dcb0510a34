// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "bush_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "fairhole/report/fastener_sheets.h"
#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kFigureMm = 2.4;
constexpr double kRoomAroundMm = 10.0;  // above for the outside, below for the length

/// Lines at 45 degrees across a box.
void hatch(drawing::Drawing& on, const Box& box) {
  constexpr double kApartMm = 2.0;
  const double first = box.low_mm.y() - box.high_mm.x(), last = box.high_mm.y() - box.low_mm.x();
  const int lines = static_cast<int>(std::ceil((last - first) / kApartMm)) - 1;
  for (int i = 1; i <= lines; ++i) {
    const double c = first + i * kApartMm;  // y = x + c
    const double x1 = std::max(box.low_mm.x(), box.low_mm.y() - c);
    const double x2 = std::min(box.high_mm.x(), box.high_mm.y() - c);
    if (x2 > x1) line(on, {x1, x1 + c}, {x2, x2 + c}, kFine);
  }
}

/// A dimension between two points on one level or plumb line, its words beside its middle.
void dimension(drawing::Drawing& on, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  line(on, a, b, kFine);
  arrow_head(on, a, a - b, 2.0);
  arrow_head(on, b, b - a, 2.0);
}

}  // namespace

void draw_bush(drawing::Drawing& on, const Box& box, const LayerBush& bush) {
  assert(bush.design.has_value());
  const double outside_mm = bush.design->outside.max_mm();
  double scale = 0.05;
  for (const double trial : {2.0, 1.5, 1.0, 0.8, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1}) {
    if (trial * outside_mm + 2.0 * kRoomAroundMm > box.height_mm() || trial * bush.length_mm > 70.0) continue;
    scale = trial;
    break;
  }
  const double x1 = box.low_mm.x() + 10.0, x2 = x1 + scale * bush.length_mm;
  const double axis = (box.low_mm.y() + box.high_mm.y()) / 2.0;
  const double high = scale * outside_mm / 2.0, bore = scale * bush.turned_bore_mm / 2.0;
  for (const double side : {1.0, -1.0}) {
    const Box wall{{x1, axis + std::min(side * bore, side * high)},
                   {x2, axis + std::max(side * bore, side * high)}};
    rectangle(on, wall, kMedium);
    hatch(on, wall);
  }
  line(on, {x1, axis - bore}, {x1, axis + bore}, kFine);
  line(on, {x2, axis - bore}, {x2, axis + bore}, kFine);
  drawing::Stroke centre = kFine;
  centre.dash = drawing::Dash::kCentre;
  line(on, {x1 - 3.0, axis}, {x2 + 3.0, axis}, centre);

  const double below = axis - high - 5.0, bore_x = x2 + 7.0, outside_x = x2 + 60.0;
  for (const double x : {x1, x2}) line(on, {x, axis - high - 0.8}, {x, below - 1.0});
  dimension(on, {x1, below}, {x2, below});
  write(on, {(x1 + x2) / 2.0, below - 4.0}, size_mm(bush.length_mm),
        {.height_mm = kFigureMm, .align = drawing::Align::kCentre});
  for (const double side : {1.0, -1.0}) {
    line(on, {x2 + 0.8, axis + side * bore}, {bore_x + 1.0, axis + side * bore});
    line(on, {x2 + 0.8, axis + side * high}, {outside_x + 1.0, axis + side * high});
  }
  dimension(on, {bore_x, axis - bore}, {bore_x, axis + bore});
  dimension(on, {outside_x, axis - high}, {outside_x, axis + high});
  const drawing::Text::Vertical middle = drawing::Text::Vertical::kMiddle;
  write(on, {bore_x + 2.0, axis + 2.2}, fmt::format("\u2300 {} turned", size_mm(bush.turned_bore_mm)),
        {.height_mm = kFigureMm, .vertical = middle});
  write(on, {bore_x + 2.0, axis - 2.2}, fmt::format("in place \u2300 {}", bush_bore_words(bush)),
        {.height_mm = kFigureMm, .vertical = middle});
  write(on, {outside_x + 2.0, axis}, fmt::format("\u2300 {}", limits_words(bush.design->outside)),
        {.height_mm = kFigureMm, .vertical = middle});
}

}  // namespace fairhole::report

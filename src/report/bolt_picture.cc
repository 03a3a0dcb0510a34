// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "bolt_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

#include "fairhole/base/length.h"
#include "fairhole/report/fastener_sheets.h"
#include "head_picture.h"
#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

using fasteners::BoltDesign;

constexpr double kTextMm = 2.4;
constexpr double kHeadRoomMm = 38.0;  // left of the head, for its words
constexpr double kRightMm = 6.0;
constexpr double kAboveMm = 11.0;  // words over the shank
constexpr double kBelowMm = 17.0;  // three running dimensions
constexpr double kStepMm = 5.2;    // from one dimension to the next

/// The bolt's axis on paper, the underside of its head at `origin_mm`.
struct Side {
  drawing::Drawing& on;
  Eigen::Vector2d origin_mm;
  double scale;
  Eigen::Vector2d at(double x_mm, double y_mm) const {
    return origin_mm + scale * Eigen::Vector2d(x_mm, y_mm);
  }
  void stroke(double x1, double y1, double x2, double y2, const drawing::Stroke& with = kMedium) const {
    line(on, at(x1, y1), at(x2, y2), with);
  }
  /// The same above and below the axis.
  void both(double x1, double y1, double x2, double y2, const drawing::Stroke& with = kMedium) const {
    stroke(x1, y1, x2, y2, with);
    stroke(x1, -y1, x2, -y2, with);
  }
};

void draw_head(const Side& side, const BoltDesign& bolt) {
  const double high = bolt.head.height_mm;
  if (bolt.hexagon) {
    const double corner = bolt.across_corners_mm / 2.0;
    side.both(-high, corner, 0.0, corner);
    side.both(-high, corner / 2.0, 0.0, corner / 2.0, kFine);
    side.stroke(-high, -corner, -high, corner);
    side.stroke(0.0, -corner, 0.0, corner);
    return;
  }
  draw_rivet_head(side.on, side.at(0.0, 0.0), side.scale, bolt.head, bolt.shank.max_mm(), -1.0, kMedium);
  if (bolt.flat_from_axis_mm) {
    drawing::Stroke hidden = kMedium;
    hidden.dash = drawing::Dash::kBroken;
    side.stroke(-high, -*bolt.flat_from_axis_mm, 0.0, -*bolt.flat_from_axis_mm, hidden);
  }
}

void draw_body(const Side& side, const BoltDesign& bolt, double shank_diameter_mm) {
  const double shank = shank_diameter_mm / 2.0, relief = bolt.relief_diameter_mm / 2.0;
  const double major = bolt.thread.major_mm / 2.0, core = bolt.thread.core_mm() / 2.0;
  const double thread_from = bolt.shank_mm + bolt.relief_mm, end = bolt.length_mm;
  const double point = bolt.thread.pitch_mm;
  side.both(0.0, shank, bolt.shank_mm, shank);
  side.stroke(bolt.shank_mm, -shank, bolt.shank_mm, shank);
  side.both(bolt.shank_mm, relief, thread_from, relief);
  side.stroke(thread_from, -major, thread_from, major);
  side.both(thread_from, major, end - point, major);
  side.both(end - point, major, end, major - point);
  side.stroke(end, -(major - point), end, major - point);
  side.stroke(end - point, -major, end - point, major, kFine);
  side.both(thread_from, core, end - point, core, kFine);
  drawing::Stroke axis = kFine;
  axis.dash = drawing::Dash::kCentre;
  side.stroke(-bolt.head.height_mm - 3.0 / side.scale, 0.0, end + 3.0 / side.scale, 0.0, axis);
}

/// A length from the underside of the head, `row` of the dimensions below the bolt.
void dimension(const Side& side, const BoltDesign& bolt, double to_mm, double from_y_mm, int row,
               const std::string& words) {
  const double lowest =
      std::max(bolt.hexagon ? bolt.across_corners_mm : bolt.head.diameter_mm, bolt.shank.max_mm()) / 2.0;
  const double y = side.at(0.0, -lowest).y() - 4.0 - kStepMm * row;
  const double x1 = side.at(0.0, 0.0).x(), x2 = side.at(to_mm, 0.0).x();
  line(side.on, {x1, side.at(0.0, -lowest).y() - 0.8}, {x1, y - 1.0}, kFine);
  line(side.on, {x2, side.at(0.0, -from_y_mm).y() - 0.8}, {x2, y - 1.0}, kFine);
  line(side.on, {x1, y}, {x2, y}, kFine);
  arrow_head(side.on, {x1, y}, {-1.0, 0.0}, 2.0);
  arrow_head(side.on, {x2, y}, {1.0, 0.0}, 2.0);
  const bool fits = drawing::text_width_mm(words, kTextMm) + 2.0 < x2 - x1;
  // Right of the arrows the lines of the next dimensions come down.
  write(side.on, {fits ? (x1 + x2) / 2.0 : x1 - 1.5, y + (fits ? 0.9 : 0.0)}, words,
        {.height_mm = kTextMm,
         .align = fits ? drawing::Align::kCentre : drawing::Align::kRight,
         .vertical = fits ? drawing::Text::Vertical::kBaseline : drawing::Text::Vertical::kMiddle});
}

void label_head(const Side& side, const BoltDesign& bolt, const Box& box) {
  std::vector<std::string> rows;
  if (bolt.hexagon) {
    rows = {fmt::format("hexagon {} A/F", size_mm(bolt.head.diameter_mm)),
            fmt::format("corners {}", size_mm(bolt.across_corners_mm)),
            fmt::format("{} high", size_mm(bolt.head.height_mm))};
  } else {
    rows = {fmt::format("head \u2300 {}", size_mm(bolt.head.diameter_mm)),
            fmt::format("{} high", size_mm(bolt.head.height_mm))};
    if (bolt.form_radius_mm > 0.0) rows.push_back(fmt::format("form R {}", size_mm(bolt.form_radius_mm)));
    if (bolt.flat_from_axis_mm)
      rows.push_back(fmt::format("flat {} off axis", size_mm(*bolt.flat_from_axis_mm)));
  }
  double y = side.origin_mm.y() + 1.8 * kTextMm * (0.5 * static_cast<double>(rows.size()) - 0.5);
  for (const std::string& row : rows) {
    write(side.on, {box.low_mm.x(), y}, row,
          {.height_mm = kTextMm, .vertical = drawing::Text::Vertical::kMiddle});
    y -= 1.8 * kTextMm;
  }
}

/// Words over a stretch of the body, with a line down to it.
void label_above(const Side& side, double x_mm, double y_mm, double text_x_mm, double text_y_mm,
                 const std::string& words) {
  line(side.on, {text_x_mm, text_y_mm - 0.7}, side.at(x_mm, y_mm), kFine);
  write(side.on, {text_x_mm, text_y_mm}, words, {.height_mm = kTextMm, .align = drawing::Align::kCentre});
}

}  // namespace

void draw_bolt(drawing::Drawing& on, const Box& box, const FastenerPiece& piece) {
  assert(piece.turning.has_value());
  const BoltDesign& bolt = piece.turning->design;
  const double shank_mm = piece.to_own_bore ? piece.blank_mm : bolt.shank.max_mm();
  const double across = std::max(bolt.hexagon ? bolt.across_corners_mm : bolt.head.diameter_mm, shank_mm);
  double scale = 0.0;
  for (const double trial : {1.5, 1.2, 1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1, 0.05}) {
    const double wide = trial * (bolt.head.height_mm + bolt.length_mm) + kHeadRoomMm + kRightMm;
    const double high = trial * across + kAboveMm + kBelowMm;
    scale = trial;
    if (wide <= box.width_mm() && high <= box.height_mm()) break;
  }
  const double axis_y = box.low_mm.y() + kBelowMm + 0.5 * scale * across;
  const Side side{on, {box.low_mm.x() + kHeadRoomMm + scale * bolt.head.height_mm, axis_y}, scale};
  draw_head(side, bolt);
  draw_body(side, bolt, shank_mm);
  label_head(side, bolt, box);

  const double thread_from = bolt.shank_mm + bolt.relief_mm;
  const double low = side.at(0.0, across / 2.0).y() + 1.8, high = low + 4.4;
  const std::string shank = shank_words(piece);
  const double shank_x = side.at(bolt.shank_mm / 2.0, 0.0).x();
  const double half_word = drawing::text_width_mm("\u2300 " + shank, kTextMm) / 2.0;
  label_above(side, bolt.shank_mm / 2.0, shank_mm / 2.0, std::max(shank_x, box.low_mm.x() + half_word), high,
              "\u2300 " + shank);
  const std::string relief = fmt::format("\u2300 {}", size_mm(bolt.relief_diameter_mm));
  const double relief_x = side.at(bolt.shank_mm + bolt.relief_mm / 2.0, 0.0).x();
  const double beside_x =
      shank_x + drawing::text_width_mm(relief, kTextMm) / 2.0 + 1.5;  // of the shank's line
  label_above(side, bolt.shank_mm + bolt.relief_mm / 2.0, bolt.relief_diameter_mm / 2.0,
              std::max(relief_x, beside_x), low, relief);
  const double thread_half = drawing::text_width_mm(bolt.thread.name(), kTextMm) / 2.0;
  const double thread_x = side.at((thread_from + bolt.length_mm) / 2.0, 0.0).x();
  const double clear_x = std::max(shank_x, box.low_mm.x() + half_word) + half_word + thread_half + 3.0;
  label_above(side, (thread_from + bolt.length_mm) / 2.0, bolt.thread.major_mm / 2.0,
              std::max(thread_x, clear_x), high, bolt.thread.name());

  dimension(side, bolt, bolt.shank_mm, shank_mm / 2.0, 0, fmt::format("{} +0.2/0", size_mm(bolt.shank_mm)));
  dimension(side, bolt, thread_from, bolt.thread.major_mm / 2.0, 1, format_mm(thread_from, 1));
  dimension(side, bolt, bolt.length_mm, bolt.thread.major_mm / 2.0, 2, size_mm(bolt.length_mm));
}

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rivet_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/base/length.h"
#include "head_picture.h"
#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

using fasteners::RivetDesign;

constexpr double kWordsMm = 2.4;
constexpr double kHeadWordsMm = 34.0;  // left of the made head
constexpr double kSetRoomMm = 26.0;    // between the rivet and its set, and right of it
constexpr double kOverMm = 6.0;        // words over the shank
constexpr double kUnderMm = 12.0;      // two dimensions

drawing::Stroke broken_line() {
  drawing::Stroke stroke = kMedium;
  stroke.dash = drawing::Dash::kBroken;
  return stroke;
}

/// The block that the cup is sunk in, its face to the left; half a mouth of metal round it.
constexpr double kBlockOverMouth = 1.5;

double half_height_mm(const RivetDesign& rivet) {
  const double heads = std::max(rivet.made_head.diameter_mm, rivet.closing_head.diameter_mm) / 2.0;
  return rivet.cup ? std::max(heads, kBlockOverMouth * rivet.cup->mouth_mm / 2.0) : heads;
}

/// Length over all that a made countersunk head counts in.
double head_out_mm(const RivetDesign& rivet) {
  return rivet.made_head.form == HeadForm::kCountersunk ? 0.0 : rivet.made_head.height_mm;
}

double fitting_scale(const Box& box, const RivetDesign& rivet) {
  const double set_mm = rivet.cup ? 2.0 * rivet.cup->depth_mm : 0.0;
  for (const double trial : {1.5, 1.2, 1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1}) {
    const double wide =
        kHeadWordsMm + 2.0 * kSetRoomMm + trial * (head_out_mm(rivet) + rivet.length_mm + set_mm);
    const double high = 2.0 * trial * half_height_mm(rivet) + kOverMm + kUnderMm;
    if (wide <= box.width_mm() && high <= box.height_mm()) return trial;
  }
  return 0.05;
}

/// A length from the underside of the made head.
void dimension_to(drawing::Drawing& on, const Eigen::Vector2d& from, double to_x, double y, double rim,
                  const std::string& words) {
  line(on, {from.x(), from.y() - rim - 0.8}, {from.x(), y - 1.0});
  line(on, {to_x, from.y() - rim - 0.8}, {to_x, y - 1.0});
  line(on, {from.x(), y}, {to_x, y});
  arrow_head(on, {from.x(), y}, {-1.0, 0.0}, 2.0);
  arrow_head(on, {to_x, y}, {1.0, 0.0}, 2.0);
  write(on, {(from.x() + to_x) / 2.0, y + 0.9}, words,
        {.height_mm = kWordsMm, .align = drawing::Align::kCentre});
}

void write_beside(drawing::Drawing& on, double x, double middle_y, const std::vector<std::string>& rows) {
  double y = middle_y + 1.8 * kWordsMm * (0.5 * static_cast<double>(rows.size()) - 0.5);
  for (const std::string& row : rows) {
    write(on, {x, y}, row, {.height_mm = kWordsMm, .vertical = drawing::Text::Vertical::kMiddle});
    y -= 1.8 * kWordsMm;
  }
}

std::vector<std::string> head_rows(const char* name, const fasteners::HeadSize& head) {
  const bool sunk = head.form == HeadForm::kCountersunk;
  return {name, fmt::format("\u2300 {}", size_mm(head.diameter_mm)),
          fmt::format("{} {}", size_mm(head.height_mm), sunk ? "deep" : "high")};
}

/// The set cut along its axis: `face_x` where its rim stands.
void draw_set(drawing::Drawing& on, const fasteners::Cup& cup, double face_x, double axis_y, double scale) {
  const double half = scale * kBlockOverMouth * cup.mouth_mm / 2.0, mouth = scale * cup.mouth_mm / 2.0;
  const double back_x = face_x + 2.0 * scale * cup.depth_mm;
  for (const double side : {1.0, -1.0}) {
    line(on, {face_x, axis_y + side * mouth}, {face_x, axis_y + side * half}, kMedium);
    line(on, {face_x, axis_y + side * half}, {back_x, axis_y + side * half}, kMedium);
  }
  line(on, {back_x, axis_y - half}, {back_x, axis_y + half}, kMedium);
  const double radius = scale * cup.radius_mm, behind = radius - scale * cup.depth_mm;
  const double angle = std::atan2(mouth, behind);
  on.add(drawing::Arc{{face_x - behind, axis_y}, radius, -angle, angle}, kMedium);
  write_beside(
      on, back_x + 2.0, axis_y,
      {"set", fmt::format("R {}", size_mm(cup.radius_mm)), fmt::format("{} deep", size_mm(cup.depth_mm)),
       fmt::format("mouth {}", size_mm(cup.mouth_mm))});
}

}  // namespace

void draw_rivet(drawing::Drawing& on, const Box& box, const RivetDesign& rivet) {
  const double scale = fitting_scale(box, rivet), half = scale * half_height_mm(rivet);
  const Eigen::Vector2d seat(box.low_mm.x() + kHeadWordsMm + scale * head_out_mm(rivet),
                             box.low_mm.y() + kUnderMm + half);
  const double shank = scale * rivet.rivet_mm / 2.0, end_x = seat.x() + scale * rivet.length_mm;
  const double far_x = seat.x() + scale * rivet.grip.length_mm;
  draw_rivet_head(on, seat, scale, rivet.made_head, rivet.rivet_mm, -1.0, kMedium);
  for (const double side : {1.0, -1.0})
    line(on, {seat.x(), seat.y() + side * shank}, {end_x, seat.y() + side * shank}, kMedium);
  line(on, {end_x, seat.y() - shank}, {end_x, seat.y() + shank}, kMedium);
  draw_rivet_head(on, {far_x, seat.y()}, scale, rivet.closing_head, rivet.rivet_mm, 1.0, broken_line());
  drawing::Stroke centre = kFine;
  centre.dash = drawing::Dash::kCentre;
  line(on, {seat.x() - scale * head_out_mm(rivet) - 3.0, seat.y()}, {end_x + 3.0, seat.y()}, centre);

  write_beside(on, box.low_mm.x(), seat.y(), head_rows("made head", rivet.made_head));
  const double rim = scale * std::max(rivet.made_head.diameter_mm, rivet.closing_head.diameter_mm) / 2.0;
  write(on, {(seat.x() + far_x) / 2.0, seat.y() + shank + 1.2},
        fmt::format("\u2300 {}", size_mm(rivet.rivet_mm)),
        {.height_mm = kWordsMm, .align = drawing::Align::kCentre});
  dimension_to(on, seat, far_x, seat.y() - rim - 4.0, rim,
               fmt::format("grip {}", size_mm(rivet.grip.length_mm)));
  dimension_to(on, seat, end_x, seat.y() - rim - 9.2, rim,
               fmt::format("cut to {}", format_mm(rivet.length_mm, 1)));
  if (rivet.cup) draw_set(on, *rivet.cup, end_x + kSetRoomMm, seat.y(), scale);
}

}  // namespace fairhole::report

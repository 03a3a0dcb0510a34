// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "fairhole/base/length.h"
#include "pen.h"
#include "plate_view.h"
#include "registration_words.h"
#include "report_sections.h"
#include "setting.h"
#include "title_strip.h"
#include "words.h"
#include "work_order.h"

namespace fairhole::report {
namespace {

const SeatPlan* seat_of(const Plan& plan, const JointFindings& joint) {
  const auto found = std::find_if(plan.seats.begin(), plan.seats.end(), [&](const SeatPlan& seat) {
    return seat.part == joint.part && seat.face == joint.face && seat.joint == joint.joint &&
           seat.plate == joint.plate;
  });
  return found == plan.seats.end() ? nullptr : &*found;
}

constexpr double kPlateWidthMm = 240.0;
constexpr double kPlateBorderMm = 7.0;

drawing::Page plate_picture(const PlateLayout& layout) {
  const Box plate = plate_extent(layout);
  const Eigen::Vector2d size = (plate.high_mm - plate.low_mm).cwiseMax(1.0);
  const double scale = std::min((kPlateWidthMm - 2.0 * kPlateBorderMm) / size.x(), 150.0 / size.y());
  drawing::Page page =
      blank_page(scale * size.x() + 2.0 * kPlateBorderMm, scale * size.y() + 3.0 * kPlateBorderMm);
  const View view{scale, Eigen::Vector2d(kPlateBorderMm, 2.0 * kPlateBorderMm) - scale * plate.low_mm};
  constexpr double kPlateTextMm = 2.5;
  std::vector<Box> words;
  draw_plate(page.drawing, layout, view, kPlateTextMm, words);
  for (const LaidHole& hole : layout.holes) draw_hole(page.drawing, hole, view);
  const bool all_labelled =
      label_holes(page.drawing, layout, view, kPlateTextMm,
                  {{0.5, 1.5 * kPlateBorderMm}, {page.width_mm - 0.5, page.height_mm - 0.5}}, words);
  draw_legend(page.drawing, layout, {kPlateBorderMm, 6.5}, page.width_mm - kPlateBorderMm, 2.2, all_labelled);
  return page;
}

/// In the plate's frame when the seat is known, else in the face's.
drawing::Page seat_picture(const JointFindings& joint, const SeatPlan* seat) {
  RegistrationPicture picture{joint.pattern, joint.measured, joint.registration};
  if (joint.distortion) picture.distortion = &*joint.distortion;
  picture.names = joint.distortion_names;
  picture.words = false;  // they stand above
  if (seat != nullptr) picture.view_from_face = seat->plate_from_face.motion;
  return registration_picture(picture);
}

Result<Html> hand_block(const PlateLayout& layout) {
  if (layout.hand.empty()) return Html{};
  drawing::Page page = blank_page(26.0, 27.0);
  draw_hand_picture(page.drawing, {{0.0, 0.0}, {26.0, 27.0}}, layout.hand, layout.marked_face);
  auto drawn = picture(
      page, fmt::format("The machine from above, toe up: the {} plate heavy, an arrow onto its {} face",
                        layout.hand, layout.marked_face));
  if (!drawn) return drawn;
  Html inner = element("strong", layout.hand);
  inner += *drawn;
  if (!layout.marked_face.empty())
    inner += paragraph(fmt::format("Seen on its {} face.", upper_case(layout.marked_face)));
  return element("div", inner, "class=\"hand\"");
}

}  // namespace

Html parts_section(const ReportInput& input, const Letters& letters) {
  if (input.joints.empty()) return Html{};
  std::vector<std::vector<Html>> rows;
  for (const JointFindings& joint : input.joints) {
    const auto letter = letters.find(joint.part);
    rows.push_back({element("b", letter == letters.end() ? "" : letter->second), escaped(joint.part),
                    escaped(joint.face), escaped(joint.joint.empty() ? "carries others" : joint.plate),
                    escaped(fmt::format("{} of {}", joint.registration.matches.size(), joint.pattern.size())),
                    escaped(list_words(joint.registration.missing)),
                    escaped(list_words(joint.registration.extra)),
                    escaped(joint.registration.scatter_mm > 0.0 ? format_mm(joint.registration.scatter_mm, 1)
                                                                : std::string())});
  }
  Html out = element("h2", "The parts", "id=\"parts\"");
  out += html_table({{""},
                     {"part"},
                     {"face"},
                     {"lies on"},
                     {"holes found", true},
                     {"missing"},
                     {"not on the drawing"},
                     {"they stray, mm", true}},
                    rows);
  return out;
}

namespace {

Result<Html> one_seat(const ReportInput& input, const JointFindings& joint) {
  const SeatPlan* seat = seat_of(input.plan, joint);
  // A face that carries others is where it is: nobody sets it.
  const bool carries = joint.joint.empty();
  Html out = element("h3", carries ? fmt::format("{}, {}: carries others", joint.part, joint.face)
                                   : fmt::format("{}, {}, on {}", joint.part, joint.face, joint.plate));
  if (joint.seat_pinned) {
    Html line = state_html(State::kPinned);
    line += escaped(" by you: it stands where the job says, and the others were fitted to it.");
    out += element("p", line);
  }
  if (seat != nullptr && !carries) {
    out += paragraph(setting_words(*seat, joint));
    out += paragraph(first_holes_words(*seat, input.plan));
  }
  Html inner;
  for (const std::string& says : registration_words(joint, seat)) inner += paragraph(says);
  if (!joint.registration.matches.empty()) {
    auto drawn =
        picture(seat_picture(joint, seat), fmt::format("Misfit arrows of {} on {}", joint.part, joint.plate));
    if (!drawn) return drawn;
    inner += *drawn;
  }
  out += folded(escaped("How its old holes lie"), inner);
  return out;
}

/// "on left-toe and beam/back" of one part; "near angle and far angle on left-toe; ..." of several.
std::string places_words(const MovingTogether& moving) {
  std::vector<std::string> plates, parts;
  std::map<std::string, std::vector<std::string>> on;
  for (const MovingTogether::Place& place : moving.places) {
    if (on[place.plate].empty()) plates.push_back(place.plate);
    on[place.plate].push_back(place.part);
    if (std::find(parts.begin(), parts.end(), place.part) == parts.end()) parts.push_back(place.part);
  }
  if (parts.size() == 1) return "on " + list_words(plates);
  std::string says;
  for (const std::string& plate : plates)
    says += fmt::format("{}{} on {}", says.empty() ? "" : "; ", list_words(on[plate]), plate);
  return says;
}

/// Parts that touch cannot be set one by one.
Html together_html(const ReportInput& input) {
  if (input.together.empty()) return {};
  Html items;
  for (const MovingTogether& each : input.together) {
    Html item = element("b", each.what + ":");
    item += escaped(" " + places_words(each) + ".");
    items += element("li", item);
  }
  Html inner = paragraph("Each line is one movement, and what it carries along.");
  inner += element("ul", items);
  if (input.contact_slack_mm > 0.0) {
    inner += paragraph(fmt::format(
        "Where they touch they may still disagree by {} mm: a shim, or a dressed heel, takes that up.",
        size_mm(input.contact_slack_mm)));
  }
  Html line = element("b", "What moves together:");
  line += escaped(fmt::format(" {}.", count_words(input.together.size(), "movement", "movements")));
  return folded(line, inner);
}

}  // namespace

Result<Html> seats_section(const ReportInput& input) {
  if (input.joints.empty()) return Html{};
  Html out = element("h2", "How to set each part", "id=\"seats\"");
  out += paragraph(
      "Seen on the plate's marked face, its datum corner at the lower left. Clamp, drill and bolt the two "
      "holes named, measure the part's place again, and then drill the rest.");
  out += paragraph(
      "All places were found together, for the whole job: do not shift one part alone to suit a hole.");
  const bool angles = std::any_of(input.joints.begin(), input.joints.end(),
                                  [](const JointFindings& joint) { return joint.long_edge_is_heel; });
  if (angles) {
    out += paragraph(
        "The legs of an angle are taken to meet squarely along the heel, for nothing measures that: offer "
        "the angle up before its second leg is drilled.");
  }
  out += together_html(input);
  if (!input.open_loops.empty()) {
    out += element("h3", "What does not close");
    out += bullets(input.open_loops, "trouble");
  }
  out += paragraph(
      "In the pictures arrows run from where the drawing wants a hole (cross) to where it is (double line). "
      "An ellipse shows how well the drawing's place is known on the part (95 in 100).");
  for (const JointFindings& joint : input.joints) {
    auto seat = one_seat(input, joint);
    if (!seat) return seat;
    out += *seat;
  }
  return out;
}

Result<Html> plates_section(const ReportInput& input) {
  if (input.layouts.empty()) return Html{};
  Html out = element("h2", "The new plates", "id=\"plates\"");
  for (const PlateLayout& layout : input.layouts) {
    out += element("h3", layout.plate);
    auto hand = hand_block(layout);
    if (!hand) return hand;
    out += *hand;
    out += paragraph(hole_summary(layout));
    if (input.not_to_be_drilled) out += paragraph("NOT TO BE DRILLED.", "banner");
    auto drawn = picture(plate_picture(layout), fmt::format("{} with its holes, to scale", layout.plate));
    if (!drawn) return drawn;
    out += *drawn;
  }
  return out;
}

}  // namespace fairhole::report

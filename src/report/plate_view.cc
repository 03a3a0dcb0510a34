// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "plate_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "hole_labels.h"
#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kOnDatumMm = 0.01;  ///< an outline corner this close to an axis lies on the datum edge
constexpr double kTickPitchMm = 6.0;
constexpr double kTickMm = 1.2;
constexpr double kCrossMm = 1.0;  ///< the cross runs this far beyond the circle
constexpr double kNailMm = 0.7;

/// The circle cut on the bench: the pilot where the hole is finished in place.
double cut_mm(const LaidHole& hole) {
  return hole.finish == Finish::kInPlace && hole.pilot_mm ? *hole.pilot_mm : hole.finish_mm;
}

std::string label_text(const LaidHole& hole) {
  return doubtful(hole) ? fmt::format("{} {}", hole.id, state_name(hole.state)) : hole.id;
}

void draw_datum_edge(drawing::Drawing& on, const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm,
                     const Eigen::Vector2d& inward) {
  line(on, a_mm, b_mm, {0.7, drawing::Dash::kSolid, drawing::Ink::kInk});
  const double length = (b_mm - a_mm).norm();
  const Eigen::Vector2d along = (b_mm - a_mm) / length;
  for (int k = 1; k * kTickPitchMm < length - 1.0; ++k) {
    const Eigen::Vector2d foot = a_mm + k * kTickPitchMm * along;
    line(on, foot, foot + kTickMm * inward, kFine);
  }
}

void draw_edges(drawing::Drawing& on, const PlateLayout& layout, const View& view) {
  drawing::Polyline outline{{}, true, false};
  for (const Eigen::Vector2d& corner : layout.outline_mm) outline.points_mm.push_back(view(corner));
  on.add(outline, kMedium);
  const std::size_t n = layout.outline_mm.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Eigen::Vector2d a = layout.outline_mm[i];
    const Eigen::Vector2d b = layout.outline_mm[(i + 1) % n];
    for (const int axis : {0, 1}) {
      if (std::abs(a[axis]) > kOnDatumMm || std::abs(b[axis]) > kOnDatumMm || (a - b).norm() < kOnDatumMm)
        continue;
      draw_datum_edge(on, view(a), view(b), Eigen::Vector2d::Unit(axis));
    }
  }
}

/// Writes level words, or upright ones, on blanked ground.
void write_on_ground(drawing::Drawing& on, const Eigen::Vector2d& middle_mm, const std::string& words_text,
                     double text_mm, bool upright, drawing::Ink ink, std::vector<Box>& words) {
  const double width = drawing::text_width_mm(words_text, text_mm);
  const Eigen::Vector2d half = upright ? Eigen::Vector2d(0.85 * text_mm, 0.5 * width + 0.5)
                                       : Eigen::Vector2d(0.5 * width + 0.5, 0.85 * text_mm);
  const Box box{middle_mm - half, middle_mm + half};
  blank(on, box);
  write(on, middle_mm, words_text,
        {.height_mm = text_mm,
         .align = drawing::Align::kCentre,
         .vertical = drawing::Text::Vertical::kMiddle,
         .angle_rad = upright ? 0.5 * std::numbers::pi : 0.0,
         .ink = ink});
  words.push_back(box);
}

/// Words along a narrow figure stand upright when they would not fit level.
bool stands_upright(const Eigen::Vector2d& size_mm, const std::string& text, double text_mm) {
  return drawing::text_width_mm(text, text_mm) > size_mm.x() && size_mm.y() > size_mm.x();
}

void draw_keep_out(drawing::Drawing& on, const KeepOut& keep_out, const View& view, double text_mm,
                   std::vector<Box>& words) {
  if (keep_out.outline_mm.empty()) return;
  drawing::Polyline outline{{}, true, false};
  for (const Eigen::Vector2d& corner : keep_out.outline_mm) outline.points_mm.push_back(view(corner));
  Eigen::Vector2d low = outline.points_mm.front();
  Eigen::Vector2d high = low;
  for (const Eigen::Vector2d& point : outline.points_mm) {
    low = low.cwiseMin(point);
    high = high.cwiseMax(point);
  }
  on.add(outline, {drawing::kMediumMm, drawing::Dash::kBroken, drawing::Ink::kWarn});
  const std::string text = "no holes: " + keep_out.name;
  write_on_ground(on, 0.5 * (low + high), text, text_mm, stands_upright(high - low, text, text_mm),
                  drawing::Ink::kWarn, words);
}

void draw_joint_line(drawing::Drawing& on, const PlateLayout& layout, const View& view, double text_mm,
                     std::vector<Box>& words) {
  if (!layout.joint_line_mm) return;
  const Eigen::Vector2d a = view(layout.joint_line_mm->first);
  const Eigen::Vector2d b = view(layout.joint_line_mm->second);
  line(on, a, b, {drawing::kHeavyMm, drawing::Dash::kCentre, drawing::Ink::kInk});
  const std::string text = "joint";
  const bool upright = std::abs((b - a).y()) > std::abs((b - a).x());
  // Just inside the plate, so that the words never lie across the ordinates outside it.
  const Eigen::Vector2d inside = view(plate_extent(layout).centre_mm()) - 0.5 * (a + b);
  const Eigen::Vector2d shift = upright ? Eigen::Vector2d(std::copysign(1.3 * text_mm, inside.x()), 0.0)
                                        : Eigen::Vector2d(0.0, std::copysign(1.3 * text_mm, inside.y()));
  const double half = 0.5 * drawing::text_width_mm(text, text_mm) + 0.5;
  const Eigen::Vector2d reach =
      upright ? Eigen::Vector2d(0.85 * text_mm, half) : Eigen::Vector2d(half, 0.85 * text_mm);
  for (const double share : {0.5, 0.22, 0.78}) {  // the first of these places that no keep-out's words hold
    const Eigen::Vector2d middle = a + share * (b - a) + shift;
    const Box box{middle - reach, middle + reach};
    if (std::any_of(words.begin(), words.end(), [&](const Box& other) { return other.overlaps(box); }))
      continue;
    write_on_ground(on, middle, text, text_mm, upright, drawing::Ink::kInk, words);
    return;
  }
  // No place left: the legend says what the line is.
}

constexpr double kLabelPadMm = 0.5;

/// Outline and keep-outs, which no label may cross.
std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> edges_on_paper(const PlateLayout& layout,
                                                                        const View& view) {
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> edges;
  const auto add = [&](const std::vector<Eigen::Vector2d>& outline_mm) {
    for (std::size_t i = 0; i < outline_mm.size(); ++i)
      edges.emplace_back(view(outline_mm[i]), view(outline_mm[(i + 1) % outline_mm.size()]));
  };
  add(layout.outline_mm);
  for (const KeepOut& keep_out : layout.keep_outs) add(keep_out.outline_mm);
  return edges;
}

/// Where the holes' labels go at one height of figures; one a hole.
struct Labels {
  double text_mm = 0.0;
  std::vector<LabelRequest> requests;
  std::vector<PlacedLabel> places;
};

Labels labels_at(const PlateLayout& layout, const View& view, double text_mm, const Obstacles& obstacles) {
  Labels labels{text_mm, {}, {}};
  for (const LaidHole& hole : layout.holes) {
    const double width = drawing::text_width_mm(label_text(hole), text_mm, true) + 2.0 * kLabelPadMm;
    labels.requests.push_back(
        {view(hole.centre_mm), symbol_radius_mm(hole, view), width, text_mm + 2.0 * kLabelPadMm + 0.4});
  }
  labels.places = place_labels(labels.requests, obstacles);
  return labels;
}

void draw_label(drawing::Drawing& on, const LaidHole& hole, const LabelRequest& request,
                const PlacedLabel& place, double text_mm) {
  if (place.leader) {
    const Eigen::Vector2d end = place.box.nearest(request.at_mm);
    const Eigen::Vector2d out = (end - request.at_mm).normalized();
    line(on, request.at_mm + (request.keep_off_mm - kCrossMm) * out, end, kFine);
  }
  blank(on, place.box);
  if (hole.locating) rectangle(on, place.box, kMedium);
  write(on, place.box.centre_mm(), label_text(hole),
        {.height_mm = text_mm,
         .bold = true,
         .align = drawing::Align::kCentre,
         .vertical = drawing::Text::Vertical::kMiddle});
}

}  // namespace

const std::vector<double>& scale_denominators() {
  static const std::vector<double> kDenominators = {0.5, 1,  1.5, 2,  2.5, 3,  4,  5,  6,   8,  10,
                                                    12,  15, 20,  25, 30,  40, 50, 75, 100, 200};
  return kDenominators;
}

std::string scale_words(double denominator) {
  return denominator < 1.0 ? fmt::format("{} : 1", 1.0 / denominator) : fmt::format("1 : {}", denominator);
}

Box plate_extent(const PlateLayout& layout) {
  Box box;
  for (const Eigen::Vector2d& corner : layout.outline_mm) {
    box.low_mm = box.low_mm.cwiseMin(corner);
    box.high_mm = box.high_mm.cwiseMax(corner);
  }
  return box;
}

void draw_plate(drawing::Drawing& on, const PlateLayout& layout, const View& view, double text_mm,
                std::vector<Box>& words) {
  draw_edges(on, layout, view);
  for (const KeepOut& keep_out : layout.keep_outs) draw_keep_out(on, keep_out, view, text_mm, words);
  draw_joint_line(on, layout, view, text_mm, words);
}

double symbol_radius_mm(const LaidHole& hole, const View& view) {
  return 0.5 * view.scale * std::max(hole.finish_mm, cut_mm(hole)) + kCrossMm;
}

void draw_hole(drawing::Drawing& on, const LaidHole& hole, const View& view) {
  const Eigen::Vector2d centre = view(hole.centre_mm);
  const double reach = symbol_radius_mm(hole, view);
  line(on, centre - Eigen::Vector2d(reach, 0.0), centre + Eigen::Vector2d(reach, 0.0));
  line(on, centre - Eigen::Vector2d(0.0, reach), centre + Eigen::Vector2d(0.0, reach));
  const drawing::Dash dash = doubtful(hole) ? drawing::Dash::kBroken : drawing::Dash::kSolid;
  circle(on, centre, 0.5 * view.scale * cut_mm(hole), {drawing::kHeavyMm, dash, drawing::Ink::kNew});
  if (hole.finish == Finish::kInPlace && hole.pilot_mm) {
    circle(on, centre, 0.5 * view.scale * hole.finish_mm,
           {drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kNew});
  }
  if (hole.state == State::kPinned) dot(on, centre, kNailMm);
}

bool label_holes(drawing::Drawing& on, const PlateLayout& layout, const View& view, double text_mm,
                 const Box& region, const std::vector<Box>& taken) {
  const Obstacles obstacles{region, taken, {}, edges_on_paper(layout, view)};
  Labels labels;
  // Smaller figures where the holes crowd; what finds no place even so is left to the ordinates.
  for (const double share : {1.0, 0.85, 0.7}) {
    labels = labels_at(layout, view, share * text_mm, obstacles);
    if (std::all_of(labels.places.begin(), labels.places.end(), [](const PlacedLabel& p) { return p.clear; }))
      break;
  }
  bool all = true;
  for (std::size_t i = 0; i < labels.places.size(); ++i) {
    if (labels.places[i].clear) {
      draw_label(on, layout.holes[i], labels.requests[i], labels.places[i], labels.text_mm);
    } else {
      all = false;
    }
  }
  return all;
}

void draw_legend(drawing::Drawing& on, const PlateLayout& layout, const Eigen::Vector2d& left_mm,
                 double width_mm, double text_mm, bool all_labelled) {
  const auto any = [&](auto&& is) { return std::any_of(layout.holes.begin(), layout.holes.end(), is); };
  Eigen::Vector2d at = left_mm;
  /// Room for a symbol and its words; the symbol is then drawn with its left at the point given back.
  const auto say = [&](const std::string& text, double symbol_mm) {
    const double wide = symbol_mm + 1.2 + drawing::text_width_mm(text, text_mm);
    if (at.x() + wide > left_mm.x() + width_mm) at = {left_mm.x(), at.y() - 2.1 * text_mm};
    write(on, at + Eigen::Vector2d(symbol_mm + 1.2, 0.0), text, {.height_mm = text_mm});
    Eigen::Vector2d symbol = at + Eigen::Vector2d(0.0, 0.5 * text_mm);
    at.x() += wide + 5.0;
    return symbol;
  };
  const double r = 0.85 * text_mm;
  const Eigen::Vector2d right(r, 0.0);
  if (any([](const LaidHole& h) { return h.finish == Finish::kBench && !doubtful(h); })) {
    circle(on, say("drill to size on the bench", 2.0 * r) + right, r, kNewHeavy);
  }
  if (any([](const LaidHole& h) { return h.finish == Finish::kInPlace; })) {
    const Eigen::Vector2d centre = say("pilot on the bench (heavy), finish in place (fine)", 2.0 * r) + right;
    circle(on, centre, 0.6 * r, kNewHeavy);
    circle(on, centre, 1.1 * r, {drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kNew});
  }
  if (any(doubtful)) {
    circle(on, say("doubtful: look again first", 2.0 * r) + right, r,
           {drawing::kHeavyMm, drawing::Dash::kBroken, drawing::Ink::kNew});
  }
  if (any([](const LaidHole& h) { return h.locating; })) {
    const Eigen::Vector2d low = say("drill and bolt first", 3.4) - Eigen::Vector2d(0.0, 0.75 * text_mm);
    rectangle(on, {low, low + Eigen::Vector2d(3.4, 1.5 * text_mm)}, kMedium);
  }
  if (layout.joint_line_mm) {
    const Eigen::Vector2d a = say("joint to the old plate", 9.0);
    line(on, a, a + Eigen::Vector2d(9.0, 0.0),
         {drawing::kHeavyMm, drawing::Dash::kCentre, drawing::Ink::kInk});
  }
  if (!all_labelled) say("no room for its name: find it by its ordinates", 0.0);
  if (any([](const LaidHole& h) { return h.state == State::kPinned; })) {
    dot(on, say("pinned by you", 2.0 * kNailMm) + Eigen::Vector2d(kNailMm, 0.0), kNailMm);
  }
}

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "sitting.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/geometry/statistics.h"
#include "pen.h"
#include "words.h"
#include "work_order.h"

namespace fairhole::report {
namespace {

constexpr double kLabelMm = 2.3;
constexpr double kRadiusMm = 1.6;  ///< on paper; the picture shows places, not sizes
constexpr double kLongestArrowMm = 14.0;
constexpr double kBorderMm = 12.0;
constexpr double kFootMm = 9.0;

enum class Kind { kMatched, kMissing, kExtra };

struct Spot {
  Kind kind = Kind::kMatched;
  std::string label;
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< the drawing's place; the hole's own where it is extra
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< own place minus the drawing's
  Ellipse ellipse;                                        ///< of the drawing's place as posed, 95 %
};

const NominalHole* nominal_of(const Pattern& pattern, const HoleId& id) {
  const auto found =
      std::find_if(pattern.begin(), pattern.end(), [&](const NominalHole& h) { return h.id == id; });
  return found == pattern.end() ? nullptr : &*found;
}

std::vector<Spot> spots_of(const JointFindings& joint, const Motion& view_from_face) {
  const Eigen::Matrix2d linear = view_from_face.linear();
  const auto place = [&](const NominalHole& hole) {
    Spot spot;
    spot.at_mm = view_from_face * (joint.registration.face_from_pattern * hole.centre_mm);
    spot.ellipse = confidence_ellipse(linear * posed_covariance(joint.registration, hole.centre_mm) *
                                      linear.transpose());
    return spot;
  };
  std::vector<Spot> spots;
  for (const Match& match : joint.registration.matches) {
    const NominalHole* hole = nominal_of(joint.pattern, match.nominal);
    if (hole == nullptr) continue;
    Spot spot = place(*hole);
    spot.label = match.measured;
    spot.residual_mm = linear * match.residual_mm;
    spots.push_back(spot);
  }
  for (const HoleId& id : joint.registration.missing) {
    const NominalHole* hole = nominal_of(joint.pattern, id);
    if (hole == nullptr) continue;
    Spot spot = place(*hole);
    spot.kind = Kind::kMissing;
    spot.label = id + " missing";
    spots.push_back(spot);
  }
  for (const HoleId& id : joint.registration.extra) {
    const MeasuredHole* hole = joint.measured.find(id);
    if (hole == nullptr) continue;
    spots.push_back(
        {Kind::kExtra, id + " extra", view_from_face * hole->centre_mm, Eigen::Vector2d::Zero(), {}});
  }
  return spots;
}

/// The largest round enlargement at which the longest arrow stays short.
double arrow_enlargement(const std::vector<Spot>& spots, double scale) {
  double worst = 0.0;
  for (const Spot& spot : spots) {
    worst = std::max({worst, spot.residual_mm.norm(), spot.ellipse.major_mm});
  }
  double k = 1.0;
  for (const double larger : {2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0}) {
    if (worst * scale * larger <= kLongestArrowMm) k = larger;
  }
  return k;
}

/// The drawing's place is a cross in its ellipse; the hole's own a fine double line where the arrow ends.
void draw_spot(drawing::Drawing& on, const Spot& spot, const Eigen::Vector2d& at, double paper_per_mm) {
  if (spot.kind == Kind::kExtra) {
    const Eigen::Vector2d slash(0.7 * kRadiusMm, 0.7 * kRadiusMm);
    old_rim(on, at, kRadiusMm, drawing::Dash::kSolid);
    line(on, at - slash, at + slash, kMedium);
    return;
  }
  if (spot.ellipse.major_mm * paper_per_mm > 0.1) {
    on.add(drawing::Ellipse{at, spot.ellipse.major_mm * paper_per_mm, spot.ellipse.minor_mm * paper_per_mm,
                            spot.ellipse.angle_rad},
           kFine);
  }
  const Eigen::Vector2d arm(1.2, 0.0);
  line(on, at - arm, at + arm, kFine);
  line(on, at - arm.reverse(), at + arm.reverse(), kFine);
  if (spot.kind == Kind::kMissing) {
    circle(on, at, kRadiusMm, {drawing::kMediumMm, drawing::Dash::kBroken, drawing::Ink::kWarn});
    return;
  }
  const Eigen::Vector2d tip = at + paper_per_mm * spot.residual_mm;
  old_rim(on, tip, kRadiusMm, drawing::Dash::kSolid);
  constexpr double kLeastArrowMm = 0.3;
  if ((tip - at).norm() < kLeastArrowMm) return;
  line(on, at, tip, {drawing::kHeavyMm, drawing::Dash::kSolid, drawing::Ink::kWarn});
  arrow_head(on, tip, tip - at, std::min(2.2, 0.6 * (tip - at).norm()), drawing::Ink::kWarn);
}

void label_spots(drawing::Drawing& on, const std::vector<Spot>& spots, const std::vector<Eigen::Vector2d>& at,
                 double paper_per_mm, const Box& region) {
  Obstacles obstacles{region, {}, {}, {}};
  std::vector<LabelRequest> requests;
  for (std::size_t i = 0; i < spots.size(); ++i) {
    const Eigen::Vector2d tip = at[i] + paper_per_mm * spots[i].residual_mm;
    obstacles.lines.emplace_back(at[i], tip);
    obstacles.discs.emplace_back(tip, kRadiusMm + 0.4);
    requests.push_back(
        {at[i], kRadiusMm + 0.4, drawing::text_width_mm(spots[i].label, kLabelMm) + 0.6, 1.6 * kLabelMm});
  }
  const std::vector<PlacedLabel> labels = place_labels(requests, obstacles);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (labels[i].leader) line(on, at[i], labels[i].box.nearest(at[i]), kFineOld);
    write(on, labels[i].box.centre_mm(), spots[i].label,
          {.height_mm = kLabelMm,
           .align = drawing::Align::kCentre,
           .vertical = drawing::Text::Vertical::kMiddle});
  }
}

void draw_bar(drawing::Drawing& on, double paper_per_mm, double k, double width_mm) {
  double length = 0.1;
  for (const double step : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0}) {
    if (step * paper_per_mm <= 32.0) length = step;
  }
  scale_bar(on, {kBorderMm, 2.2}, length * paper_per_mm,
            fmt::format("arrows and ellipses: this long is {} mm", length), kLabelMm);
  write(on, {width_mm - 1.0, 2.2}, fmt::format("misfit x {}", k),
        {.height_mm = kLabelMm, .bold = true, .align = drawing::Align::kRight});
}

}  // namespace

std::optional<WorstHole> worst_hole(const JointFindings& joint) {
  std::optional<WorstHole> worst;
  for (const NominalHole& hole : joint.pattern) {
    const double half_axis =
        confidence_ellipse(posed_covariance(joint.registration, hole.centre_mm)).major_mm;
    if (!worst || half_axis > worst->half_axis_mm) worst = WorstHole{hole.id, half_axis};
  }
  return worst;
}

drawing::Page draw_sitting(const JointFindings& joint, const SeatPlan* seat, double width_mm) {
  const Motion view_from_face = seat != nullptr ? seat->plate_from_face.motion : Motion{};
  const std::vector<Spot> spots = spots_of(joint, view_from_face);
  if (spots.empty()) return blank_page(width_mm, 1.0);
  Eigen::Vector2d low = spots.front().at_mm;
  Eigen::Vector2d high = low;
  for (const Spot& spot : spots) {
    low = low.cwiseMin(spot.at_mm);
    high = high.cwiseMax(spot.at_mm);
  }
  constexpr double kLeastExtentMm = 1.0;
  constexpr double kTallestMm = 85.0;
  const Eigen::Vector2d extent = (high - low).cwiseMax(kLeastExtentMm);
  const double inner = width_mm - 2.0 * (kBorderMm + kLongestArrowMm);
  const double scale = std::min(inner / extent.x(), kTallestMm / extent.y());
  const double margin = kBorderMm + 0.5 * kLongestArrowMm;
  constexpr double kLeastWidthMm = 104.0;  // for the words at the foot
  const double width =
      std::clamp(scale * extent.x() + 2.0 * (kBorderMm + kLongestArrowMm), kLeastWidthMm, width_mm);
  drawing::Page page = blank_page(width, kFootMm + scale * extent.y() + 2.0 * margin);
  const Eigen::Vector2d middle(0.5 * width, kFootMm + 0.5 * (page.height_mm - kFootMm));
  const double k = arrow_enlargement(spots, scale);
  std::vector<Eigen::Vector2d> at;
  for (const Spot& spot : spots) {
    at.push_back(middle + scale * (spot.at_mm - 0.5 * (low + high)));
    draw_spot(page.drawing, spot, at.back(), scale * k);
  }
  label_spots(page.drawing, spots, at, scale * k, {{0.5, kFootMm}, {width - 0.5, page.height_mm - 0.5}});
  draw_bar(page.drawing, scale * k, k, width);
  return page;
}

std::vector<std::string> sitting_words(const JointFindings& joint, const SeatPlan* seat) {
  const Registration& found = joint.registration;
  std::vector<std::string> words;
  words.push_back(fmt::format("{} of {} found.", count_words(found.matches.size(), "hole", "holes"),
                              joint.pattern.size()));
  if (!found.missing.empty()) words.push_back(fmt::format("Missing: {}.", list_words(found.missing)));
  if (!found.extra.empty()) {
    words.push_back(
        fmt::format("Not on the drawing: {}; from an old repair, most likely.", list_words(found.extra)));
  }
  if (found.face_from_pattern.motion.mirrored)
    words.emplace_back("Seen from its back: the drawing is mirrored.");
  if (seat != nullptr) {
    const int decimals = decimals_for(kSettingSigmaMm);
    words.push_back(fmt::format("Sits {} mm along and {} mm across from its nominal seat; turned: {}.",
                                signed_mm(seat->along_mm, decimals), signed_mm(seat->across_mm, decimals),
                                turn_words(*seat)));
    if (seat->at_limit) words.emplace_back("It stands at the end of its play: its holes ask for more.");
  }
  if (!found.settled_by_place.empty()) {
    words.push_back(fmt::format("By its holes alone it could also lie {}; where its seat is settles it.",
                                found.settled_by_place.front().how));
  }
  if (const auto worst = worst_hole(joint)) {
    words.push_back(
        fmt::format("Where its holes should be is known to {} mm at the worst, at hole {} (95 in 100).",
                    format_mm(worst->half_axis_mm, decimals_for(0.25 * worst->half_axis_mm)), worst->hole));
  }
  if (found.scatter_mm > 0.0) {
    words.push_back(
        fmt::format("Its old holes stray about {} mm from the drawing.", format_mm(found.scatter_mm, 1)));
  }
  if (found.independent_holes) {
    words.emplace_back("The readings came without their correlations: the holes were taken as independent.");
  }
  words.insert(words.end(), joint.remarks.begin(), joint.remarks.end());
  return words;
}

}  // namespace fairhole::report

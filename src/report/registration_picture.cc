// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/registration_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "pen.h"
#include "registration_spots.h"
#include "words.h"

namespace fairhole {
namespace report {
namespace {

constexpr double kLabelMm = 2.3;
constexpr double kLeadMm = 4.6;    ///< from line of words to line of words at the foot
constexpr double kRadiusMm = 1.6;  ///< on paper; the picture shows places, not sizes
constexpr double kLongestArrowMm = 14.0;
constexpr double kBorderMm = 12.0;

constexpr drawing::Stroke kRival{drawing::kMediumMm, drawing::Dash::kBroken, drawing::Ink::kOld};
constexpr drawing::Stroke kArrow{drawing::kHeavyMm, drawing::Dash::kSolid, drawing::Ink::kWarn};
constexpr drawing::Stroke kBent{drawing::kMediumMm, drawing::Dash::kSolid, drawing::Ink::kOld};

/// Places to paper, with everything that is enlarged.
struct Paper {
  double scale = 1.0;
  double k = 1.0;
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();

  Eigen::Vector2d at(const Eigen::Vector2d& place_mm) const { return origin_mm + scale * place_mm; }
  Eigen::Vector2d enlarged(const Eigen::Vector2d& length_mm) const { return scale * k * length_mm; }
};

/// The largest round enlargement at which the longest arrow stays short and the bent grid does not fold over.
double arrow_enlargement(const RegistrationScene& scene, double scale) {
  constexpr double kMostStrain = 0.7;  // at 1 the grid folds
  double worst = 0.0;
  for (const Spot& spot : scene.spots)
    worst = std::max({worst, spot.residual_mm.norm(), spot.bend_mm.norm(), spot.ellipse.major_mm});
  const double strain = scene.grid.strain();
  double k = 1.0;
  for (const double larger : {2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0}) {
    if (worst * scale * larger <= kLongestArrowMm && strain * larger <= kMostStrain) k = larger;
  }
  return k;
}

void draw_extra(drawing::Drawing& on, const Eigen::Vector2d& at) {
  const Eigen::Vector2d slash(0.7 * kRadiusMm, 0.7 * kRadiusMm);
  old_rim(on, at, kRadiusMm, drawing::Dash::kSolid);
  line(on, at - slash, at + slash, kMedium);
}

/// The drawing's hole solid in the ellipse of its accuracy; what a distortion explains as a fine line, what
/// is left as an arrow to the measured rim.
void draw_spot(drawing::Drawing& on, const Spot& spot, const Paper& paper) {
  const Eigen::Vector2d at = paper.at(spot.at_mm);
  if (spot.kind == Spot::Kind::kExtra) {
    draw_extra(on, at);
    return;
  }
  constexpr double kLeastEllipseMm = 0.1;
  const double per_mm = paper.scale * paper.k;
  if (spot.ellipse.major_mm * per_mm > kLeastEllipseMm) {
    on.add(drawing::Ellipse{at, spot.ellipse.major_mm * per_mm, spot.ellipse.minor_mm * per_mm,
                            spot.ellipse.angle_rad},
           kFine);
  }
  if (spot.kind == Spot::Kind::kMissing) {
    circle(on, at, kRadiusMm, {drawing::kMediumMm, drawing::Dash::kBroken, drawing::Ink::kWarn});
    return;
  }
  circle(on, at, kRadiusMm, kMedium);
  dot(on, at, 0.25);
  const Eigen::Vector2d from = at + paper.enlarged(spot.bend_mm);
  const Eigen::Vector2d tip = at + paper.enlarged(spot.residual_mm);
  old_rim(on, tip, kRadiusMm, drawing::Dash::kSolid);
  constexpr double kLeastArrowMm = 0.3;
  if ((from - at).norm() >= kLeastArrowMm) line(on, at, from, kFine);
  if ((tip - from).norm() < kLeastArrowMm) return;
  line(on, from, tip, kArrow);
  arrow_head(on, tip, tip - from, std::min(2.2, 0.6 * (tip - from).norm()), kArrow.ink);
}

void label(drawing::Drawing& on, const RegistrationScene& scene, const Paper& paper, const Box& region) {
  Obstacles obstacles{region, {}, {}, {}};
  std::vector<LabelRequest> requests;
  std::vector<std::string> texts;
  const auto ask = [&](const Eigen::Vector2d& at, double keep_off_mm, const std::string& text) {
    requests.push_back({at, keep_off_mm, drawing::text_width_mm(text, kLabelMm) + 0.6, 1.6 * kLabelMm});
    texts.push_back(text);
  };
  for (const Spot& spot : scene.spots) {
    const Eigen::Vector2d at = paper.at(spot.at_mm);
    const Eigen::Vector2d tip = at + paper.enlarged(spot.residual_mm);
    obstacles.lines.emplace_back(at, tip);
    obstacles.discs.emplace_back(tip, kRadiusMm + 0.4);
    ask(at, kRadiusMm + 0.4, spot.label);
  }
  for (const RivalOutline& rival : scene.rivals)
    ask(paper.at(rival.corners_mm[2]), 0.5, "or so: " + odds_words(rival.odds));
  const std::vector<PlacedLabel> labels = place_labels(requests, obstacles);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (labels[i].leader) line(on, requests[i].at_mm, labels[i].box.nearest(requests[i].at_mm), kFineOld);
    blank(on, labels[i].box);
    write(on, labels[i].box.centre_mm(), texts[i],
          {.height_mm = kLabelMm,
           .align = drawing::Align::kCentre,
           .vertical = drawing::Text::Vertical::kMiddle});
  }
}

/// A line of the grid, straight as drawn and bent as found.
void draw_grid_line(drawing::Drawing& on, const BentGrid::GridLine& grid_line, const Paper& paper) {
  drawing::Polyline straight, bent;
  for (std::size_t i = 0; i < grid_line.places_mm.size(); ++i) {
    straight.points_mm.push_back(paper.at(grid_line.places_mm[i]));
    bent.points_mm.push_back(straight.points_mm.back() + paper.enlarged(grid_line.bends_mm[i]));
  }
  on.add(straight, kFineOld);
  on.add(bent, kBent);
}

/// The outline of the drawing where a rival pose would have it, its first hole ringed.
void draw_rival(drawing::Drawing& on, const RivalOutline& rival, const Paper& paper) {
  drawing::Polyline outline{{}, true, false};
  for (const Eigen::Vector2d& corner : rival.corners_mm) outline.points_mm.push_back(paper.at(corner));
  on.add(outline, kRival);
  circle(on, paper.at(rival.first_hole_mm), 1.7 * kRadiusMm, kRival);
}

/// Which way the datum edge lies, written at that side of the sheet.
void write_datum_side(drawing::Drawing& on, const RegistrationPicture& picture, const Box& region) {
  const Eigen::Vector2d away =
      picture.view_from_face.linear() * picture.distortion->pose.face_from_part.col(1);
  const bool level = std::abs(away.y()) >= std::abs(away.x());
  const Eigen::Vector2d middle = region.centre_mm();
  const Eigen::Vector2d half = 0.5 * (region.high_mm - region.low_mm) - Eigen::Vector2d(2.5, 2.5);
  const Eigen::Vector2d at =
      level ? Eigen::Vector2d(middle.x(), middle.y() - std::copysign(half.y(), away.y()))
            : Eigen::Vector2d(middle.x() - std::copysign(half.x(), away.x()), middle.y());
  write(on, at, "towards " + picture.names.datum_edge,
        {.height_mm = kLabelMm,
         .align = drawing::Align::kCentre,
         .vertical = drawing::Text::Vertical::kMiddle,
         .angle_rad = level ? 0.0 : 0.5 * std::numbers::pi});
}

/// What the marks mean, as far as they occur.
std::vector<std::string> legend_words(const RegistrationScene& scene) {
  std::vector<std::string> words = {
      "Solid circle: where the drawing wants the hole. Double line, at the arrow's end: where it is. "
      "Ellipse: "
      "accuracy of the drawing's place on the part, 95 in 100."};
  if (!scene.grid.lines.empty()) {
    words.emplace_back(
        "Grid: the drawing's shape and the part's, bent by the same enlargement. Arrows: what that leaves "
        "over.");
  }
  if (!scene.rivals.empty()) {
    words.push_back(fmt::format(
        "Broken outline: the readings leave open that the part lies so; a ring where {} would be.",
        scene.rivals.front().first_hole));
  }
  return words;
}

/// Lines at the foot, upwards from the scale bar, in the order they are read.
struct Foot {
  std::vector<std::string> lines;
  double height_mm() const { return 9.0 + kLeadMm * static_cast<double>(lines.size()); }
};

Foot foot_of(const RegistrationPicture& picture, const RegistrationScene& scene, double width_mm) {
  if (!picture.words) return {};
  std::vector<std::string> sentences;
  if (picture.distortion != nullptr) sentences = distortion_words(*picture.distortion, picture.names);
  for (std::string& words : legend_words(scene)) sentences.push_back(std::move(words));
  Foot foot;
  for (const std::string& words : sentences) {
    for (std::string& text : wrapped(words, width_mm - 4.0, kLabelMm)) foot.lines.push_back(std::move(text));
  }
  return foot;
}

void draw_foot(drawing::Drawing& on, const Foot& foot, const Paper& paper, double width_mm) {
  for (std::size_t i = 0; i < foot.lines.size(); ++i) {
    write(on, {2.0, foot.height_mm() - kLeadMm * static_cast<double>(i + 1) + 1.2}, foot.lines[i],
          {.height_mm = kLabelMm});
  }
  const double per_mm = paper.scale * paper.k;
  constexpr double kLongestBarMm = 32.0;
  double length = 0.1;
  for (const double step : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0}) {
    if (step * per_mm <= kLongestBarMm) length = step;
  }
  scale_bar(on, {kBorderMm, 2.2}, length * per_mm,
            fmt::format("arrows and ellipses: this long is {} mm", length), kLabelMm);
  write(on, {width_mm - 1.0, 2.2}, fmt::format("misfit x {}", paper.k),
        {.height_mm = kLabelMm, .bold = true, .align = drawing::Align::kRight});
}

}  // namespace
}  // namespace report

drawing::Page registration_picture(const RegistrationPicture& picture) {
  using namespace report;
  const RegistrationScene scene = registration_scene(picture);
  if (scene.spots.empty()) return blank_page(picture.width_mm, 1.0);
  const Box around = scene.around();
  constexpr double kTallestMm = 85.0;
  constexpr double kLeastWidthMm = 104.0;  // for the words at the foot
  const Eigen::Vector2d extent = (around.high_mm - around.low_mm).cwiseMax(1.0);
  const double beside = 2.0 * (kBorderMm + kLongestArrowMm);
  Paper paper;
  paper.scale = std::min((picture.width_mm - beside) / extent.x(), kTallestMm / extent.y());
  paper.k = arrow_enlargement(scene, paper.scale);
  const double width = std::clamp(paper.scale * extent.x() + beside, kLeastWidthMm, picture.width_mm);
  const Foot foot = foot_of(picture, scene, width);
  const double height = paper.scale * extent.y() + beside - kLongestArrowMm;
  drawing::Page page = blank_page(width, foot.height_mm() + height);
  const Box region{{0.5, foot.height_mm()}, {width - 0.5, page.height_mm - 0.5}};
  paper.origin_mm = region.centre_mm() - paper.scale * around.centre_mm();
  for (const BentGrid::GridLine& grid_line : scene.grid.lines) draw_grid_line(page.drawing, grid_line, paper);
  for (const RivalOutline& rival : scene.rivals) draw_rival(page.drawing, rival, paper);
  for (const Spot& spot : scene.spots) draw_spot(page.drawing, spot, paper);
  label(page.drawing, scene, paper, region);
  if (picture.distortion != nullptr) write_datum_side(page.drawing, picture, region);
  draw_foot(page.drawing, foot, paper, width);
  return page;
}

}  // namespace fairhole

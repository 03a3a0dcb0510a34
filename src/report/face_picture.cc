// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/face_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/drawing/writers.h"
#include "fairhole/geometry/statistics.h"
#include "pen.h"
#include "words.h"

namespace fairhole {
namespace report {
namespace {

constexpr double kLeastWidthMm = 240.0;
constexpr double kFootLines = 3.0;
constexpr double kLongestAxisShare = 0.02;  // of the picture's width, for the enlarged ellipses

/// Everything is drawn twice, paper under ink, so that it can be read on any ground.
void over(drawing::Drawing& on, const drawing::Shape& shape, drawing::Stroke stroke, double halo_mm) {
  on.add(shape, {stroke.width_mm + halo_mm, drawing::Dash::kSolid, drawing::Ink::kPaper});
  on.add(shape, stroke);
}

/// The largest round enlargement at which the widest ellipse of a sound hole stays small.
double ellipse_enlargement(const FacePicture& picture, double longest_mm) {
  double widest = 0.0;
  for (const SeenHole& hole : picture.holes)
    if (!hole.doubtful) widest = std::max(widest, confidence_ellipse(hole.cov_mm2).major_mm);
  double k = 1.0;
  for (const double larger : {2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0})
    if (widest * larger <= longest_mm) k = larger;
  return k;
}

struct Sheet {
  double scale = 1.0, text_mm = 2.5;
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), origin_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d at(const Eigen::Vector2d& face_mm) const { return origin_mm + scale * (face_mm - low_mm); }
};

void draw_seen(drawing::Drawing& on, const SeenHole& hole, const Sheet& sheet, double enlarged) {
  const Eigen::Vector2d at = sheet.at(hole.centre_mm);
  const double radius = 0.5 * sheet.scale * hole.diameter_mm, rim = 0.5 * sheet.scale * hole.rim_diameter_mm;
  const double pen = 0.1 * sheet.text_mm, halo = 0.16 * sheet.text_mm;
  const drawing::Ink ink = hole.doubtful ? drawing::Ink::kWarn : drawing::Ink::kNew;
  const drawing::Dash dash = hole.doubtful ? drawing::Dash::kBroken : drawing::Dash::kSolid;
  over(on, drawing::Circle{at, radius}, {1.5 * pen, dash, ink}, halo);
  if (rim > radius + 2.0 * pen) over(on, drawing::Circle{at, rim}, {0.6 * pen, dash, ink}, halo);
  const Ellipse ellipse = confidence_ellipse(hole.cov_mm2);
  const double k = sheet.scale * enlarged;
  if (!hole.doubtful && ellipse.minor_mm * k > pen)
    over(on, drawing::Ellipse{at, ellipse.major_mm * k, ellipse.minor_mm * k, ellipse.angle_rad},
         {pen, drawing::Dash::kSolid, drawing::Ink::kWarn}, halo);
  dot(on, at, pen, ink);
}

void label_seen(drawing::Drawing& on, const FacePicture& picture, const Sheet& sheet, const Box& region) {
  Obstacles obstacles{region, {}, {}, {}};
  std::vector<LabelRequest> requests;
  std::vector<std::string> texts;
  for (const SeenHole& hole : picture.holes) {
    const Eigen::Vector2d at = sheet.at(hole.centre_mm);
    const double keep =
        0.5 * sheet.scale * std::max(hole.diameter_mm, hole.rim_diameter_mm) + 0.3 * sheet.text_mm;
    obstacles.discs.emplace_back(at, keep);
    const std::string size = found_mm(hole.diameter_mm);
    texts.push_back(hole.doubtful     ? "look again"
                    : hole.id.empty() ? size
                                      : fmt::format("{}  {}", hole.id, size));
    requests.push_back({at, keep, drawing::text_width_mm(texts.back(), sheet.text_mm) + 0.6 * sheet.text_mm,
                        1.8 * sheet.text_mm});
  }
  const std::vector<PlacedLabel> labels = place_labels(requests, obstacles);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (labels[i].leader) line(on, requests[i].at_mm, labels[i].box.nearest(requests[i].at_mm), kFineOld);
    blank(on, labels[i].box);
    write(on, labels[i].box.centre_mm(), texts[i],
          {.height_mm = sheet.text_mm,
           .bold = !picture.holes[i].doubtful,
           .align = drawing::Align::kCentre,
           .vertical = drawing::Text::Vertical::kMiddle,
           .ink = picture.holes[i].doubtful ? drawing::Ink::kWarn : drawing::Ink::kInk});
  }
}

std::string foot_words(const FacePicture& picture, double enlarged) {
  std::string words = fmt::format(
      "{}: {}, laid flat, to scale. Circles: bores and rims as found, with number and diameter in mm. Red "
      "ellipse: "
      "where the centre lies, 95 in 100, enlarged {:.0f} times.",
      picture.title, picture.source, enlarged);
  if (!picture.edges_mm.empty()) words += " Heavy line: datum edge as found.";
  if (std::ranges::any_of(picture.holes, &SeenHole::doubtful))
    words += " Broken circle: may be no hole, look again.";
  return words;
}

}  // namespace
}  // namespace report

drawing::Page face_picture_page(const FacePicture& picture, double width_mm) {
  using namespace report;
  const Eigen::Vector2d size = picture.high_mm - picture.low_mm;
  Sheet sheet;
  sheet.scale = width_mm / size.x();
  sheet.text_mm = 2.3 * width_mm / kLeastWidthMm;
  sheet.low_mm = picture.low_mm;
  const double lead = 2.0 * sheet.text_mm, foot = (kFootLines + 0.8) * lead;
  sheet.origin_mm = {0.0, foot};
  drawing::Page page = blank_page(width_mm, foot + sheet.scale * size.y());
  page.pasted.push_back({{sheet.origin_mm, {page.width_mm, page.height_mm}}, picture.jpeg});
  drawing::Drawing& on = page.drawing;
  const double pen = 0.1 * sheet.text_mm;
  if (!picture.outline_mm.empty()) {
    drawing::Polyline outline{{}, true, false};
    for (const Eigen::Vector2d& corner : picture.outline_mm) outline.points_mm.push_back(sheet.at(corner));
    over(on, outline, {pen, drawing::Dash::kCentre, drawing::Ink::kOld}, 0.0);
  }
  for (const auto& [a, b] : picture.edges_mm)
    over(on, drawing::Line{sheet.at(a), sheet.at(b)}, {2.5 * pen, drawing::Dash::kSolid, drawing::Ink::kInk},
         1.5 * pen);
  const double enlarged = ellipse_enlargement(picture, kLongestAxisShare * size.x());
  for (const SeenHole& hole : picture.holes) draw_seen(on, hole, sheet, enlarged);
  label_seen(on, picture, sheet, {{0.5, foot + 0.5}, {page.width_mm - 0.5, page.height_mm - 0.5}});
  double y = foot - 1.3 * lead;
  for (const std::string& row : wrapped(foot_words(picture, enlarged), page.width_mm - 2.0, sheet.text_mm)) {
    write(on, {1.0, y}, row, {.height_mm = sheet.text_mm});
    y -= lead;
  }
  return page;
}

Result<std::string> face_picture_svg(const FacePicture& picture) {
  return drawing::write_svg(
      face_picture_page(picture, std::max(report::kLeastWidthMm, picture.high_mm.x() - picture.low_mm.x())));
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "covariance_json.h"
#include "fairhole/base/angle.h"
#include "fairhole/job/photo_files.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kTwoSigma = 2.0;

const char* kind_word(photo::MarkKind kind) {
  switch (kind) {
    case photo::MarkKind::kDisc:
      return "disc";
    case photo::MarkKind::kRing:
      return "ring";
    case photo::MarkKind::kRub:
      return "rub";
    case photo::MarkKind::kPrick:
      return "prick";
    case photo::MarkKind::kHole:
      break;
  }
  return "hole";
}

Eigen::Matrix2d covariance_of(const photo::PhotoReading& reading, std::size_t hole) {
  const auto row = 2 * static_cast<Eigen::Index>(hole);
  return reading.adjusted.covariance_mm2.block<2, 2>(row, row);
}

std::string join(const std::vector<std::string>& texts, const char* between) {
  std::string all;
  for (const std::string& text : texts) all += (all.empty() ? "" : between) + text;
  return all;
}

std::vector<std::string> warnings_of(const photo::PhotoReading& reading) {
  std::vector<std::string> warnings = reading.adjusted.warnings;
  for (const photo::PhotoHole& hole : reading.holes)
    if (hole.doubtful)
      warnings.push_back(
          fmt::format("{} may be no hole, or is not well measured: {}", hole.id, join(hole.reasons, "; ")));
  return warnings;
}

Json hole_json(const photo::PhotoReading& reading, std::size_t index,
               const std::vector<std::string>& images) {
  const photo::PhotoHole& hole = reading.holes[index];
  const Eigen::Matrix2d c = covariance_of(reading, index);
  Json photos = Json::array();
  for (const int p : hole.photos) photos.push_back(images[static_cast<std::size_t>(p)]);
  const bool oval = hole.oval_mm > 0.0;
  const auto if_sized = [&](double mm) { return hole.sized() ? number_json(mm) : Json(nullptr); };
  return {{"id", hole.id},
          {"x", number_json(hole.centre_mm.x())},
          {"y", number_json(hole.centre_mm.y())},
          {"sxx", number_json(c(0, 0))},
          {"sxy", number_json(c(0, 1))},
          {"syy", number_json(c(1, 1))},
          {"diameter", if_sized(hole.bore_diameter_mm)},
          {"s_diameter", if_sized(hole.bore_sigma_mm)},
          {"rim_diameter", if_sized(hole.rim_diameter_mm)},
          {"minor", if_sized(hole.bore_diameter_mm - hole.oval_mm / 2.0)},
          {"angle_deg", oval ? number_json(degrees_of(hole.oval_axis_rad)) : Json(nullptr)},
          {"kind", kind_word(hole.kind)},
          {"doubtful", hole.doubtful},
          {"photos", photos},
          {"remarks", hole.reasons}};
}

Json point_json(const Eigen::Vector3d& p) {
  return {number_json(p.x()), number_json(p.y()), number_json(p.z())};
}

Json camera_json(const photo::PhotoFit& fit, const std::string& image) {
  const photo::Lens& lens = fit.view.lens;
  return {{"photo", image},
          {"focal_px", number_json(lens.focal_px)},
          {"s_focal_px", number_json(fit.focal_sigma_px)},
          {"centre_px", {number_json(lens.centre_px.x()), number_json(lens.centre_px.y())}},
          {"k1", number_json(lens.k1)},
          {"k2", number_json(lens.k2)},
          {"p1", number_json(lens.p1)},
          {"p2", number_json(lens.p2)},
          {"place_mm", point_json(photo::camera_centre_mm(fit.view))},
          {"growth_px", number_json(fit.growth_px)},
          {"rms_px", number_json(fit.rms_px)},
          {"edges", fit.edges_used},
          {"edges_left_out", fit.edges_left_out}};
}

}  // namespace

std::string photo_json(const photo::PhotoReading& reading, const std::vector<std::string>& images,
                       const FlatFile* flat) {
  Json holes = Json::array(), cameras = Json::array();
  std::vector<HoleId> ids;
  for (std::size_t h = 0; h < reading.holes.size(); ++h) {
    holes.push_back(hole_json(reading, h, images));
    ids.push_back(reading.holes[h].id);
  }
  for (std::size_t p = 0; p < images.size() && !reading.adjusted.boards.empty(); ++p)
    cameras.push_back(camera_json(reading.adjusted.photos[p], images[p]));
  Json out{{"frame", reading.adjusted.frame},
           {"holes", holes},
           {"cameras", cameras},
           {"board_rms_px",
            reading.adjusted.boards.empty() ? Json(nullptr) : number_json(reading.adjusted.rms_px)},
           {"warnings", warnings_of(reading)},
           {"covariance", covariance_json(ids, reading.adjusted.covariance_mm2)}};
  if (flat != nullptr) {
    const auto corner = [](const Eigen::Vector2d& p) { return Json{number_json(p.x()), number_json(p.y())}; };
    out["flat"] = {{"low", corner(flat->low_mm)}, {"high", corner(flat->high_mm)}};
  }
  return out.dump() + "\n";
}

std::string photo_text(const photo::PhotoReading& reading, const std::vector<std::string>& images) {
  const auto doubtful = std::ranges::count_if(reading.holes, &photo::PhotoHole::doubtful);
  const std::string frame =
      reading.adjusted.frame == kPartFrame ? "the part (mm; x along the datum edge or line, y to its left)"
      : reading.adjusted.boards.empty()
          ? "the scan (mm; x right, y up from its lower left corner)"
          : fmt::format("board {} (mm; x right, y up from the sheet's lower left corner)",
                        reading.adjusted.frame);
  std::string text = fmt::format(
      "{} holes in the frame of {}, {} doubtful\n"
      "{:<6}{:>10}{:>10}{:>9}{:>10}{:>9}{:>9}{:>8}\n",
      reading.holes.size(), frame, doubtful, "hole", "x", "y", "+-95 %", "diameter", "+-95 %", "rim",
      "photos");
  for (std::size_t h = 0; h < reading.holes.size(); ++h) {
    const photo::PhotoHole& hole = reading.holes[h];
    // The larger half axis of the 95 % ellipse: sqrt(chi-square's 0.95 point of 2 degrees of freedom, 5.991).
    const Eigen::Matrix2d c = covariance_of(reading, h);
    const double half = 0.5 * (c(0, 0) + c(1, 1)), difference = 0.5 * (c(0, 0) - c(1, 1));
    const double axis = std::sqrt(5.991 * (half + std::hypot(difference, c(0, 1))));
    const auto if_sized = [&](double mm) { return hole.sized() ? fmt::format("{:.2f}", mm) : "-"; };
    text += fmt::format("{:<6}{:>10.2f}{:>10.2f}{:>9.2f}{:>10}{:>9}{:>9}{:>8}{}\n", hole.id,
                        hole.centre_mm.x(), hole.centre_mm.y(), axis, if_sized(hole.bore_diameter_mm),
                        if_sized(kTwoSigma * hole.bore_sigma_mm), if_sized(hole.rim_diameter_mm),
                        hole.photos.size(), hole.doubtful ? "  doubtful" : "");
  }
  for (std::size_t p = 0; p < images.size() && !reading.adjusted.boards.empty(); ++p)
    text += fmt::format("{}: board fits to {:.3f} px, focal length {:.0f} +- {:.0f} px\n", images[p],
                        reading.adjusted.photos[p].rms_px, reading.adjusted.photos[p].view.lens.focal_px,
                        kTwoSigma * reading.adjusted.photos[p].focal_sigma_px);
  for (const std::string& warning : warnings_of(reading)) text += "Note: " + warning + "\n";
  return text;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "fairhole/geometry/pose.h"
#include "fairhole/photo/flat_picture.h"
#include "test_boards.h"
#include "test_hole_render.h"

/// Photographs of a whole face with known truth: boards, metal with holes and straight edges, the bench below
/// it. Every ray is followed to the surface it meets; light is averaged over each pixel, blurred in linear
/// light, gets noise and a file's tone curve. Rubbings: the sheet alone, with dark rubbed borders about each
/// hole.
namespace fairhole::photo::test {

struct DrawnFace {
  std::vector<DrawnHole> holes;             ///< in the world: the frame board's own frame
  std::vector<Eigen::Vector2d> outline_mm;  ///< of the metal, counter-clockwise, world
  std::vector<LaidBoard> boards;
  double thickness_mm = 16.0;
  double metal = 0.42, bench = 0.16, side = 0.06, grain = 0.05;  // light; grain is a share of it
  bool rubbing = false;  ///< `holes` are marks on the first board's sheet, which hides all else
};

struct FaceCamera {
  View view;
  int width_px = 2000, height_px = 1500;
  double blur_px = 0.8, noise = 0.004;
  unsigned seed = 1;
  int rays = 4;  ///< each way, of a pixel that an edge crosses
};

class FaceScene {
 public:
  explicit FaceScene(const DrawnFace& face) : face_(face) {
    for (const LaidBoard& laid : face.boards) sheets_.emplace_back(laid.board);
    for (const DrawnHole& hole : face.holes) holes_.emplace_back(hole);
  }

  /// Light of the surface without its grain, and where it is met.
  struct Met {
    double light = 0.0;
    Eigen::Vector2d at = Eigen::Vector2d::Zero();
  };
  Met meet(const Eigen::Vector3d& from, const Eigen::Vector3d& way) const {
    const auto at = [&](double z) {
      return Eigen::Vector2d((from + (z - from.z()) / way.z() * way).head<2>());
    };
    for (std::size_t b = 0; b < sheets_.size(); ++b) {
      const LaidBoard& laid = face_.boards[b];
      const Eigen::Vector2d p = at(laid.lift_mm), w = p - laid.origin_mm;
      const double c = std::cos(laid.turn_rad), s = std::sin(laid.turn_rad);
      const auto ink =
          sheets_[b].at({(c * w.x() + s * w.y()) / laid.scale.x(), (c * w.y() - s * w.x()) / laid.scale.y()});
      if (ink) return {*ink ? kInk : face_.rubbing ? rubbed(p) : kPaper, p};
    }
    const Eigen::Vector2d top = at(0.0), low = at(-face_.thickness_mm);
    if (face_.rubbing || !in_metal(top))
      return {in_metal(low) && !face_.rubbing ? face_.side : face_.bench, low};
    for (std::size_t h = 0; h < holes_.size(); ++h)
      if ((top - face_.holes[h].centre_mm).norm() < face_.holes[h].bore_mm)
        return {holes_[h].light_along(from, way), top};
    return {face_.metal, top};
  }

  /// Grain of the surface: smooth noise that lies fixed on the metal.
  double shade(const Met& met) const {
    if (met.light == kInk || met.light == kPaper || face_.rubbing) return met.light;
    const double u = met.at.x() / kGrainMm, v = met.at.y() / kGrainMm;
    const double x = u - std::floor(u), y = v - std::floor(v);
    const auto knot = [&](int i, int j) {
      return hash(static_cast<std::int64_t>(std::floor(u)) + i, static_cast<std::int64_t>(std::floor(v)) + j);
    };
    const double value =
        (1 - y) * ((1 - x) * knot(0, 0) + x * knot(1, 0)) + y * ((1 - x) * knot(0, 1) + x * knot(1, 1));
    return met.light * (1.0 + face_.grain * (2.0 * value - 1.0));
  }

 private:
  static constexpr double kInk = 0.04, kPaper = 0.75, kGrainMm = 1.3, kRubMm = 12.0, kCrayon = 0.28;

  double rubbed(const Eigen::Vector2d& p) const {
    for (const DrawnHole& hole : face_.holes) {
      const double off = (p - hole.centre_mm).norm() - 0.5 * hole.bore_mm;
      if (off < 0.0) return kPaper;
      // The crayon bears on the hole's edge and fades out on the metal.
      if (off < kRubMm) return kCrayon + (kPaper - kCrayon) * off / kRubMm;
    }
    return kPaper;
  }
  bool in_metal(const Eigen::Vector2d& p) const {
    for (std::size_t i = 0; i < face_.outline_mm.size(); ++i) {
      const Eigen::Vector2d a = face_.outline_mm[i],
                            d = face_.outline_mm[(i + 1) % face_.outline_mm.size()] - a;
      if (d.x() * (p.y() - a.y()) - d.y() * (p.x() - a.x()) < 0.0) return false;
    }
    return !face_.outline_mm.empty();
  }
  static double hash(std::int64_t i, std::int64_t j) {
    std::uint64_t h = static_cast<std::uint64_t>(i) * 0x9E3779B97F4A7C15ULL ^
                      static_cast<std::uint64_t>(j) * 0xC2B2AE3D27D4EB4FULL;
    h = (h ^ h >> 29U) * 0xBF58476D1CE4E5B9ULL;
    h = (h ^ h >> 32U) * 0x94D049BB133111EBULL;
    return static_cast<double>(h >> 40U) / 16777216.0;
  }

  const DrawnFace& face_;
  std::vector<PrintedSheet> sheets_;
  std::vector<HoleScene> holes_;
};

inline Picture draw_face(const DrawnFace& face, const FaceCamera& camera) {
  const FaceScene scene(face);
  const Eigen::Vector3d from = camera_centre_mm(camera.view);
  const auto ray = [&](double x, double y) -> Eigen::Vector3d {
    return camera.view.camera_from_world.transpose() * undistort(camera.view.lens, {x, y})->homogeneous();
  };
  // The surfaces at the pixels' corners tell where an edge runs; elsewhere one ray is enough.
  std::vector<double> corners;
  for (int y = 0; y <= camera.height_px; ++y)
    for (int x = 0; x <= camera.width_px; ++x)
      corners.push_back(scene.meet(from, ray(x - 0.5, y - 0.5)).light);
  const auto corner = [&](int x, int y) {
    return corners[static_cast<std::size_t>(y * (camera.width_px + 1) + x)];
  };
  Picture picture;
  picture.width_px = camera.width_px;
  picture.height_px = camera.height_px;
  for (int y = 0; y < camera.height_px; ++y)
    for (int x = 0; x < camera.width_px; ++x) {
      const double first = corner(x, y);
      const bool plain =
          corner(x + 1, y) == first && corner(x, y + 1) == first && corner(x + 1, y + 1) == first;
      const int n = plain ? 1 : camera.rays;
      double light = 0.0;
      for (int j = 0; j < n; ++j)
        for (int i = 0; i < n; ++i)
          light += scene.shade(scene.meet(from, ray(x + (i + 0.5) / n - 0.5, y + (j + 0.5) / n - 0.5)));
      picture.light.push_back(static_cast<float>(light / (n * n)));
    }
  return with_noise(blurred(picture, camera.blur_px), camera.noise, camera.seed);
}

/// As a phone writes it, but grey and without EXIF.
inline std::string photo_file(const Picture& picture, int quality = 90) {
  FlatPicture flat;
  flat.mm_per_px = 1.0;
  flat.width_px = picture.width_px;
  flat.height_px = picture.height_px;
  for (const float light : picture.light) {
    const double v = std::clamp(static_cast<double>(light), 0.0, 1.0);
    flat.grey.push_back(static_cast<std::uint8_t>(
        std::lround(255.0 * (v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1.0 / 2.4) - 0.055))));
  }
  return encode_jpeg(flat, quality);
}

/// A face's points carried into the world of its photographs.
inline DrawnFace in_world(DrawnFace face, const Motion& world_from_face) {
  for (DrawnHole& hole : face.holes) hole.centre_mm = world_from_face * hole.centre_mm;
  for (Eigen::Vector2d& corner : face.outline_mm) corner = world_from_face * corner;
  if (world_from_face.mirrored) std::reverse(face.outline_mm.begin(), face.outline_mm.end());
  return face;
}

}  // namespace fairhole::photo::test

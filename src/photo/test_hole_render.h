// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// Pictures of one hole with known truth, by another way than the fit goes: each pixel is cut into many rays,
/// each ray is followed through the lens to the surface it meets (face, cone of the chamfer, bore wall,
/// bench), the light is summed, blurred in linear light, gets noise, and may go through a file's 8-bit tone
/// curve.
namespace fairhole::photo::test {

struct DrawnHole {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double bore_mm = 17.0;                                       ///< diameter
  double chamfer_mm = 0.0;                                     ///< wide and deep
  double oval_mm = 0.0, oval_axis_rad = 0.0;                   ///< longest less shortest
  double depth_mm = 12.0;                                      ///< thickness of the part
  double face = 0.5, chamfer = 0.7, wall = 0.05, bench = 0.2;  ///< light
  double chamfer_swing = 0.0;  ///< its light varies by this share round the hole (lamp from one side)
  double wander_mm = 0.0;      ///< rim's edge off its circle: harmonics 3..12, 1-sigma together
  unsigned seed = 1;           ///< of the wander and the noise
};

struct DrawnPicture {
  double blur_px = 0.8;
  double noise = 0.003;  ///< of light, 1-sigma, at every pixel
  bool tone_curve = false;
  int rays = 5;  ///< each way, of a pixel
};

/// A camera of focal length `focal_px` that looks at `at_mm` on the face from a distance, its sight line
/// slanted by `slant_rad` from the normal towards direction `turn_rad`; that point comes to `pixel`.
inline View look_at(double focal_px, const Eigen::Vector2d& at_mm, double distance_mm, double slant_rad,
                    double turn_rad, const Eigen::Vector2d& pixel) {
  const Eigen::Vector3d away(std::sin(slant_rad) * std::cos(turn_rad),
                             std::sin(slant_rad) * std::sin(turn_rad), std::cos(slant_rad));
  const Eigen::Vector3d aim(at_mm.x(), at_mm.y(), 0.0);
  const Eigen::Vector3d z = -away;
  const Eigen::Vector3d x = Eigen::Vector3d(-std::sin(turn_rad), std::cos(turn_rad), 0.0);
  View view;
  view.camera_from_world << x.transpose(), z.cross(x).transpose(), z.transpose();
  view.origin_mm = -view.camera_from_world * (aim + distance_mm * away);
  view.lens.focal_px = focal_px;
  view.lens.centre_px = pixel;
  return view;
}

class HoleScene {
 public:
  explicit HoleScene(const DrawnHole& hole) : hole_(hole) {
    std::mt19937 random(hole.seed);
    std::normal_distribution<double> normal;
    for (int k = 3; k <= 12; ++k) {
      wander_.push_back({normal(random), normal(random)});
      wander_reach_ += wander_.back().norm();
    }
    wander_reach_ /= std::sqrt(static_cast<double>(wander_.size()));
  }

  double light_along(const Eigen::Vector3d& from, const Eigen::Vector3d& way) const {
    const auto at = [&](double z) { return Eigen::Vector3d(from + (z - from.z()) / way.z() * way); };
    if (outside(at(0.0), 0.0)) return hole_.face;
    // Down through the mouth in small steps: the first surface met.
    const double c = hole_.chamfer_mm;
    constexpr int kSteps = 8;
    for (int k = 1; k <= kSteps && c > 0.0; ++k) {
      const Eigen::Vector3d p = at(-c * k / kSteps);
      if (outside(p, static_cast<double>(k) / kSteps))
        return hole_.chamfer * (1.0 + hole_.chamfer_swing * std::cos(angle_of(p)));
    }
    return outside(at(-hole_.depth_mm), 1.0) ? hole_.wall : hole_.bench;
  }

 private:
  double angle_of(const Eigen::Vector3d& p) const {
    return std::atan2(p.y() - hole_.centre_mm.y(), p.x() - hole_.centre_mm.x());
  }
  /// Beyond the opening at that share of the way from rim to bore. The angle is asked for only where the
  /// opening's own unevenness can matter.
  bool outside(const Eigen::Vector3d& p, double share) const {
    const double radius = (p.head<2>() - hole_.centre_mm).norm();
    const double mean = 0.5 * hole_.bore_mm + (1.0 - share) * hole_.chamfer_mm;
    const double uneven = 0.25 * hole_.oval_mm * (1.0 + 2.0 * hole_.chamfer_mm / hole_.bore_mm) +
                          (1.0 - share) * hole_.wander_mm * wander_reach_;
    if (radius > mean + uneven) return true;
    if (radius < mean - uneven) return false;
    const double angle = angle_of(p);
    return radius > (1.0 - share) * rim_radius(angle) + share * bore_radius(angle);
  }
  double bore_radius(double angle) const {
    return 0.5 * hole_.bore_mm + 0.25 * hole_.oval_mm * std::cos(2.0 * (angle - hole_.oval_axis_rad));
  }
  double rim_radius(double angle) const {
    double radius = bore_radius(angle) * (1.0 + 2.0 * hole_.chamfer_mm / hole_.bore_mm);
    for (std::size_t k = 0; k < wander_.size() && hole_.wander_mm > 0.0; ++k)
      radius += hole_.wander_mm / std::sqrt(static_cast<double>(wander_.size())) *
                (wander_[k].x() * std::cos(static_cast<double>(k + 3) * angle) +
                 wander_[k].y() * std::sin(static_cast<double>(k + 3) * angle));
    return radius;
  }

  DrawnHole hole_;
  std::vector<Eigen::Vector2d> wander_;
  double wander_reach_ = 0.0;  ///< the rim's farthest wandering, of its 1-sigma, not reached
};

inline Picture blurred(const Picture& sharp, double blur_px) {
  const int reach = static_cast<int>(std::ceil(4.5 * blur_px));
  std::vector<double> kernel;
  double sum = 0.0;
  for (int k = -reach; k <= reach; ++k)
    sum += kernel.emplace_back(std::exp(-0.5 * k * k / (blur_px * blur_px)));
  Picture out = sharp;
  for (const bool down : {false, true}) {
    const Picture from = out;
    for (int y = 0; y < out.height_px; ++y)
      for (int x = 0; x < out.width_px; ++x) {
        double light = 0.0;
        for (int k = -reach; k <= reach; ++k)
          light += kernel[static_cast<std::size_t>(k + reach)] / sum *
                   static_cast<double>(down ? from.at(x, std::clamp(y + k, 0, out.height_px - 1))
                                            : from.at(std::clamp(x + k, 0, out.width_px - 1), y));
        out.light[static_cast<std::size_t>(y) * static_cast<std::size_t>(out.width_px) +
                  static_cast<std::size_t>(x)] = static_cast<float>(light);
      }
  }
  return out;
}

inline Picture with_noise(Picture picture, double noise, unsigned seed) {
  if (noise <= 0.0) return picture;
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0.0, noise);
  for (float& light : picture.light) light += static_cast<float>(normal(random));
  return picture;
}

inline double through_file(double light) {
  const double v = std::clamp(light, 0.0, 1.0);
  const double code =
      std::round(255.0 * (v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1.0 / 2.4) - 0.055)) / 255.0;
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

inline Picture draw_hole(const View& view, const DrawnHole& hole, const DrawnPicture& how, int size_px) {
  const HoleScene scene(hole);
  const Eigen::Vector3d from = camera_centre_mm(view);
  Picture picture;
  picture.width_px = picture.height_px = size_px;
  for (int y = 0; y < size_px; ++y)
    for (int x = 0; x < size_px; ++x) {
      double light = 0.0;
      for (int j = 0; j < how.rays; ++j)
        for (int i = 0; i < how.rays; ++i) {
          const Eigen::Vector2d spot(x + (i + 0.5) / how.rays - 0.5, y + (j + 0.5) / how.rays - 0.5);
          light += scene.light_along(
              from, view.camera_from_world.transpose() * undistort(view.lens, spot)->homogeneous());
        }
      picture.light.push_back(static_cast<float>(light / (how.rays * how.rays)));
    }
  picture = with_noise(blurred(picture, how.blur_px), how.noise, hole.seed + 77);
  if (how.tone_curve)
    for (float& light : picture.light) light = static_cast<float>(through_file(static_cast<double>(light)));
  return picture;
}

}  // namespace fairhole::photo::test

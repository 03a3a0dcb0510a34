// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "hole_evidence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "light_sample.h"
#include "robust.h"
#include "steps.h"

namespace fairhole::photo {
namespace {

constexpr int kTurns = 72;
constexpr double kFarNearPx = 1.5;
constexpr double kDomeRatio = 1.2;

/// Light on a circle about the axis, laid on the face.
std::vector<double> light_on(const Picture& picture, const View& view, const Mouth& mouth, double radius_mm) {
  std::vector<double> values;
  for (int k = 0; k < kTurns; ++k) {
    const double angle = 2.0 * std::numbers::pi * k / kTurns;
    const auto pixel = project(view, {mouth.centre_mm.x() + radius_mm * std::cos(angle),
                                      mouth.centre_mm.y() + radius_mm * std::sin(angle), 0.0});
    if (pixel && picture.holds(pixel->x(), pixel->y(), kSampleMargin))
      values.push_back(sample_coarsely(picture, pixel->x(), pixel->y()));
  }
  return values;
}

double share_of(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

/// A rivet head catches the light in its middle and falls off to its edge on every side; a bore does so on
/// one side at most.
double dome_share(const Picture& picture, const View& view, const Mouth& mouth) {
  std::array<double, kTurns> middle{}, edge{};
  const std::array<double, 4> inner{0.1, 0.2, 0.3, 0.4}, outer{0.72, 0.78, 0.84, 0.9};
  for (const double share : inner) {
    const auto ring = light_on(picture, view, mouth, share * mouth.radius_mm);
    for (std::size_t k = 0; k < ring.size(); ++k) middle[k] += ring[k];
  }
  for (const double share : outer) {
    const auto ring = light_on(picture, view, mouth, share * mouth.radius_mm);
    for (std::size_t k = 0; k < ring.size(); ++k) edge[k] += ring[k];
  }
  int lighter = 0;
  for (std::size_t k = 0; k < kTurns; ++k) lighter += middle[k] > kDomeRatio * edge[k];
  return static_cast<double>(lighter) / kTurns;
}

/// A nut: six straight edges about the bore. Share of the directions that meet one of them.
double hexagon_about(const Picture& picture, const View& view, const Mouth& mouth,
                     const Eigen::Vector2d& centre_mm) {
  constexpr int kAngles = 30, kWidths = 48;
  const RayEdges rays = shoot_rays(picture, view, centre_mm, 1.6 * mouth.radius_mm);
  const double from = 1.25 * mouth.radius_mm, step = mouth.radius_mm / kWidths;
  double best = 0.0;
  for (int turned = 0; turned < kAngles; ++turned) {
    std::array<double, kWidths + 1> sums{};
    std::array<std::size_t, kWidths + 1> last;
    last.fill(static_cast<std::size_t>(-1));
    for (const RayEdge& edge : rays.edges) {
      const Eigen::Vector2d arm = edge.face_mm - centre_mm;
      const double sixth = std::numbers::pi / 3.0;
      const double angle = std::atan2(arm.y(), arm.x()) - sixth * turned / kAngles;
      const double off = angle - sixth * std::round(angle / sixth);
      const double place = (arm.norm() * std::cos(off) - from) / step;
      if (place < 0.0 || place >= kWidths) continue;
      for (std::size_t bin = static_cast<std::size_t>(place); bin <= static_cast<std::size_t>(place) + 1;
           ++bin)
        if (last[bin] != edge.ray) {
          last[bin] = edge.ray;
          sums[bin] += edge.weight;
        }
    }
    best = std::max(best, *std::max_element(sums.begin(), sums.end()));
  }
  return best / static_cast<double>(std::max<std::size_t>(rays.rays, 1));
}

/// A circle of the bore, `depth_mm` below the face, as the camera sees it drawn on the face.
struct SeenCircle {
  Eigen::Vector2d centre_mm;
  double radius_mm;
};

SeenCircle seen_on_face(const Eigen::Vector3d& camera_mm, const Mouth& mouth, double depth_mm) {
  const double shrink = camera_mm.z() / (camera_mm.z() + depth_mm);
  return {camera_mm.head<2>() + (mouth.centre_mm - camera_mm.head<2>()) * shrink, mouth.radius_mm * shrink};
}

/// About the axis, and about the bore's edge as it shows: a nut has no chamfer, but a fit that took one for
/// granted has its axis beside the thread.
double hexagon_cover(const Picture& picture, const View& view, const Mouth& mouth) {
  constexpr double kBesidePx = 1.0;  // nearer the two are one
  const Eigen::Vector2d shown = seen_on_face(camera_centre_mm(view), mouth, mouth.depth_mm).centre_mm;
  const double about_axis = hexagon_about(picture, view, mouth, mouth.centre_mm);
  if ((shown - mouth.centre_mm).norm() * pixels_per_mm(view, mouth.centre_mm) < kBesidePx) return about_axis;
  return std::max(about_axis, hexagon_about(picture, view, mouth, shown));
}

/// Light on several circles within the bore.
std::vector<double> light_within(const Picture& picture, const View& view, const Mouth& mouth) {
  std::vector<double> light;
  for (const double share : {0.15, 0.3, 0.42, 0.52, 0.6, 0.67, 0.74, 0.8}) {
    const auto ring = light_on(picture, view, mouth, share * mouth.radius_mm);
    light.insert(light.end(), ring.begin(), ring.end());
  }
  return light;
}

}  // namespace

FarEnd seek_far_end(const View& view, const Mouth& m, const RayEdges& rays) {
  FarEnd found;
  const Eigen::Vector3d camera = camera_centre_mm(view);
  const double start = std::max(m.depth_mm, 0.0) + 0.25 * m.radius_mm;
  for (const double depth : steps_below(start, 6.0 * m.radius_mm, 1.05)) {
    const auto [near_centre, near_radius] = seen_on_face(camera, m, m.depth_mm);
    const auto [far_centre, far_radius] = seen_on_face(camera, m, depth);
    if ((far_centre - near_centre).norm() > near_radius + 0.6 * far_radius) break;
    // Directions about the far circle where it lies clear of the near edge.
    std::vector<bool> open(kTurns, false);
    std::vector<double> met(kTurns, 0.0);
    int open_count = 0;
    for (int k = 0; k < kTurns; ++k) {
      const double angle = 2.0 * std::numbers::pi * k / kTurns;
      const Eigen::Vector2d at = far_centre + far_radius * Eigen::Vector2d(std::cos(angle), std::sin(angle));
      open[static_cast<std::size_t>(k)] = (at - near_centre).norm() < near_radius - 3.0 * rays.px_mm;
      open_count += open[static_cast<std::size_t>(k)];
    }
    if (open_count < kTurns / 6) continue;
    for (const RayEdge& edge : rays.edges) {
      const Eigen::Vector2d arm = edge.face_mm - far_centre;
      if (std::abs(arm.norm() - far_radius) > kFarNearPx * rays.px_mm) continue;
      const double turn = std::atan2(arm.y(), arm.x()) / (2.0 * std::numbers::pi);
      double& most = met[static_cast<std::size_t>(std::lround((turn - std::floor(turn)) * kTurns)) % kTurns];
      most = std::max(most, edge.weight);
    }
    double sum = 0.0;
    for (std::size_t k = 0; k < kTurns; ++k) sum += open[k] ? met[k] : 0.0;
    const double cover = sum / open_count;
    if (cover > found.cover) found = {cover, depth};
  }
  return found;
}

double brightest_within(const Picture& picture, const View& view, const Mouth& mouth) {
  return share_of(light_within(picture, view, mouth), 0.9);
}

HoleEvidence gather_evidence(const Picture& picture, const View& view, const RimFit& fit,
                             const RayEdges& rays) {
  HoleEvidence evidence;
  const Mouth& m = fit.mouth;
  const std::vector<double> inner = light_within(picture, view, m);
  std::vector<double> outer;
  const double rim = m.radius_mm + m.width_mm;
  for (const double px : {3.0, 4.5, 6.0, 8.0}) {
    const auto ring = light_on(picture, view, m, rim + px * rays.px_mm);
    outer.insert(outer.end(), ring.begin(), ring.end());
  }
  evidence.inside = middle_of(inner);
  evidence.darkest = share_of(inner, 0.1);
  evidence.brightest = share_of(inner, 0.9);
  evidence.outside = middle_of(outer);
  evidence.unrest = robust_sd(outer);
  const auto just_in = light_on(picture, view, m, m.radius_mm - 3.0 * rays.px_mm);
  const auto just_out = light_on(picture, view, m, rim + 3.0 * rays.px_mm);
  double steps = 0.0;
  for (std::size_t k = 0; k < std::min(just_in.size(), just_out.size()); ++k)
    steps += std::abs(just_in[k] - just_out[k]) > std::max(2.0 * evidence.unrest, 0.15 * evidence.outside);
  evidence.step_share = steps / kTurns;
  evidence.dome = dome_share(picture, view, m);
  evidence.hexagon = hexagon_cover(picture, view, m);
  const FarEnd far = seek_far_end(view, m, rays);
  evidence.far_end = far.cover;
  evidence.far_depth_mm = far.depth_mm;
  return evidence;
}

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "mouth_search.h"

#include <algorithm>
#include <cmath>

namespace fairhole::photo {
namespace {

constexpr double kWidestMm = 4.0, kWidestShare = 0.3;  // chamfer, of the bore radius
constexpr double kNarrowestPx = 1.8;                   // narrower bands have no edge of their own
constexpr double kDepthPerWidth[] = {0.5, 0.75, 1.0, 1.3, 1.7};
constexpr double kBinPx = 0.7;
// Where no rim shows itself the fit starts from wide chamfers and closes in; from a narrow one it takes bore
// and rim together for one blurred edge and never finds the way out.
constexpr double kStartWidthsPx[] = {2.0, 3.2, 6.5, 1.2};
constexpr double kLeastRimCover = 0.44;  // texture alone reaches 0.4
constexpr std::size_t kMostBases = 4;

struct RimGuess {
  double width_mm = 0.0, depth_mm = 0.0, cover = 0.0;
};

/// The width and depth at which most rays have an edge where the rim would be.
RimGuess best_rim(const View& view, const RayEdges& rays, const Ring& bore) {
  const Eigen::Vector3d camera = camera_centre_mm(view);
  // Per mm of depth the ring's centre lies this much nearer the camera's foot, and the ring is larger.
  const Eigen::Vector2d shift = (camera.head<2>() - bore.centre_mm) / camera.z();
  const double widest = std::min(kWidestMm, kWidestShare * bore.radius_mm);
  const double bin = kBinPx * rays.px_mm;
  const auto bins = static_cast<std::size_t>(widest / bin) + 2;
  RimGuess best;
  for (const double ratio : kDepthPerWidth) {
    std::vector<double> sums(bins, 0.0);
    std::vector<std::size_t> last(bins, static_cast<std::size_t>(-1));
    for (const RayEdge& edge : rays.edges) {
      const Eigen::Vector2d arm = edge.face_mm - bore.centre_mm;
      const Eigen::Vector2d out = arm.normalized();
      const double c2 = out.x() * out.x() - out.y() * out.y(), s2 = 2.0 * out.x() * out.y();
      const double beyond = arm.norm() - bore.radius_mm - bore.oval_c_mm * c2 - bore.oval_s_mm * s2;
      // A rim of width w, its centre moved by depth = ratio * w: beyond = w (1 + ratio (radius / height -
      // shift . out)).
      const double growth = 1.0 + ratio * (bore.radius_mm / camera.z() - shift.dot(out));
      if (growth < 0.15) continue;
      const double place = beyond / growth / bin;
      if (place < kNarrowestPx / kBinPx || place >= static_cast<double>(bins) - 1.0) continue;
      for (std::size_t k = static_cast<std::size_t>(place); k <= static_cast<std::size_t>(place) + 1; ++k)
        if (last[k] != edge.ray) {
          last[k] = edge.ray;
          sums[k] += edge.weight;
        }
    }
    for (std::size_t k = 0; k < bins; ++k)
      if (sums[k] > best.cover * static_cast<double>(rays.rays))
        best = {static_cast<double>(k) * bin, ratio * static_cast<double>(k) * bin,
                sums[k] / static_cast<double>(rays.rays)};
  }
  return best;
}

}  // namespace

double depth_factor(const View& view, double depth_mm) {
  const double height = camera_centre_mm(view).z();
  return (height + depth_mm) / height;
}

Mouth mouth_of(const View& view, const Ring& bore, double width_mm, double depth_mm) {
  const Eigen::Vector2d foot = camera_centre_mm(view).head<2>();
  const double grow = depth_factor(view, depth_mm);
  Mouth mouth;
  mouth.centre_mm = foot + (bore.centre_mm - foot) * grow;
  mouth.radius_mm = bore.radius_mm * grow;
  mouth.oval_c_mm = bore.oval_c_mm;
  mouth.oval_s_mm = bore.oval_s_mm;
  mouth.width_mm = width_mm;
  mouth.depth_mm = depth_mm;
  return mouth;
}

std::vector<MouthGuess> guess_mouths(const View& view, const RayEdges& rays, const std::vector<Ring>& rings) {
  std::vector<MouthGuess> guesses;
  for (std::size_t k = 0; k < std::min(rings.size(), kMostBases); ++k) {
    const Ring& bore = rings[k];
    if (bore.cover < 0.6 * rings.front().cover) continue;
    const double sharp = bore.cover * (1.0 - 0.3 * std::min(bore.scatter_px, 1.0));
    const RimGuess rim = best_rim(view, rays, bore);
    if (rim.cover > kLeastRimCover)
      guesses.push_back(
          {mouth_of(view, bore, rim.width_mm, rim.depth_mm), bore.cover, rim.cover, sharp + rim.cover});
    for (const double width_px : kStartWidthsPx) {
      const double width = std::min(width_px * rays.px_mm, kWidestShare * bore.radius_mm);
      guesses.push_back({mouth_of(view, bore, width, width), bore.cover, 0.0, sharp + 0.35});
    }
  }
  std::stable_sort(guesses.begin(), guesses.end(),
                   [](const MouthGuess& a, const MouthGuess& b) { return a.score > b.score; });
  return guesses;
}

}  // namespace fairhole::photo

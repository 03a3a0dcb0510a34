// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <optional>

#include "polish.h"
#include "scene.h"

/// What the exhaustive search is compared with; not part of the library.
namespace fairhole::test {

/// The obvious way (Fischler and Bolles 1981, Communications of the ACM 24(6)): two measured and two drawn
/// holes at random, a pose if their distances agree, its inliers counted; stop when a better sample has been
/// missed with less than 1 in 1000. The same tolerance as the exhaustive search.
inline std::optional<Motion> plain_ransac(const Pattern& pattern, const MeasuredFace& face,
                                          std::mt19937_64& rng) {
  constexpr double kMissed = 0.001;
  constexpr long kMostSamples = 200'000'000;
  const auto scene = make_scene(pattern, face, {}, Registrar{});
  const Gates gates(*scene);
  const NearestNominal nearest(scene->points.nominal_mm, gates.reach_mm);
  const double gate_mm2 = gates.sigmas * gates.sigmas * 2.5 * gates.largest_mm2;
  const auto& from = scene->points.nominal_mm;
  const auto& to = scene->points.measured_mm;
  std::optional<Motion> best;
  std::size_t most = 0;
  double needed = static_cast<double>(kMostSamples);
  for (long sample = 0; static_cast<double>(sample) < needed; ++sample) {
    const std::size_t i = rng() % to.size(), j = rng() % to.size(), a = rng() % from.size(),
                      b = rng() % from.size();
    const bool mirrored = rng() % 2 == 0;
    const double apart_mm = (to[j] - to[i]).norm();
    if (i == j || a == b || std::abs((from[b] - from[a]).norm() - apart_mm) > std::sqrt(2.0 * gate_mm2))
      continue;
    Eigen::Vector2d edge = from[b] - from[a];
    if (mirrored) edge.y() = -edge.y();
    const Eigen::Vector2d image = to[j] - to[i];
    const double turn = std::atan2(edge.x() * image.y() - edge.y() * image.x(), edge.dot(image));
    FastPose pose{std::cos(turn), std::sin(turn), 0.0, 0.0, mirrored};
    const Eigen::Vector2d moved = pose.to_face(0.5 * (from[a] + from[b]));
    pose.x_mm = 0.5 * (to[i].x() + to[j].x()) - moved.x();
    pose.y_mm = 0.5 * (to[i].y() + to[j].y()) - moved.y();
    std::size_t inliers = 0;
    for (const Eigen::Vector2d& p_mm : to) {
      const Eigen::Vector2d q_mm = pose.to_pattern(p_mm);
      const int c = nearest(q_mm.x(), q_mm.y());
      if (c >= 0 && (from[static_cast<std::size_t>(c)] - q_mm).squaredNorm() <= gate_mm2) ++inliers;
    }
    if (inliers <= most) continue;
    most = inliers;
    best = pose.motion();
    // A good sample: two true holes, each with its own drawn one, and the right hand.
    const double share = static_cast<double>(inliers) / static_cast<double>(to.size());
    const double good = 0.5 * std::pow(share / static_cast<double>(from.size()), 2.0);
    needed = std::min(static_cast<double>(kMostSamples), std::log(kMissed) / std::log1p(-good));
  }
  return best;
}

}  // namespace fairhole::test

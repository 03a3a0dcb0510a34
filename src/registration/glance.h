// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "polish.h"

namespace fairhole {

/// Chance of at most `few` marked ones among `drawn` of `all` that are drawn at random, none of them twice,
/// of which `marked` are marked (hypergeometric distribution).
double chance_of_few(std::size_t few, std::size_t drawn, std::size_t marked, std::size_t all);

/// How many measured holes a hypothesis may explain, and as soon as can be that they are too few. A drawn
/// hole explains one measured hole; one whose gate is too wide to say counts as explained. That is how many
/// pairs `polish` starts with, and what is too wide for it.
class Glance {
 public:
  Glance(const Scene& scene, const Gates& gates, const NearestNominal& nearest);

  /// Fewer holes than that are not enough.
  void ask_for(std::size_t needed);
  std::size_t needed() const { return needed_; }

  /// 0 as soon as it cannot be enough, or when a pose that explains enough would show so few of the holes
  /// looked at first less than once in a million times. They are looked at in an order drawn at random, once
  /// for all poses. `base`: the two pairs that a hypothesis rests on; without it two holes are not looked
  /// at and count as explained.
  std::size_t operator()(const FastPose& pose, const Looseness& loose, std::span<const Pairing> base);

  /// At the last look, its base among them; without holes whose gates are too wide to say. All there are
  /// where it did not end early.
  const std::vector<Pairing>& explained() const { return explained_; }

 private:
  struct Hole {
    Eigen::Vector2d p_mm;
    double gate_mm2;  ///< squared, before the looseness of a pose
    int measured;
  };
  const std::vector<Eigen::Vector2d>& nominal_mm_;
  const NearestNominal& nearest_;
  double gate_ = 0.0, reach_mm2_ = 0.0;  ///< squared
  std::vector<Hole> holes_;
  std::vector<std::uint64_t> taken_;  ///< of each drawn hole: the last look at which it explained one
  std::uint64_t look_ = 0;
  std::vector<Pairing> explained_;
  std::size_t needed_ = 2;
  std::vector<std::size_t> least_;  ///< to be explained after so many looked at
};

}  // namespace fairhole

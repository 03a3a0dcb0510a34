// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

namespace fairhole::survey_detail {

/// Where a hole may lie by one reading: on a circle about a placed hole, or on a line.
struct Locus {
  enum class Shape { kCircle, kLine } shape = Shape::kCircle;
  Eigen::Vector2d point = Eigen::Vector2d::Zero();  // centre, or a point of the line
  Eigen::Vector2d direction = Eigen::Vector2d::UnitX();
  double radius = 0.0;

  double distance(const Eigen::Vector2d& p) const;  ///< of p from the locus
};

/// What decides between two sites that the loci allow alike.
struct Preference {
  std::optional<Eigen::Vector2d> near;
  bool datum_quadrant = false;  // sites on the plate, x and y positive, before others
};

/// The best site, and the runner-up when the loci do not decide between them.
struct Site {
  Eigen::Vector2d best = Eigen::Vector2d::Zero();
  std::optional<Eigen::Vector2d> rival;
};

/// Tries the crossings of all pairs of loci and takes the one that fits all loci best, each misfit counting
/// up to a limit so that one blunder does not decide. Nothing when there are fewer than two loci or no
/// crossing.
std::optional<Site> find_site(const std::vector<Locus>& loci, const Preference& preference);

}  // namespace fairhole::survey_detail

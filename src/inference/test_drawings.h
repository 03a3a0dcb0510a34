// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <random>
#include <vector>

#include "fairhole/inference/inference.h"

/// Drawings made up for tests, and parts made from them.
namespace fairhole::test {

inline double normal(std::mt19937_64& rng) { return std::normal_distribution<double>()(rng); }
inline double uniform(std::mt19937_64& rng, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(rng);
}

/// A value of [low, high] as the prior says a draughtsman chooses it: a series, then any of its values.
inline double drawn_value_mm(const SeriesPrior& prior, Unit unit, double low_mm, double high_mm,
                             std::mt19937_64& rng) {
  std::vector<double> shares;
  for (const Series& series : prior.of(unit)) shares.push_back(series.share);
  const Series& series =
      prior.of(unit)[std::discrete_distribution<std::size_t>(shares.begin(), shares.end())(rng)];
  const auto low = static_cast<long>(std::ceil(low_mm / series.step_mm - 1e-9));
  const auto high = static_cast<long>(std::floor(high_mm / series.step_mm + 1e-9));
  return static_cast<double>(std::uniform_int_distribution<long>(low, high)(rng)) * series.step_mm;
}

/// Holes of a part: drawing turned by the part's turn, each hole off by scatter and measuring.
inline MeasuredFace made_part(const std::vector<Eigen::Vector2d>& drawn_mm, double turn_rad,
                              double scatter_mm, double own_mm, std::mt19937_64& rng) {
  MeasuredFace face;
  for (const Eigen::Vector2d& q : drawn_mm) {
    MeasuredHole hole;
    hole.id = "H" + std::to_string(face.holes.size() + 1);
    const double sigma = std::hypot(scatter_mm, own_mm);
    hole.centre_mm =
        rotation(Angle::radians(turn_rad)) * q + sigma * Eigen::Vector2d{normal(rng), normal(rng)};
    hole.centre_cov_mm2 = own_mm * own_mm * Eigen::Matrix2d::Identity();
    face.holes.push_back(hole);
  }
  return face;
}

inline std::vector<Eigen::Vector2d> row_of(double first_mm, double pitch_mm, int count, double gauge_mm) {
  std::vector<Eigen::Vector2d> holes;
  for (int i = 0; i < count; ++i) holes.emplace_back(first_mm + i * pitch_mm, gauge_mm);
  return holes;
}

inline void append_holes(std::vector<Eigen::Vector2d>& all, const std::vector<Eigen::Vector2d>& more) {
  all.insert(all.end(), more.begin(), more.end());
}

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "search.h"

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;

/// How many holes fall onto common lines along x or y with the turn taken off: near coincidences of
/// neighbours across, each worth up to 1.
double on_lines(const std::vector<Vector2d>& holes_mm, double turn_rad, double scatter_mm) {
  constexpr std::size_t kNext = 3;  // neighbours looked at
  const double c = std::cos(turn_rad), s = std::sin(turn_rad);
  double sum = 0.0;
  std::vector<double> across(holes_mm.size());
  for (const bool along_y : {false, true}) {
    std::transform(holes_mm.begin(), holes_mm.end(), across.begin(), [&](const Vector2d& p) {
      return along_y ? c * p.x() + s * p.y() : c * p.y() - s * p.x();
    });
    std::sort(across.begin(), across.end());
    for (std::size_t j = 0; j < across.size(); ++j) {
      for (std::size_t k = j + 1; k < std::min(across.size(), j + 1 + kNext); ++k) {
        const double off = (across[k] - across[j]) / (2.0 * scatter_mm);
        sum += std::exp(-off * off);
      }
    }
  }
  return sum;
}

/// Angle by which the farthest hole moves less than the scatter.
double fine_step_rad(const std::vector<Vector2d>& holes_mm, double scatter_mm) {
  double extent_mm = kLeastFieldMm;
  for (const Vector2d& p : holes_mm) extent_mm = std::max(extent_mm, (p - holes_mm.front()).norm());
  return 0.7 * scatter_mm / extent_mm;
}

}  // namespace

double best_turn(const std::vector<Vector2d>& holes_mm, double scatter_mm, const SearchRules& rules) {
  constexpr double kReach = 4.0;  // sigmas either way
  const double reach_rad = kReach * rules.turn_sigma_rad;
  const int half = 1 + static_cast<int>(reach_rad / fine_step_rad(holes_mm, scatter_mm));
  double best = 0.0, best_score = -1e300;
  for (int i = -half; i <= half; ++i) {
    const double z = kReach * i / half;
    const double score = on_lines(holes_mm, z * rules.turn_sigma_rad, scatter_mm) - 0.5 * z * z;
    if (score > best_score) {
      best_score = score;
      best = z * rules.turn_sigma_rad;
    }
  }
  return best;
}

double any_turn(const std::vector<Vector2d>& holes_mm, double scatter_mm) {
  const int steps = 1 + static_cast<int>(0.5 * std::numbers::pi / fine_step_rad(holes_mm, scatter_mm));
  double best = 0.0, best_score = -1.0;
  for (int i = 0; i < steps; ++i) {
    const double turn = 0.5 * std::numbers::pi * i / steps;
    const double score = on_lines(holes_mm, turn, scatter_mm);
    if (score > best_score) {
      best_score = score;
      best = turn;
    }
  }
  return best;
}

}  // namespace fairhole::inference

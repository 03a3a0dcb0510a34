// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "fairhole/survey/readings.h"

/// A face with known truth, measured by tape and caliper as the model says: shared by tests and benchmark.
namespace fairhole::test {

struct SimulatedFace {
  std::vector<Eigen::Vector2d> truth_mm;
  Readings readings;  ///< values are exact readings plus normal errors of each reading's sigma
  double square_rad = 0.0;
};

struct FaceDesign {
  int holes = 10;
  int centres_per_hole = 3;
  bool with_tape = true;   ///< scale and end set-up zeros unknown, class II
  bool with_runs = true;   ///< one running set-up along x
  bool with_edges = true;  ///< some rim readings
};

/// Rows as text and through the parser, so that sigmas and priors are those a user gets; the value is then
/// set without the rounding of text. Truth of everything that has a prior is drawn from it.
inline SimulatedFace simulate(const FaceDesign& design, std::mt19937_64& rng) {
  std::normal_distribution<double> normal;
  SimulatedFace face;
  const int columns = std::max(2, static_cast<int>(std::sqrt(2.0 * design.holes)));
  std::uniform_real_distribution<double> jitter(-8.0, 8.0);
  std::string text = design.with_tape ? "# tape: II\n# square: 0 +- 0.2\n" : "# square: 0 +- 0.2\n";
  text += "kind,from,to,reading,sigma,note\n";
  std::vector<double> exact;
  face.square_rad = 0.2 * std::numbers::pi / 180.0 * normal(rng);
  for (int h = 0; h < design.holes; ++h) {
    const double x_mm = 40.0 + 75.0 * (h % columns) + jitter(rng);
    face.truth_mm.emplace_back(x_mm, 40.0 + 75.0 * (h / columns) + jitter(rng));
  }
  const auto add = [&](const std::string& row, double value_mm) {
    text += fmt::format("{},{:.3f},,\n", row, value_mm);
    exact.push_back(value_mm);
  };
  for (int h = 0; h < design.holes; ++h) {
    const Eigen::Vector2d& p = face.truth_mm[static_cast<std::size_t>(h)];
    const bool rim = design.with_edges && h % 4 == 3;
    const double along = p.x() + p.y() * std::tan(face.square_rad);
    add(fmt::format("{},H{},", rim ? "along-near" : "along", h), along - (rim ? 10.0 : 0.0));
    add(fmt::format("across,H{},", h), p.y());
    if (design.with_runs) add(fmt::format("run,H{},top", h), p.x() - 17.0);
    if (rim) {
      text += fmt::format("dia,H{},,20.0,0.05,\n", h);
      exact.push_back(20.0);
    }
    for (int k = 1; k <= design.centres_per_hole; ++k) {
      const int step = k == 1 ? 1 : k == 2 ? columns : columns + k - 2;
      if (h + step >= design.holes) continue;
      const double apart = (face.truth_mm[static_cast<std::size_t>(h + step)] - p).norm();
      add(fmt::format("centres,H{},H{}", h, h + step), apart);
    }
  }
  auto parsed = parse_readings(text, "simulated.csv");
  if (!parsed) return face;
  face.readings = *parsed;
  for (std::size_t i = 0; i < exact.size(); ++i) {
    Reading& r = face.readings.rows[i];
    r.value_mm = exact[i] + r.sigma_mm * normal(rng);
  }
  return face;
}

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "fairhole/survey/survey.h"
#include "test_readings.h"

/// Simulated faces: the truth, and what a tape and a caliper would read of it. The readings are computed here
/// from plain geometry, not by the module's own equations.
namespace fairhole::test {

constexpr double kPitchMm = 90.0;
constexpr double kTapeSigmaMm = 0.288675134594813;  // 0.5 mm / sqrt 12 and centring 0.25 mm, combined
constexpr double kCaliperSigmaMm = 0.1;
constexpr double kSquareSigmaDeg = 0.2;

struct FaceTruth {
  std::vector<Eigen::Vector2d> centre_mm;
  std::vector<double> diameter_mm;
  double scale = 0.0;  // 0.0005: the tape reads 0.05 % long
  double zero_along_mm = 0.0;
  double zero_across_mm = 0.0;
  double square_rad = 0.0;
};

struct Taken {
  std::string kind;
  int from = 0;
  int to = -1;
  double exact_mm = 0.0;
  double sigma_mm = 0.0;
};

struct SimulatedFace {
  FaceTruth truth;
  std::vector<Taken> taken;
};

inline std::string hole_name(int h) { return h < 0 ? std::string() : fmt::format("H{}", h + 1); }

inline double exact_reading(const FaceTruth& t, const std::string& kind, int from, int to) {
  const Eigen::Vector2d p = t.centre_mm[static_cast<std::size_t>(from)];
  const double r = 0.5 * t.diameter_mm[static_cast<std::size_t>(from)];
  const double k = 1.0 + t.scale;
  if (kind == "dia") return 2.0 * r;
  if (kind == "across") return k * p.y() - t.zero_across_mm;
  const double along = p.x() + p.y() * std::tan(t.square_rad);
  if (kind == "along") return k * along - t.zero_along_mm;
  if (kind == "along-near") return k * (along - r) - t.zero_along_mm;
  const double length = (t.centre_mm[static_cast<std::size_t>(to)] - p).norm();
  const double s = 0.5 * t.diameter_mm[static_cast<std::size_t>(to)];
  if (kind == "near-edges") return k * (length - r - s);
  if (kind == "far-edges") return k * (length + r + s);
  return k * length;
}

/// A grid of holes a little out of place; ordinates of each, and distances to neighbours of mixed kinds.
inline SimulatedFace simulate_face(std::mt19937_64& random, int holes) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform(-3.0, 3.0);
  SimulatedFace face;
  FaceTruth& t = face.truth;
  const int columns = static_cast<int>(std::ceil(std::sqrt(holes)));
  for (int h = 0; h < holes; ++h) {
    t.centre_mm.emplace_back(60.0 + kPitchMm * (h % columns) + uniform(random),
                             60.0 + kPitchMm * (h / columns) + uniform(random));
    t.diameter_mm.push_back(25.0 + 0.2 * uniform(random));
  }
  // Class II is a + b L with its limits as a rectangular distribution: sigma = limit / sqrt 3.
  const TapeClass limits = *tape_class("II");
  const double metres = std::max(1.0, std::ceil((60.0 + kPitchMm * columns) / 1000.0));
  const double sqrt3 = std::sqrt(3.0);
  t.scale = normal(random) * (limits.a_mm + limits.b_mm_per_m * metres) / (1000.0 * metres) / sqrt3;
  t.zero_along_mm = normal(random) * limits.c_mm / sqrt3;
  t.zero_across_mm = normal(random) * limits.c_mm / sqrt3;
  t.square_rad = normal(random) * kSquareSigmaDeg * std::numbers::pi / 180.0;
  const auto take = [&](const char* kind, int from, int to, double sigma) {
    face.taken.push_back({kind, from, to, exact_reading(t, kind, from, to), sigma});
  };
  for (int h = 0; h < holes; ++h) {
    take("dia", h, -1, kCaliperSigmaMm);
    take("dia", h, -1, kCaliperSigmaMm);
    take(h % 3 == 0 ? "along-near" : "along", h, -1, kTapeSigmaMm);
    take("across", h, -1, kTapeSigmaMm);
    const char* kinds[] = {"centres", "near-edges", "far-edges"};
    for (const int step : {1, columns, columns + 1, columns - 1}) {
      const int other = h + step;
      if (step > 0 && other < holes && other != h) take(kinds[(h + step) % 3], h, other, kTapeSigmaMm);
    }
  }
  return face;
}

inline std::string face_text(const SimulatedFace& face, const std::vector<double>& values) {
  std::string rows =
      fmt::format("# tape: II\n# square: 0 +- {}\nkind,from,to,reading,sigma,note\n", kSquareSigmaDeg);
  for (std::size_t i = 0; i < face.taken.size(); ++i) {
    const Taken& t = face.taken[i];
    rows += fmt::format("{},{},{},{:.9f},{},\n", t.kind, hole_name(t.from), hole_name(t.to), values[i],
                        t.sigma_mm);
  }
  return rows;
}

inline std::vector<double> exact_values(const SimulatedFace& face) {
  std::vector<double> out;
  for (const Taken& t : face.taken) out.push_back(t.exact_mm);
  return out;
}

inline std::vector<double> noisy_values(const SimulatedFace& face, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  std::vector<double> out;
  for (const Taken& t : face.taken) out.push_back(t.exact_mm + t.sigma_mm * normal(random));
  return out;
}

inline SurveyOptions plain_adjustment() {
  SurveyOptions options;
  options.look_for_blunders = false;
  options.next_count = 0;
  return options;
}

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "fairhole/geometry/circle.h"

/// Sets of discs that try the circle's arithmetic: what stacks look like, and what breaks naive formulas.
namespace fairhole::test {

enum class Kind {
  kStack,        ///< holes of a stack: near each other, radii of a few mm
  kScattered,    ///< anywhere within 10 m, any radius
  kEqualRadii,   ///< radii equal within 1e-9 mm
  kTangent,      ///< one large disc, the others inside it and touching it within 1e-10 mm
  kInLine,       ///< centres in line within 1e-9 mm
  kCoincident,   ///< centres equal within 1e-12 mm, some exactly
  kOneRim,       ///< all touch one circle from inside, within 1e-10 mm: any three may hold it
  kWholeNumbers  ///< small whole numbers: exact ties and exact tangency
};
inline constexpr int kKinds = 8;

inline double between(std::mt19937_64& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

inline Circle disc_inside(std::mt19937_64& random, const Circle& rim, double slack_mm) {
  const double radius_mm = between(random, 0.0, 1.0) * rim.radius_mm;
  const double t = between(random, 0.0, 2.0 * std::numbers::pi);
  const double out_mm = rim.radius_mm - radius_mm + between(random, -slack_mm, slack_mm);
  return {rim.centre_mm + out_mm * Eigen::Vector2d(std::cos(t), std::sin(t)), radius_mm};
}

inline Circle random_disc(std::mt19937_64& random, Kind kind) {
  const auto point = [&](double extent_mm) {
    const double x_mm = between(random, -extent_mm, extent_mm);
    return Eigen::Vector2d(x_mm, between(random, -extent_mm, extent_mm));
  };
  switch (kind) {
    case Kind::kStack:
      return {Eigen::Vector2d(400.0, 200.0) + point(4.0), between(random, 8.0, 14.0)};
    case Kind::kScattered:
      return {point(1e4), between(random, 0.0, 5e3)};
    case Kind::kEqualRadii:
      return {point(5.0), 11.0 + between(random, -1e-9, 1e-9)};
    case Kind::kTangent:
    case Kind::kOneRim:
      return disc_inside(random, {{30.0, -40.0}, 25.0}, 1e-10);
    case Kind::kInLine: {
      const double along_mm = between(random, -20.0, 20.0);
      return {
          Eigen::Vector2d(0.6, 0.8) * along_mm + Eigen::Vector2d(-0.8, 0.6) * between(random, -1e-9, 1e-9),
          between(random, 1.0, 20.0)};
    }
    case Kind::kCoincident:
      return {Eigen::Vector2d(12.5, 7.25) + (random() % 2 == 0 ? point(1e-12) : Eigen::Vector2d(0.0, 0.0)),
              between(random, 1.0, 20.0)};
    case Kind::kWholeNumbers:
      break;
  }
  const auto whole = [&](int low, int high) {
    return static_cast<double>(std::uniform_int_distribution<int>(low, high)(random));
  };
  const double x_mm = whole(-3, 3);
  return {{x_mm, whole(-3, 3)}, whole(0, 3)};
}

inline std::vector<Circle> random_discs(std::mt19937_64& random, Kind kind, int count) {
  std::vector<Circle> discs;
  for (int i = 0; i < count; ++i) discs.push_back(random_disc(random, kind));
  if (kind == Kind::kTangent) discs.front() = {{30.0, -40.0}, 25.0};
  std::shuffle(discs.begin(), discs.end(), random);
  return discs;
}

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>

#include <Eigen/Core>
#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"

/// Invented drawings for the tests: a plate with circles whose truth is known.
namespace fairhole::drawing::test {

struct TrueCircle {
  std::string id;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double diameter_mm = 0.0;
};

struct TestPlate {
  double width_mm = 0.0, height_mm = 0.0;
  std::vector<TrueCircle> circles;

  /// For tests/checks: every digit of the doubles. `x_sign` -1: as seen mirrored.
  std::string json(double x_sign = 1.0) const {
    std::string out = "[";
    for (const TrueCircle& c : circles) {
      out += fmt::format("{}{{\"id\":\"{}\",\"x\":{},\"y\":{},\"d\":{}}}", out.size() > 1 ? "," : "", c.id,
                         x_sign * c.centre_mm.x(), c.centre_mm.y(), c.diameter_mm);
    }
    return out + "]";
  }

  Drawing drawing() const {
    Drawing out;
    out.layers = {{"outline of the plate", 7}, {"cut, all of it", 5}, {"labels", 8}};
    out.add(
        Polyline{.points_mm = {{0, 0}, {width_mm, 0}, {width_mm, height_mm}, {0, height_mm}}, .closed = true},
        {.width_mm = kHeavyMm}, "outline of the plate");
    for (const TrueCircle& c : circles) {
      out.add(Circle{c.centre_mm, c.diameter_mm / 2}, {.width_mm = kHeavyMm, .ink = Ink::kNew},
              "cut, all of it");
      const Eigen::Vector2d arm(5.0, 0.0);
      out.add(Line{c.centre_mm - arm, c.centre_mm + arm}, {.width_mm = kFineMm, .dash = Dash::kCentre},
              "labels");
      out.add(Text{.at_mm = c.centre_mm + Eigen::Vector2d(0.0, 3.0), .text = c.id}, {}, "labels");
    }
    return out;
  }

  std::vector<Circle> keep_clear(double radius_mm = 3.0) const {
    std::vector<Circle> out;
    for (const TrueCircle& c : circles) out.push_back({c.centre_mm, radius_mm});
    return out;
  }
};

/// `count` circles of 8 mm to `largest_mm`, none over another, anywhere on the plate: all digits of a double
/// used.
inline TestPlate random_plate(unsigned seed, double width_mm, double height_mm, int count,
                              double largest_mm = 24.0) {
  static constexpr double kEdgeMm = 20.0, kGapMm = 2.0;
  std::mt19937_64 random(seed);
  const auto between = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(random() >> 11U) * 0x1p-53;
  };
  TestPlate plate{.width_mm = width_mm, .height_mm = height_mm, .circles = {}};
  while (static_cast<int>(plate.circles.size()) < count) {
    TrueCircle next{
        .id = fmt::format("P{}", plate.circles.size() + 1),
        .centre_mm = {between(kEdgeMm, width_mm - kEdgeMm), between(kEdgeMm, height_mm - kEdgeMm)},
        .diameter_mm = between(8.0, largest_mm)};
    const bool free = std::all_of(plate.circles.begin(), plate.circles.end(), [&](const TrueCircle& c) {
      return (c.centre_mm - next.centre_mm).norm() > (c.diameter_mm + next.diameter_mm) / 2 + kGapMm;
    });
    if (free) plate.circles.push_back(std::move(next));
  }
  return plate;
}

}  // namespace fairhole::drawing::test

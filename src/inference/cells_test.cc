// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "cells.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;
using testing::ElementsAre;
using testing::IsEmpty;

/// Second method: all points are looked at.
std::vector<int> nearest_of_all(const std::vector<Vector2d>& points, const std::vector<int>& which, int of,
                                std::size_t count) {
  std::vector<std::pair<double, int>> found;
  for (const int other : which) {
    if (other != of)
      found.emplace_back(
          (points[static_cast<std::size_t>(other)] - points[static_cast<std::size_t>(of)]).squaredNorm(),
          other);
  }
  std::sort(found.begin(), found.end());
  found.resize(std::min(found.size(), count));
  std::vector<int> out;
  for (const auto& [distance2, point] : found) out.push_back(point);
  return out;
}

std::vector<int> on_circle_of_all(const std::vector<Vector2d>& points, const std::vector<int>& which,
                                  const Vector2d& centre, double radius, double gate) {
  std::vector<int> out;
  for (const int point : which) {
    if (std::abs((points[static_cast<std::size_t>(point)] - centre).norm() - radius) <= gate)
      out.push_back(point);
  }
  return out;
}

TEST(Cells, GiveWhatLookingAtAllGives) {
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int trial = 0; trial < 300; ++trial) {
    SCOPED_TRACE(trial);
    // Strewn, on a strip, on one line, on a square grid (equal distances), with some points not asked about.
    const Vector2d size(trial % 4 == 1 ? 3000.0 : 500.0, trial % 4 == 2 ? 0.0 : 60.0 + 400.0 * unit(random));
    std::vector<Vector2d> points;
    for (int i = 0; i < 1 + trial % 90; ++i) {
      points.push_back({size.x() * unit(random) - 100.0, size.y() * unit(random) + 50.0});
      if (trial % 4 == 3) points.back() = (points.back() / 50.0).array().round() * 50.0;
    }
    std::vector<int> which;
    for (int i = 0; i < static_cast<int>(points.size()); ++i) {
      if (random() % 4 != 0) which.push_back(i);
    }
    const Cells cells(points, which);
    for (const int of : which) {
      for (const std::size_t count : {1U, 6U, 200U})
        EXPECT_EQ(cells.nearest(of, count), nearest_of_all(points, which, of, count));
    }
    for (int k = 0; k < 20 && !which.empty(); ++k) {
      const Vector2d centre{1500.0 * unit(random) - 500.0, 1500.0 * unit(random) - 500.0};
      const double radius = 1000.0 * unit(random), gate = 30.0 * unit(random);
      EXPECT_EQ(cells.on_circle(centre, radius, gate), on_circle_of_all(points, which, centre, radius, gate));
    }
  }
}

TEST(Cells, OfNothingOrOnePointGiveNothing) {
  const std::vector<Vector2d> points{{3.0, 4.0}};
  const std::vector<int> none, one{0};
  EXPECT_THAT(Cells(points, none).on_circle({0.0, 0.0}, 5.0, 0.1), IsEmpty());
  EXPECT_THAT(Cells(points, one).nearest(0, 6), IsEmpty());
  EXPECT_THAT(Cells(points, one).on_circle({0.0, 0.0}, 5.0, 0.1), ElementsAre(0));
}

}  // namespace
}  // namespace fairhole::inference

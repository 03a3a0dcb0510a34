// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "search.h"

#include <gtest/gtest.h>

#include <random>
#include <set>

#include "edges.h"
#include "lookup.h"
#include "test_cases.h"

namespace fairhole {
namespace {

std::vector<Eigen::Vector2d> strewn_points(int count, std::uint64_t seed) {
  std::mt19937_64 rng(seed);
  std::vector<Eigen::Vector2d> points_mm;
  for (const NominalHole& hole : test::strewn(count, rng)) points_mm.push_back(hole.centre_mm);
  return points_mm;
}

/// After each step every set of more holes than there are groups holds a pair that was tried; Turan's number
/// (1941) of pairs does it, and no smaller one can.
TEST(EdgeOrder, TriesTuransNumberOfPairs) {
  for (const int holes : {2, 3, 7, 10, 13}) {
    EdgeOrder order(strewn_points(holes, 1), [](int, int) { return 1.0; });
    std::set<std::pair<int, int>> tried;
    int step = 0;
    for (auto pairs = order.next(); !pairs.empty(); pairs = order.next()) {
      for (auto [i, j] : pairs) {
        EXPECT_TRUE(tried.insert({std::min(i, j), std::max(i, j)}).second) << "handed out twice";
      }
      const int groups = holes - ++step;
      ASSERT_EQ(order.most_explained(), groups);
      // Complement of the Turan graph: `groups` cliques as even as they go.
      const int small = holes / groups, larger = holes % groups;
      const int expected = larger * (small + 1) * small / 2 + (groups - larger) * small * (small - 1) / 2;
      // Joining whole groups cannot even them out at every step, but at the last and while pairs are joined.
      if (groups == 1 || 2 * groups >= holes) {
        EXPECT_EQ(static_cast<int>(tried.size()), expected);
      }
    }
    EXPECT_EQ(step, holes - 1);
  }
}

TEST(LengthIndex, FindsWhatComparingAllFinds) {
  const auto points_mm = strewn_points(40, 2);
  const LengthIndex index(points_mm);
  for (const double length_mm : {0.0, 45.0, 312.7, 500.0, 900.0}) {
    constexpr double kSlackMm = 6.0;
    std::size_t expected = 0, found = 0;
    for (std::size_t a = 0; a < points_mm.size(); ++a) {
      for (std::size_t b = a + 1; b < points_mm.size(); ++b)
        expected += std::abs((points_mm[a] - points_mm[b]).norm() - length_mm) <= kSlackMm ? 1 : 0;
    }
    index.matching(length_mm, kSlackMm, [&](int, int) { ++found; });
    EXPECT_EQ(found, expected) << length_mm;
  }
}

TEST(NearestNominal, NamesTheNearestToACell) {
  const auto points_mm = strewn_points(60, 3);
  constexpr double kReachMm = 15.0, kCellDiagonalMm = 3.0;
  const NearestNominal nearest(points_mm, kReachMm);
  const NominalGrid grid(points_mm);
  std::mt19937_64 rng(4);
  std::uniform_real_distribution<double> place(-30.0, 830.0);
  for (int k = 0; k < 2000; ++k) {
    const double x_mm = place(rng);
    const Eigen::Vector2d q_mm(x_mm, place(rng));
    double least_mm = 1e9;
    for (const Eigen::Vector2d& p : points_mm) least_mm = std::min(least_mm, (p - q_mm).norm());
    const int found = nearest(q_mm.x(), q_mm.y());
    if (least_mm < kReachMm - kCellDiagonalMm) {
      ASSERT_GE(found, 0);
      EXPECT_LT((points_mm[static_cast<std::size_t>(found)] - q_mm).norm(), least_mm + kCellDiagonalMm);
    }
    std::set<int> within;
    grid.near(q_mm, kReachMm, [&](int a) { within.insert(a); });
    for (std::size_t a = 0; a < points_mm.size(); ++a) {
      if ((points_mm[a] - q_mm).norm() <= kReachMm) {
        EXPECT_TRUE(within.contains(static_cast<int>(a)));
      }
    }
  }
}

}  // namespace
}  // namespace fairhole

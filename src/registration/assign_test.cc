// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "assign.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <set>

namespace fairhole {
namespace {

double worth(const std::vector<Pairing>& pairs, const std::vector<Gain>& gains) {
  double sum = 0.0;
  for (const Pairing& pair : pairs) {
    const auto found =
        std::find_if(gains.begin(), gains.end(), [&](const Gain& g) { return g.pair == pair; });
    EXPECT_NE(found, gains.end()) << "a pair nobody offered";
    if (found != gains.end()) sum += found->gain;
  }
  return sum;
}

/// Every one-to-one choice, by trying.
double best_by_trying(const std::vector<Gain>& gains, std::size_t from, std::set<int>& rows,
                      std::set<int>& columns) {
  if (from == gains.size()) return 0.0;
  double best = best_by_trying(gains, from + 1, rows, columns);
  const Pairing& pair = gains[from].pair;
  if (!rows.contains(pair.nominal) && !columns.contains(pair.measured)) {
    rows.insert(pair.nominal);
    columns.insert(pair.measured);
    best = std::max(best, gains[from].gain + best_by_trying(gains, from + 1, rows, columns));
    rows.erase(pair.nominal);
    columns.erase(pair.measured);
  }
  return best;
}

TEST(BestAssignment, EqualsTryingEveryChoice) {
  constexpr double kRounding = 1e-9;  // sums of a dozen gains near 10
  std::mt19937_64 rng(11);
  for (int trial = 0; trial < 500; ++trial) {
    SCOPED_TRACE(trial);
    const int rows = 1 + static_cast<int>(rng() % 5), columns = 1 + static_cast<int>(rng() % 5);
    std::vector<Gain> gains;
    for (int a = 0; a < rows; ++a) {
      for (int i = 0; i < columns; ++i) {
        if (rng() % 3 != 0) gains.push_back({{a, i}, static_cast<double>(1 + rng() % 1000) / 100.0});
      }
    }
    const std::vector<Pairing> pairs = best_assignment(gains, rows, columns);
    std::set<int> used_rows, used_columns;
    EXPECT_NEAR(worth(pairs, gains), best_by_trying(gains, 0, used_rows, used_columns), kRounding);
    for (const Pairing& pair : pairs) {
      EXPECT_TRUE(used_rows.insert(pair.nominal).second);
      EXPECT_TRUE(used_columns.insert(pair.measured).second);
    }
  }
}

TEST(BestAssignment, GivesUpTheNearestForTheBestWhole) {
  // Hole 0 is nearest to 0, but hole 1 has no other partner.
  const std::vector<Gain> gains{{{0, 0}, 5.0}, {{0, 1}, 4.0}, {{1, 0}, 4.5}};
  const std::vector<Pairing> expected{{0, 1}, {1, 0}};
  EXPECT_EQ(best_assignment(gains, 2, 2), expected);
}

TEST(BestAssignment, NothingToGainLeavesAllAlone) { EXPECT_TRUE(best_assignment({}, 3, 4).empty()); }

}  // namespace
}  // namespace fairhole

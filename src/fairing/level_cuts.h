// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "fairhole/fairing/joint_seats.h"
#include "seat_search.h"

namespace fairhole::detail {

/// Levels of the stacks of one piece: radii and costs. The last resort has no limit.
struct LevelTable {
  explicit LevelTable(std::span<const StackLevels> levels);

  std::size_t stacks() const { return radius_mm.size(); }
  int last(std::size_t stack) const { return static_cast<int>(cost[stack].size()) - 1; }
  double cost_of(std::span<const int> levels) const;
  std::vector<double> limits(std::span<const int> levels) const;  ///< radii

  std::vector<std::vector<double>> radius_mm;  ///< ends with kNoLimit
  std::vector<std::vector<double>> cost;
};

/// A limit holds when the clean-up radius is over it by no more than this.
inline constexpr double kHoldsRadiusMm = kHoldsWithinMm / 2.0;

/// Proofs that together say: some limit must be larger. Holds for every choice of levels.
struct LevelCut {
  struct Row {
    std::vector<double> weight;  ///< of each of `stacks`
    double floor_mm = 0.0;
  };
  std::vector<std::size_t> stacks;
  std::vector<Row> rows;
  /// The lowest choices of levels of `stacks` that the cut allows, one after the other: what it allows is at
  /// or above one of them. Empty if they are too many to list.
  std::vector<int> lowest;
};

LevelCut cut_of(std::span<const SeatProof> proofs);

/// Fills in `lowest`.
void list_lowest(LevelCut& cut, const LevelTable& table);

/// Levels still open: each stack from `least` to `most`.
struct LevelBox {
  std::vector<int> least, most;
};

/// "Stack at `level` or above."
struct LevelLiteral {
  std::size_t stack = 0;
  int level = 0;
};

/// True when the cut says that these levels do not hold.
bool forbids(const LevelCut& cut, const LevelTable& table, std::span<const int> levels);

/// What is left of each level's cost above that of `box.least` while a bound is summed up.
using LevelPrices = std::vector<std::vector<double>>;

LevelPrices level_prices(const LevelTable& table, const LevelBox& box);

/// The cheapest way to make a literal true in the box.
double price(const LevelPrices& left, const LevelLiteral& literal, const LevelBox& box);

/// What the cut asks within the box, as "one of these": each literal's level as high as the cut can prove,
/// the cheapest literal (by `left`) first. Empty: the cut cannot be met in the box. Only for a cut that
/// forbids `box.least`.
std::vector<LevelLiteral> clause_of(const LevelCut& cut, const LevelTable& table, const LevelBox& box,
                                    const LevelPrices& left);

/// Least cost of any levels in a box that the cuts charged so far allow, from below. Each cut in turn charges
/// the levels of its stacks so that whatever it allows pays at least its own least cost; what a level has
/// paid it need not pay again (a feasible solution of the dual of the covering problem).
class LevelBound {
 public:
  LevelBound(const LevelTable& table, const LevelBox& box);

  void charge(const LevelCut& cut);
  void charge_all(std::span<const LevelCut> cuts);
  double value() const { return value_; }  ///< infinite when some cut cannot be met in the box
  /// The highest levels that cost nothing more: if even these do not hold, the reason raises the bound.
  std::vector<int> paid_levels() const;

 private:
  const LevelTable& table_;
  const LevelBox& box_;
  double value_ = 0.0;
  LevelPrices left_;
};

}  // namespace fairhole::detail

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
};

LevelCut cut_of(std::span<const SeatProof> proofs);

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

/// What is left of the costs of single steps between levels while a bound is summed up.
using StepCosts = std::vector<std::vector<double>>;

/// What the cut asks within the box, as "one of these": each literal's level as high as the cut can prove,
/// the cheapest literal (by `left`) first. Empty: the cut cannot be met in the box. Only for a cut that
/// forbids `box.least`.
std::vector<LevelLiteral> clause_of(const LevelCut& cut, const LevelTable& table, const LevelBox& box,
                                    const StepCosts& left);

/// Least cost of any levels in the box that all cuts allow, from below: every clause charges its cheapest
/// literal's price to all of its literals, as long as prices last (a feasible solution of the dual of the
/// covering problem). Infinite when some cut cannot be met.
double bound_of(std::span<const LevelCut> cuts, const LevelTable& table, const LevelBox& box);

/// Prices of single steps above `box.least`.
StepCosts step_costs(const LevelTable& table, const LevelBox& box);

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <numeric>

#include "level_search.h"

namespace fairhole::detail {
namespace {

/// The step up that eases the cut most for its price; none if every stack of it is at the last resort or
/// `held`.
std::optional<std::size_t> best_step_up(const LevelCut& cut, const LevelTable& table,
                                        const std::vector<int>& levels, std::optional<std::size_t> held) {
  std::optional<std::size_t> best;
  double best_worth = -1.0;
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const std::size_t s = cut.stacks[i];
    if (s == held || levels[s] >= table.last(s)) continue;
    const auto k = static_cast<std::size_t>(levels[s]);
    double eased = 0.0;
    for (const LevelCut::Row& row : cut.rows) {
      const double needed = row.floor_mm;  // no step need ease more than all of it
      const double step = table.radius_mm[s][k + 1] - table.radius_mm[s][k];
      eased = std::max(eased, row.weight[i] > 0.0 ? std::min(needed, row.weight[i] * step) : 0.0);
    }
    const double worth = eased / std::max(1e-9, table.cost[s][k + 1] - table.cost[s][k]);
    if (worth > best_worth) best_worth = worth, best = s;
  }
  return best;
}

/// Raises limits until they hold, `held` staying; false if that cannot be, or costs `too_much`.
bool repair(LevelOracle& oracle, std::vector<int>& levels, std::optional<std::size_t> held, double too_much,
            int most_solved) {
  const LevelTable& table = oracle.table();
  for (;;) {
    if (table.cost_of(levels) >= too_much || oracle.solved() >= most_solved) return false;
    const Verdict verdict = oracle.ask(levels);
    if (verdict == Verdict::kHold) return true;
    if (verdict == Verdict::kUnsure) return false;
    const std::optional<std::size_t> s = best_step_up(oracle.reason(levels), table, levels, held);
    if (!s) return false;
    ++levels[*s];
  }
}

/// Stacks above their lowest level, dearest first.
std::vector<std::size_t> raised(const LevelTable& table, const std::vector<int>& levels) {
  std::vector<std::size_t> out;
  for (std::size_t s = 0; s < levels.size(); ++s) {
    if (levels[s] > 0) out.push_back(s);
  }
  const auto saving = [&](std::size_t s) {
    return table.cost[s][static_cast<std::size_t>(levels[s])] - table.cost[s][0];
  };
  std::stable_sort(out.begin(), out.end(),
                   [&](std::size_t a, std::size_t b) { return saving(a) > saving(b); });
  return out;
}

/// Lowers each stack as far as the others allow.
void lower_each(LevelOracle& oracle, std::vector<int>& levels, int most_solved) {
  for (const std::size_t s : raised(oracle.table(), levels)) {
    while (levels[s] > 0 && oracle.solved() < most_solved) {
      --levels[s];
      if (oracle.ask(levels) == Verdict::kHold) continue;
      ++levels[s];
      break;
    }
  }
}

}  // namespace

void find_first_levels(LevelOracle& oracle, int most_solved) {
  std::vector<int> levels(oracle.table().stacks(), 0);
  repair(oracle, levels, std::nullopt, kNoLimit, most_solved);
}

void improve_levels(LevelOracle& oracle, int most_solved) {
  for (double before = kNoLimit; oracle.record().cost < before && oracle.solved() < most_solved;) {
    before = oracle.record().cost;
    std::vector<int> levels = oracle.record().level;
    lower_each(oracle, levels, most_solved);
    for (const std::size_t s : raised(oracle.table(), oracle.record().level)) {
      levels = oracle.record().level;
      if (levels[s] == 0) continue;  // lowered by then
      --levels[s];
      if (!repair(oracle, levels, s, oracle.record().cost, most_solved)) continue;
      lower_each(oracle, levels, most_solved);
    }
  }
}

}  // namespace fairhole::detail

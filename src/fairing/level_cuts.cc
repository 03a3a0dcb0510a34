// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "level_cuts.h"

#include <algorithm>

namespace fairhole::detail {
namespace {

/// By how much each row forbids some levels, kept up while levels are raised.
class Excess {
 public:
  Excess(const LevelCut& cut, const LevelTable& table, std::span<const int> levels)
      : cut_(cut), table_(table) {
    for (const LevelCut::Row& row : cut.rows) {
      double excess = row.floor_mm;
      for (std::size_t i = 0; i < cut.stacks.size() && excess > kHoldsRadiusMm; ++i) {
        if (row.weight[i] > 0.0) excess -= row.weight[i] * radius(i, levels[cut.stacks[i]]);
      }
      excess_.push_back(excess);
    }
  }
  bool forbids() const {
    return std::all_of(excess_.begin(), excess_.end(), [](double e) { return e > kHoldsRadiusMm; });
  }
  /// Raises entry i from `level` by one if the cut still forbids after that.
  bool raise(std::size_t i, int level) {
    std::vector<double> raised = excess_;
    for (std::size_t r = 0; r < raised.size(); ++r) {
      const double weight = cut_.rows[r].weight[i];
      if (weight > 0.0) raised[r] -= weight * (radius(i, level + 1) - radius(i, level));
      if (!(raised[r] > kHoldsRadiusMm)) return false;
    }
    excess_ = std::move(raised);
    return true;
  }

 private:
  double radius(std::size_t i, int level) const {
    return table_.radius_mm[cut_.stacks[i]][static_cast<std::size_t>(level)];
  }
  const LevelCut& cut_;
  const LevelTable& table_;
  std::vector<double> excess_;
};

}  // namespace

LevelTable::LevelTable(std::span<const StackLevels> levels) {
  for (const StackLevels& stack : levels) {
    std::vector<double> radii;
    for (const double diameter : stack.limit_diameter_mm) radii.push_back(diameter / 2.0);
    radii.push_back(kNoLimit);
    radius_mm.push_back(std::move(radii));
    cost.push_back(stack.cost);
  }
}

double LevelTable::cost_of(std::span<const int> levels) const {
  double sum = 0.0;
  for (std::size_t s = 0; s < stacks(); ++s) sum += cost[s][static_cast<std::size_t>(levels[s])];
  return sum;
}

std::vector<double> LevelTable::limits(std::span<const int> levels) const {
  std::vector<double> out;
  for (std::size_t s = 0; s < stacks(); ++s) out.push_back(radius_mm[s][static_cast<std::size_t>(levels[s])]);
  return out;
}

LevelCut cut_of(std::span<const SeatProof> proofs) {
  LevelCut cut;
  for (std::size_t s = 0; s < proofs.front().weight.size(); ++s) {
    const bool used =
        std::any_of(proofs.begin(), proofs.end(), [s](const SeatProof& p) { return p.weight[s] > 0.0; });
    if (used) cut.stacks.push_back(s);
  }
  for (const SeatProof& proof : proofs) {
    LevelCut::Row row;
    row.floor_mm = proof.floor_mm;
    for (const std::size_t s : cut.stacks) row.weight.push_back(proof.weight[s]);
    cut.rows.push_back(std::move(row));
  }
  return cut;
}

bool forbids(const LevelCut& cut, const LevelTable& table, std::span<const int> levels) {
  return Excess(cut, table, levels).forbids();
}

std::vector<LevelLiteral> clause_of(const LevelCut& cut, const LevelTable& table, const LevelBox& box,
                                    const LevelPrices& left) {
  std::vector<LevelLiteral> clause;
  Excess excess(cut, table, box.least);
  std::vector<int> held;  // by this level the cut still forbids
  std::vector<bool> final(cut.stacks.size(), false);
  for (const std::size_t s : cut.stacks) held.push_back(box.least[s]);
  for (;;) {  // raise the cheapest literal while that is possible: it alone decides what the clause is worth
    std::size_t cheapest = cut.stacks.size();
    double least_price = kNoLimit;
    for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
      const std::size_t s = cut.stacks[i];
      if (final[i] || held[i] >= box.most[s]) continue;
      const double p = price(left, {s, held[i] + 1}, box);
      if (p < least_price) least_price = p, cheapest = i;
    }
    if (cheapest == cut.stacks.size()) break;
    const bool last = held[cheapest] + 1 >= table.last(cut.stacks[cheapest]);
    if (!last && excess.raise(cheapest, held[cheapest])) {
      ++held[cheapest];
    } else {
      final[cheapest] = true;
    }
  }
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    if (held[i] < box.most[cut.stacks[i]]) clause.push_back({cut.stacks[i], held[i] + 1});
  }
  std::stable_sort(clause.begin(), clause.end(), [&](const LevelLiteral& a, const LevelLiteral& b) {
    return price(left, a, box) < price(left, b, box);
  });
  return clause;
}

double price(const LevelPrices& left, const LevelLiteral& literal, const LevelBox& box) {
  double least = kNoLimit;
  for (int k = literal.level; k <= box.most[literal.stack]; ++k) {
    least = std::min(least, left[literal.stack][static_cast<std::size_t>(k)]);
  }
  return least;
}

LevelPrices level_prices(const LevelTable& table, const LevelBox& box) {
  LevelPrices left = table.cost;
  for (std::size_t s = 0; s < left.size(); ++s) {
    const double least = table.cost[s][static_cast<std::size_t>(box.least[s])];
    for (double& cost : left[s]) cost -= least;
  }
  return left;
}

}  // namespace fairhole::detail

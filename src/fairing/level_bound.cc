// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "level_cuts.h"

namespace fairhole::detail {
namespace {

constexpr std::size_t kMostChoices = 2500;  // four stacks of seven levels, the last one's found by search

bool allows(const LevelCut& cut, const LevelTable& table, std::span<const int> choice) {
  return std::any_of(cut.rows.begin(), cut.rows.end(), [&](const LevelCut::Row& row) {
    double excess = row.floor_mm;
    for (std::size_t i = 0; i < choice.size() && excess > kHoldsRadiusMm; ++i) {
      if (row.weight[i] > 0.0)
        excess -= row.weight[i] * table.radius_mm[cut.stacks[i]][static_cast<std::size_t>(choice[i])];
    }
    return excess <= kHoldsRadiusMm;
  });
}

/// What a cut's lowest choices come to within a box, one after the other.
std::vector<int> lowest_in(const LevelCut& cut, const LevelBox& box) {
  std::vector<int> out;
  const std::size_t size = cut.stacks.size();
  for (std::size_t c = 0; c < cut.lowest.size(); c += size) {
    bool inside = true;
    for (std::size_t i = 0; i < size && inside; ++i) inside = cut.lowest[c + i] <= box.most[cut.stacks[i]];
    if (!inside) continue;
    for (std::size_t i = 0; i < size; ++i)
      out.push_back(std::max(cut.lowest[c + i], box.least[cut.stacks[i]]));
  }
  return out;
}

/// Charges that never fall with the level: then the lowest choices stand for all that are allowed.
std::vector<double> rising(const std::vector<double>& prices, int most) {
  std::vector<double> out = prices;
  for (auto k = static_cast<std::size_t>(most); k-- > 0;) out[k] = std::min(out[k], out[k + 1]);
  return out;
}

/// Charges one cut's stacks; returns what every allowed choice pays.
double charge_small(const LevelCut& cut, const LevelBox& box, LevelPrices& left) {
  const std::vector<int> choices = lowest_in(cut, box);
  const std::size_t size = cut.stacks.size();
  std::vector<std::vector<double>> charge;
  for (const std::size_t s : cut.stacks) charge.push_back(rising(left[s], box.most[s]));
  const auto paid = [&](std::size_t c) {
    double sum = 0.0;
    for (std::size_t i = 0; i < size; ++i) sum += charge[i][static_cast<std::size_t>(choices[c + i])];
    return sum;
  };
  double least = kNoLimit;
  for (std::size_t c = 0; c < choices.size(); c += size) least = std::min(least, paid(c));
  if (least == kNoLimit || !(least > 0.0)) return least;
  for (std::size_t i = 0; i < size; ++i) {  // each in turn pays no more than the others leave open
    std::vector<double> needed(charge[i].size(), 0.0);
    for (std::size_t c = 0; c < choices.size(); c += size) {
      const auto k = static_cast<std::size_t>(choices[c + i]);
      needed[k] = std::max(needed[k], least - (paid(c) - charge[i][k]));
    }
    double so_far = 0.0;
    for (std::size_t k = 0; k < needed.size(); ++k) {
      so_far = std::max(so_far, needed[k]);
      charge[i][k] = std::min(charge[i][k], so_far);
    }
  }
  for (std::size_t i = 0; i < size; ++i) {
    std::vector<double>& prices = left[cut.stacks[i]];
    for (std::size_t k = 0; k < prices.size(); ++k) prices[k] = std::max(0.0, prices[k] - charge[i][k]);
  }
  return least;
}

/// The same for a cut of many stacks: each literal of its clause pays the cheapest one's price.
double charge_clause(const LevelCut& cut, const LevelTable& table, const LevelBox& box, LevelPrices& left) {
  const std::vector<LevelLiteral> clause = clause_of(cut, table, box, left);
  if (clause.empty()) return kNoLimit;
  double least = kNoLimit;
  for (const LevelLiteral& literal : clause) least = std::min(least, price(left, literal, box));
  for (const LevelLiteral& literal : clause) {
    for (std::size_t k = static_cast<std::size_t>(literal.level); k < left[literal.stack].size(); ++k) {
      left[literal.stack][k] = std::max(0.0, left[literal.stack][k] - least);
    }
  }
  return least;
}

}  // namespace

void list_lowest(LevelCut& cut, const LevelTable& table) {
  std::size_t choices = 1;
  for (std::size_t i = 0; i + 1 < cut.stacks.size() && choices <= kMostChoices; ++i) {
    choices *= table.cost[cut.stacks[i]].size();
  }
  if (choices > kMostChoices) return;
  std::vector<int> choice(cut.stacks.size(), 0);
  const std::size_t end = choice.size() - 1;
  for (std::size_t c = 0; c < choices; ++c) {
    std::size_t rest = c;
    for (std::size_t i = 0; i < end; ++i) {
      choice[i] = static_cast<int>(rest % table.cost[cut.stacks[i]].size());
      rest /= table.cost[cut.stacks[i]].size();
    }
    for (choice[end] = 0; !allows(cut, table, choice) && choice[end] < table.last(cut.stacks[end]);)
      ++choice[end];
    if (!allows(cut, table, choice)) continue;
    const bool known = [&] {  // at or above a choice listed before
      for (std::size_t k = 0; k < cut.lowest.size(); k += choice.size()) {
        const auto low = cut.lowest.begin() + static_cast<std::ptrdiff_t>(k);
        if (std::equal(choice.begin(), choice.end(), low, [](int a, int b) { return a >= b; })) return true;
      }
      return false;
    }();
    if (!known) cut.lowest.insert(cut.lowest.end(), choice.begin(), choice.end());
  }
}

LevelBound::LevelBound(const LevelTable& table, const LevelBox& box)
    : table_(table), box_(box), value_(table.cost_of(box.least)), left_(level_prices(table, box)) {}

void LevelBound::charge(const LevelCut& cut) {
  if (value_ == kNoLimit || !forbids(cut, table_, box_.least)) return;
  value_ += cut.lowest.empty() ? charge_clause(cut, table_, box_, left_) : charge_small(cut, box_, left_);
}

void LevelBound::charge_all(std::span<const LevelCut> cuts) {
  for (const LevelCut& cut : cuts) charge(cut);
}

std::vector<int> LevelBound::paid_levels() const {
  constexpr double kNothing = 1e-9;
  std::vector<int> levels = box_.least;
  for (std::size_t s = 0; s < levels.size(); ++s) {
    for (int k = box_.most[s]; k > box_.least[s]; --k) {
      if (left_[s][static_cast<std::size_t>(k)] > kNothing) continue;
      levels[s] = k;
      break;
    }
  }
  return levels;
}

}  // namespace fairhole::detail

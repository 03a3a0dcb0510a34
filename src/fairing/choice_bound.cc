// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_cuts.h"

namespace fairhole::detail {
namespace {

constexpr std::size_t kMostChoices = 2500;  // four stacks of seven options, the last one's found by search

bool allows(const ChoiceCut& cut, const std::vector<std::vector<std::size_t>>& of_class,
            std::span<const std::size_t> choice) {
  return std::any_of(cut.rows.begin(), cut.rows.end(), [&](const ChoiceCut::Row& row) {
    double excess = row.floor_mm;
    for (std::size_t i = 0; i < choice.size(); ++i) excess -= row.value[i][of_class[i][choice[i]]];
    return excess <= kHoldsRadiusMm;
  });
}

/// At or above a choice listed before.
bool known(const ChoiceCut& cut, std::span<const std::size_t> choice) {
  for (std::size_t c = 0; c < cut.lowest.size(); c += choice.size()) {
    bool above = true;
    for (std::size_t i = 0; i < choice.size() && above; ++i)
      above = cut.classes[i].at_or_below[cut.lowest[c + i]][choice[i]] != 0;
    if (above) return true;
  }
  return false;
}

/// Of each stack an option of each class, classes in an order that never goes down.
std::vector<std::vector<std::size_t>> sorted_classes(ChoiceCut& cut) {
  std::vector<std::vector<std::size_t>> out;
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    ChoiceCut::Classes& classes = cut.classes[i];
    const std::size_t count = classes.at_or_below.size();
    std::vector<std::size_t> option(count, 0), order(count), place(count);
    for (std::size_t o = classes.of_option.size(); o-- > 0;) option[classes.of_option[o]] = o;
    for (std::size_t c = 0; c < count; ++c) order[c] = c;
    const auto below = [&](std::size_t c) {  // how many lie at or below c
      return std::count_if(order.begin(), order.end(),
                           [&](std::size_t a) { return classes.at_or_below[a][c] != 0; });
    };
    std::vector<std::ptrdiff_t> rank(count);
    for (std::size_t c = 0; c < count; ++c) rank[c] = below(c);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return rank[a] < rank[b]; });
    std::vector<std::size_t>& sorted = out.emplace_back();
    ChoiceCut::Classes renamed;
    for (std::size_t k = 0; k < count; ++k) place[order[k]] = k, sorted.push_back(option[order[k]]);
    for (const std::size_t c : classes.of_option) renamed.of_option.push_back(place[c]);
    for (const std::size_t a : order) {
      std::vector<char>& row = renamed.at_or_below.emplace_back();
      for (const std::size_t b : order) row.push_back(classes.at_or_below[a][b]);
    }
    classes = std::move(renamed);
  }
  return out;
}

}  // namespace

void list_lowest(ChoiceCut& cut, const ChoiceTable&) {
  const std::vector<std::vector<std::size_t>> of_class = sorted_classes(cut);
  const std::size_t size = cut.stacks.size();
  std::size_t choices = 1;
  for (std::size_t i = 0; i < size && choices <= kMostChoices; ++i) {
    if (i + 1 < size || cut.rows.size() > 1) choices *= of_class[i].size();
  }
  if (choices > kMostChoices) return;
  cut.listed = true;
  std::vector<std::size_t> choice(size, 0);
  for (std::size_t c = 0; c < choices; ++c) {
    std::size_t rest = c;
    for (std::size_t i = 0; i < size; ++i) {
      if (i + 1 == size && cut.rows.size() == 1) break;
      choice[i] = rest % of_class[i].size();
      rest /= of_class[i].size();
    }
    if (cut.rows.size() == 1) {  // the last stack's classes are in one order: its lowest that will do
      choice[size - 1] = 0;
      while (choice[size - 1] + 1 < of_class[size - 1].size() && !allows(cut, of_class, choice))
        ++choice[size - 1];
    }
    if (allows(cut, of_class, choice) && !known(cut, choice))
      cut.lowest.insert(cut.lowest.end(), choice.begin(), choice.end());
  }
}

ChoiceBound::ChoiceBound(const ChoiceTable& table, const ChoiceDomain& domain)
    : table_(table), left_(table.prices(domain)) {
  for (std::size_t s = 0; s < table.stacks(); ++s) {
    const auto from = left_.begin() + static_cast<std::ptrdiff_t>(table.first(s));
    const auto to = left_.begin() + static_cast<std::ptrdiff_t>(table.end(s));
    const double least = *std::min_element(from, to);
    value_ += least;
    if (least == kNoLimit) return;
    std::for_each(from, to, [least](double& price) { price -= least; });
  }
}

/// Of each class the cheapest open option at or above it: charges that never fall as options get roomier, so
/// that the lowest choices stand for all that are allowed.
void ChoiceBound::charge_listed(const ChoiceCut& cut) {
  const std::size_t size = cut.stacks.size();
  std::vector<std::vector<double>> charge;
  for (std::size_t i = 0; i < size; ++i) {
    const ChoiceCut::Classes& classes = cut.classes[i];
    std::vector<double>& own = charge.emplace_back(classes.at_or_below.size(), kNoLimit);
    for (std::size_t o = 0; o < classes.of_option.size(); ++o) {
      const double left = left_[table_.first(cut.stacks[i]) + o];
      if (left == kNoLimit) continue;
      for (std::size_t a = 0; a < own.size(); ++a) {
        if (classes.at_or_below[a][classes.of_option[o]] != 0) own[a] = std::min(own[a], left);
      }
    }
  }
  const auto paid = [&](std::size_t c) {
    double sum = 0.0;
    for (std::size_t i = 0; i < size; ++i) sum += charge[i][cut.lowest[c + i]];
    return sum;
  };
  double least = kNoLimit;
  for (std::size_t c = 0; c < cut.lowest.size(); c += size) least = std::min(least, paid(c));
  value_ += least;
  if (least == kNoLimit || !(least > 0.0)) return;
  for (std::size_t i = 0; i < size; ++i) {  // each in turn pays no more than the others leave open
    std::vector<double> needed(charge[i].size(), 0.0);
    for (std::size_t c = 0; c < cut.lowest.size(); c += size) {
      const double all = paid(c);
      const std::size_t k = cut.lowest[c + i];
      if (all < kNoLimit) needed[k] = std::max(needed[k], least - (all - charge[i][k]));
    }
    for (std::size_t k = 0; k < needed.size(); ++k) {
      double most = 0.0;
      for (std::size_t a = 0; a < needed.size(); ++a) {
        if (cut.classes[i].at_or_below[a][k] != 0) most = std::max(most, needed[a]);
      }
      charge[i][k] = std::min(charge[i][k], most);
    }
  }
  for (std::size_t i = 0; i < size; ++i) {
    const std::vector<std::size_t>& of_option = cut.classes[i].of_option;
    for (std::size_t o = 0; o < of_option.size(); ++o) {
      double& left = left_[table_.first(cut.stacks[i]) + o];
      if (left < kNoLimit) left = std::max(0.0, left - charge[i][of_option[o]]);
    }
  }
}

/// The same for a cut of many stacks: each literal of its clause pays the cheapest one's price.
void ChoiceBound::charge_clause(const ChoiceCut& cut) {
  const std::vector<ChoiceLiteral> clause = clause_of(cut, table_, left_);
  const double least = clause.empty() ? kNoLimit : clause.front().price;
  value_ += least;
  if (least == kNoLimit) return;
  for (const ChoiceLiteral& literal : clause) {
    for (const std::size_t o : literal.options) left_[o] = std::max(0.0, left_[o] - least);
  }
}

void ChoiceBound::charge(const ChoiceCut& cut) {
  if (value_ == kNoLimit || !forbids(cut, table_, paid())) return;
  cut.listed ? charge_listed(cut) : charge_clause(cut);
}

void ChoiceBound::charge_all(std::span<const ChoiceCut> cuts) {
  for (const ChoiceCut& cut : cuts) charge(cut);
}

OptionSet ChoiceBound::paid() const {
  constexpr double kNothing = 1e-9;
  OptionSet set;
  for (const double left : left_) set.push_back(left <= kNothing ? 1 : 0);
  return set;
}

}  // namespace fairhole::detail

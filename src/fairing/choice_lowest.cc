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

void list_lowest(ChoiceCut& cut) {
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

}  // namespace fairhole::detail

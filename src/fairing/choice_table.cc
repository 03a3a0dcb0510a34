// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_table.h"

#include <algorithm>

namespace fairhole::detail {
namespace {

bool at_least_as_roomy(const TableOption& a, const TableOption& b) {
  return std::equal(a.room_mm.begin(), a.room_mm.end(), b.room_mm.begin(),
                    [](double x, double y) { return x >= y; });
}

/// `a` never costs more, whichever size is usual.
bool never_dearer(const TableOption& a, const TableOption& b, double odd_cost) {
  const bool can_be_odd_alone = a.size >= 0 && a.size != b.size;
  return a.cost + (can_be_odd_alone ? odd_cost : 0.0) <= b.cost;
}

/// Options that another makes needless are left out; of two alike the first stays.
std::vector<TableOption> needed(std::vector<TableOption> options, double odd_cost) {
  std::vector<TableOption> out;
  for (std::size_t i = 0; i < options.size(); ++i) {
    bool needless = false;
    for (std::size_t j = 0; j < options.size() && !needless; ++j) {
      const auto beats = [&](std::size_t a, std::size_t b) {
        return at_least_as_roomy(options[a], options[b]) && never_dearer(options[a], options[b], odd_cost);
      };
      needless = j != i && beats(j, i) && (j < i || !beats(i, j));
    }
    if (!needless) out.push_back(options[i]);
  }
  return out;
}

}  // namespace

ChoiceTable::ChoiceTable(std::span<const StackOptions> stacks, std::span<const int> group_sizes,
                         double odd_cost)
    : first_{0}, first_usual_{0}, odd_cost_(odd_cost) {
  for (const int sizes : group_sizes)
    first_usual_.push_back(first_usual_.back() + static_cast<std::size_t>(sizes));
  for (const StackOptions& stack : stacks) {
    const int at = static_cast<int>(group_.size());
    std::vector<TableOption> own;
    for (const StackOption& option : stack.options) {
      const int size = stack.group >= 0 ? option.size : -1;
      own.push_back({option.cost, option.room_mm, size, static_cast<int>(own.size()), at});
    }
    for (TableOption& option : needed(std::move(own), odd_cost)) options_.push_back(std::move(option));
    group_.push_back(stack.group);
    first_.push_back(options_.size());
  }
}

void ChoiceTable::narrow(std::size_t stack, std::size_t disc, double most_mm) {
  for (std::size_t o = first(stack); o < end(stack); ++o) {
    double& room = options_[o].room_mm[disc];
    if (room < kNoLimit) room = std::min(room, most_mm);
  }
}

ChoiceDomain ChoiceTable::whole() const {
  return {OptionSet(options_.size(), 1), std::vector<char>(first_usual_.back(), 1)};
}

OptionSet ChoiceTable::only(std::span<const std::size_t> choice) const {
  OptionSet set(options_.size(), 0);
  for (const std::size_t index : choice) set[index] = 1;
  return set;
}

double ChoiceTable::cost_with_usual(std::size_t index, int usual) const {
  const TableOption& option = options_[index];
  return option.cost + (option.size >= 0 && option.size != usual ? odd_cost_ : 0.0);
}

Choice ChoiceTable::cheapest(const ChoiceDomain& domain) const {
  Choice out{0.0, std::vector<std::size_t>(stacks(), 0), std::vector<int>(groups(), -1)};
  const auto best_of = [&](std::size_t stack, int usual) {
    std::size_t best = options_.size();
    for (std::size_t i = first(stack); i < end(stack); ++i) {
      if (domain.open[i] == 0) continue;
      if (best == options_.size() || cost_with_usual(i, usual) < cost_with_usual(best, usual)) best = i;
    }
    return best;
  };
  std::vector<std::vector<std::size_t>> members(groups());
  for (std::size_t s = 0; s < stacks(); ++s) {
    if (group_[s] >= 0) members[static_cast<std::size_t>(group_[s])].push_back(s);
    if (best_of(s, -1) == options_.size()) return {};
  }
  for (std::size_t g = 0; g < groups(); ++g) {
    double least = kNoLimit;
    for (int usual = sizes(g) > 0 ? 0 : -1; usual < sizes(g); ++usual) {
      if (usual >= 0 && domain.usual[usual_at(g, usual)] == 0) continue;
      double sum = 0.0;
      for (const std::size_t s : members[g]) sum += cost_with_usual(best_of(s, usual), usual);
      if (sum < least) least = sum, out.usual[g] = usual;
    }
  }
  for (std::size_t s = 0; s < stacks(); ++s) {
    const int usual = group_[s] >= 0 ? out.usual[static_cast<std::size_t>(group_[s])] : -1;
    out.option[s] = best_of(s, usual);
    out.cost += cost_with_usual(out.option[s], usual);
  }
  return out;
}

}  // namespace fairhole::detail

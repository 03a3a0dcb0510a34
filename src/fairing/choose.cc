// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "search.h"

namespace fairhole::detail {
namespace {

struct GroupChoice {
  std::vector<int> option;
  std::vector<double> cost;
  double total = 0.0;
  double worst_misfit_mm = 0.0;
};

double worst_misfit_mm(const Option& option) {
  double worst = 0.0;
  for (const LayerEvent& layer : option.event.layers) {
    if (layer.role != Role::kIgnored) worst = std::max(worst, (layer.centre_mm - option.centre_mm).norm());
  }
  return worst;
}

// Each stack's cheapest option when `usual_mm` is the group's size; the first of equals, as the options stand
// in the order of the trade's preference.
GroupChoice cheapest_with(const std::vector<const std::vector<Option>*>& stacks, double usual_mm,
                          double odd_weight, double nothing_fits) {
  GroupChoice choice;
  for (const std::vector<Option>* options : stacks) {
    int best = -1;
    double best_cost = std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < options->size(); ++k) {
      const Option& option = (*options)[k];
      if (!option.allowed) continue;
      const bool odd = option.counts_as_size && std::abs(option.finish_mm - usual_mm) > kSameSizeMm;
      const double cost = option.cost + (odd ? odd_weight : 0.0);
      if (cost >= best_cost) continue;
      best = static_cast<int>(k);
      best_cost = cost;
    }
    choice.option.push_back(best);
    choice.cost.push_back(best < 0 ? nothing_fits : best_cost);
    choice.total += choice.cost.back();
    if (best >= 0) {
      choice.worst_misfit_mm =
          std::max(choice.worst_misfit_mm, worst_misfit_mm((*options)[static_cast<std::size_t>(best)]));
    }
  }
  return choice;
}

std::set<double> sizes_of(const std::vector<const std::vector<Option>*>& stacks) {
  std::set<double> sizes{0.0};  // none: a group whose holes all keep their own sizes
  for (const std::vector<Option>* options : stacks) {
    for (const Option& option : *options) {
      if (option.allowed && option.counts_as_size) sizes.insert(option.finish_mm);
    }
  }
  return sizes;
}

}  // namespace

double nothing_fits_cost(const CostWeights& weights) { return 10.0 * weights.plug; }

Chosen choose_options(const std::vector<Stack>& stacks, const std::vector<std::vector<Option>>& options,
                      const CostWeights& weights) {
  std::map<std::string, std::vector<std::size_t>> groups;
  for (std::size_t i = 0; i < stacks.size(); ++i)
    groups[stacks[i].plate + '\n' + stacks[i].group].push_back(i);

  Chosen chosen{std::vector<int>(stacks.size(), -1), std::vector<double>(stacks.size(), 0.0)};
  for (const auto& [name, members] : groups) {
    std::vector<const std::vector<Option>*> of_group;
    of_group.reserve(members.size());
    for (const std::size_t i : members) of_group.push_back(&options[i]);
    std::optional<GroupChoice> best;
    for (const double usual : sizes_of(of_group)) {
      GroupChoice choice = cheapest_with(of_group, usual, weights.odd_size, nothing_fits_cost(weights));
      const bool better =
          !best || choice.total < best->total - 1e-9 ||
          (choice.total < best->total + 1e-9 && choice.worst_misfit_mm < best->worst_misfit_mm);
      if (better) best = std::move(choice);
    }
    for (std::size_t k = 0; k < members.size(); ++k) {
      chosen.option[members[k]] = best->option[k];
      chosen.cost[members[k]] = best->cost[k];
    }
  }
  return chosen;
}

}  // namespace fairhole::detail

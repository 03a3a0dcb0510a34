// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/alternatives.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>
#include <utility>

#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/joint_fairing.h"

namespace fairhole {
namespace {

constexpr double kAboveAll = 1000.0;  // times the weight that a wish puts first

/// Alternatives are there to compare with: the best found with a short search will do.
constexpr SeatEffort kShort{200, 150, 0};
constexpr int kDraws = 2000;  // odds to a hundredth

long size_key(double size_mm) { return std::lround(size_mm * 1000.0); }

/// Reamed or drilled to a size of its own, not to that of an old hole that is left.
bool takes_size(const StackPlan& stack) {
  const auto has = [&stack](const char* action) {
    return std::any_of(stack.layers.begin(), stack.layers.end(), [action](const LayerPlan& layer) {
      return !layer.new_plate && layer.action == action;
    });
  };
  return is_drilled(stack) && (has("ream") || !has("leave")) && stack.method != Method::kTransfer &&
         stack.method != Method::kClear && stack.finish == Finish::kInPlace;
}

int odd_sizes(const Plan& plan) {
  std::map<std::string, std::map<long, int>> groups;
  for (const StackPlan& stack : plan.stacks) {
    if (takes_size(stack)) ++groups[stack.plate + '\n' + stack.group][size_key(stack.finish_diameter_mm)];
  }
  int odd = 0;
  for (const auto& [name, sizes] : groups) {
    int most = 0;
    for (const auto& [size, count] : sizes) {
      odd += count;
      most = std::max(most, count);
    }
    odd -= most;
  }
  return odd;
}

bool same_decisions(const Plan& a, const Plan& b) {
  return std::equal(a.stacks.begin(), a.stacks.end(), b.stacks.begin(), b.stacks.end(),
                    [](const StackPlan& x, const StackPlan& y) {
                      return x.method == y.method &&
                             size_key(x.finish_diameter_mm) == size_key(y.finish_diameter_mm);
                    });
}

Alternative told(std::string name, const Plan& plan, const Plan& chosen) {
  return {std::move(name), count_of(plan), plan.odds, same_decisions(plan, chosen)};
}

Plan with_costs(const Assembly& assembly, FairingRules rules, const CostWeights& costs) {
  rules.costs = costs;
  return JointFairing{rules, kShort}(assembly).plan;
}

Assembly nothing_opened(Assembly assembly) {
  for (Stack& stack : assembly.stacks) {
    for (OldLayer& layer : stack.layers) {
      if (layer.form != HoleForm::kPlugged) layer.largest_mm = layer.diameter_mm;
    }
  }
  return assembly;
}

}  // namespace

PlanCount count_of(const Plan& plan) {
  PlanCount count;
  std::set<long> sizes;
  for (const StackPlan& stack : plan.stacks) {
    count.undecided += stack.method == Method::kUndecided ? 1 : 0;
    if (takes_size(stack)) sizes.insert(size_key(stack.finish_diameter_mm));
    for (const LayerPlan& layer : stack.layers) {
      count.plugs += layer.action == "plug and re-drill" ? 1 : 0;
      const bool bushed = layer.action == "bush";
      if (layer.new_plate || (!bushed && layer.action != "ream") || !layer.found_diameter_mm) continue;
      ++(bushed ? count.bushes : count.opened);
      const double opened_mm = layer.bush_outside_mm.value_or(layer.finish_diameter_mm);
      const double area = std::pow(opened_mm, 2) - std::pow(*layer.found_diameter_mm, 2);
      count.metal_cm3 += std::max(0.0, std::numbers::pi / 4.0 * area * layer.thickness_mm / 1000.0);
    }
  }
  count.odd_sizes = odd_sizes(plan);
  count.sizes = static_cast<int>(sizes.size());
  return count;
}

std::vector<Alternative> alternatives(const Assembly& assembly, const std::vector<PlatePair>& pairs,
                                      const FairingRules& job_rules, const Plan& plan) {
  FairingRules rules = job_rules;
  rules.draws = std::min(rules.draws, kDraws);
  const CostWeights& costs = rules.costs;
  CostWeights plugs = costs, sizes = costs, metal = costs;
  plugs.plug *= kAboveAll;
  sizes.odd_size *= kAboveAll;
  metal.metal_per_cm3 *= kAboveAll;
  metal.plug *= kAboveAll;  // or all would be plugged, which takes none
  std::vector<Alternative> all{
      told("the plan", plan, plan),
      told("fewest plugs", with_costs(assembly, rules, plugs), plan),
      told("one size in each group", with_costs(assembly, rules, sizes), plan),
      told("least metal taken from old parts", with_costs(assembly, rules, metal), plan),
      told("nothing opened out in old parts", JointFairing{rules, kShort}(nothing_opened(assembly)).plan,
           plan),
      told(kSeatedAlone, FirstFairing{rules}(assembly), plan)};
  if (pairs.empty()) return all;
  Assembly other = assembly;
  other.pairs = assembly.pairs.empty() ? pairs : std::vector<PlatePair>{};
  all.push_back(
      told(assembly.pairs.empty() ? "left and right drilled together" : "each plate drilled by itself",
           JointFairing{rules, kShort}(other).plan, plan));
  return all;
}

}  // namespace fairhole

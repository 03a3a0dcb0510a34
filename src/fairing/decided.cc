// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "decided.h"

#include <numeric>
#include <utility>

namespace fairhole::detail {

std::vector<bool> sound_holes(const Assembly& assembly) {
  std::vector<bool> sound;
  for (const Stack& stack : assembly.stacks) {
    bool all = true;
    for (const OldLayer& layer : stack.layers) {
      const bool form = layer.form != HoleForm::kTorn && layer.form != HoleForm::kRivetIn &&
                        layer.form != HoleForm::kSlotted && layer.form != HoleForm::kPlugged;
      all = all && form && layer.measured && layer.diameter_mm.has_value();
    }
    sound.push_back(all);
  }
  return sound;
}

double Decided::cost() const { return std::accumulate(chosen.cost.begin(), chosen.cost.end(), 0.0); }

Decided decide(const Assembly& assembly, std::vector<StackCase> cases, const FairingRules& rules) {
  Decided decided;
  decided.cases = std::move(cases);
  for (const StackCase& entry : decided.cases) decided.options.push_back(options_for(entry, rules));
  decided.chosen = choose_options(assembly.stacks, decided.options, rules.costs);
  return decided;
}

const Option* chosen_option(const Decided& decided, std::size_t stack) {
  const int k = decided.chosen.option[stack];
  if (k < 0) return nullptr;
  const Option& option = decided.options[stack][static_cast<std::size_t>(k)];
  return option.method == Method::kUndecided ? nullptr : &option;
}

std::vector<bool> serving_holes(const Decided& decided, const std::vector<bool>& sound) {
  std::vector<bool> serving;
  for (std::size_t i = 0; i < sound.size(); ++i) {
    const Option* option = chosen_option(decided, i);
    serving.push_back(sound[i] && option != nullptr && option->method != Method::kPlug &&
                      option->method != Method::kLeaveOut);
  }
  return serving;
}

Plan plan_of(const Assembly& assembly, const Decided& decided, const std::vector<LocatingPair>& locating,
             const FairingRules& rules) {
  std::vector<const StackEvent*> events;
  for (std::size_t i = 0; i < assembly.stacks.size(); ++i) {
    const Option* option = chosen_option(decided, i);
    events.push_back(option != nullptr ? &option->event : nullptr);
  }
  const Odds odds = monte_carlo_odds(assembly, events, locating, rules);

  Plan plan;
  for (std::size_t i = 0; i < assembly.stacks.size(); ++i) {
    plan.stacks.push_back(stack_plan(decided.cases[i], decided.options[i], decided.chosen.option[i],
                                     decided.chosen.cost[i], odds.stack[i], rules));
  }
  plan.cost = decided.cost();
  plan.seats = seat_plans(assembly, locating, rules.setting_sigma_mm);
  plan.odds = odds.job;
  plan.odds_sigma = odds.job_sigma;
  plan.warnings = plan_warnings(assembly, plan, rules);
  return plan;
}

}  // namespace fairhole::detail

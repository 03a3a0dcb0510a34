// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/first_fairing.h"

#include <utility>

#include "search.h"

namespace fairhole {
namespace {

// Holes sound enough to hang a part on: as found, before anything is decided.
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

struct Decided {
  std::vector<StackCase> cases;
  std::vector<std::vector<Option>> options;
  detail::Chosen chosen;
};

Decided decide(const Assembly& assembly, const std::vector<LocatingPair>& locating,
               const FairingRules& rules) {
  Decided decided;
  decided.cases = stack_cases(assembly, locating, rules);
  for (const StackCase& entry : decided.cases) decided.options.push_back(options_for(entry, rules));
  decided.chosen = detail::choose_options(assembly.stacks, decided.options, rules.costs);
  return decided;
}

const Option* chosen_option(const Decided& decided, std::size_t i) {
  const int k = decided.chosen.option[i];
  if (k < 0) return nullptr;
  const Option& option = decided.options[i][static_cast<std::size_t>(k)];
  return option.method == Method::kUndecided ? nullptr : &option;
}

// A part hangs on holes that keep their old place: plugged, left out and undecided ones do not.
std::vector<bool> serving_holes(const Decided& decided, const std::vector<bool>& sound) {
  std::vector<bool> serving;
  for (std::size_t i = 0; i < sound.size(); ++i) {
    const Option* option = chosen_option(decided, i);
    serving.push_back(sound[i] && option != nullptr && option->method != Method::kPlug &&
                      option->method != Method::kLeaveOut);
  }
  return serving;
}

}  // namespace

// The locating holes come first, because the doubt of all other holes follows from them; when one of them
// turns out not to serve, others are chosen and all is decided afresh.
Plan FirstFairing::operator()(const Assembly& assembly) const {
  const std::vector<bool> sound = sound_holes(assembly);
  std::vector<LocatingPair> locating = choose_locating(assembly, sound);
  Decided decided = decide(assembly, locating, rules);
  locating = choose_locating(assembly, serving_holes(decided, sound));
  decided = decide(assembly, locating, rules);

  std::vector<const StackEvent*> events;
  for (std::size_t i = 0; i < assembly.stacks.size(); ++i) {
    const Option* option = chosen_option(decided, i);
    events.push_back(option != nullptr ? &option->event : nullptr);
  }
  const Odds odds = monte_carlo_odds(assembly, events, locating, rules);

  Plan plan;
  bool all_decided = true;
  for (std::size_t i = 0; i < assembly.stacks.size(); ++i) {
    plan.stacks.push_back(detail::stack_plan(decided.cases[i], decided.options[i], decided.chosen.option[i],
                                             decided.chosen.cost[i], odds.stack[i], rules));
    plan.cost += decided.chosen.cost[i];
    all_decided = all_decided && events[i] != nullptr;
  }
  plan.seats = detail::seat_plans(assembly, locating, rules.setting_sigma_mm);
  plan.odds = odds.job;
  plan.odds_sigma = odds.job_sigma;
  plan.proven = all_decided && plan.cost == 0.0;  // no cost is negative, so nothing can be cheaper
  plan.warnings = detail::plan_warnings(assembly, plan, rules);
  return plan;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "decided.h"

#include <algorithm>
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

Decided decide(const Assembly& assembly, std::vector<StackCase> cases, const FairingRules& rules,
               const Barred& barred) {
  Decided decided;
  decided.cases = std::move(cases);
  for (const StackCase& entry : decided.cases) decided.options.push_back(options_for(entry, rules));
  for (const auto& [which, reason] : barred) {
    Option& option = decided.options[which.first][static_cast<std::size_t>(which.second)];
    option.allowed = false;
    option.forbidden = reason;
  }
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

namespace {

/// The widest hole of `option` in a layer that the other stack has too.
double widest_beside_mm(const Stack& stack, const Option& option, const Stack& other) {
  const auto shared = [&](int index) {
    const std::string& joint = stack.layers[static_cast<std::size_t>(index)].joint;
    return std::any_of(other.layers.begin(), other.layers.end(),
                       [&joint](const OldLayer& layer) { return layer.joint == joint; });
  };
  const bool seat = std::any_of(option.bushed.begin(), option.bushed.end(), shared);
  return seat ? option.bush_outside_mm : option.finish_mm;
}

/// Of the sizes asked for: then no choice of sizes keeps the pitch.
bool drawn_too_near(const Stack& a, const Stack& b, double shank_mm, const FairingRules& rules) {
  const double asked = std::max(asked_finish_mm(a.fastener), asked_finish_mm(b.fastener));
  return (a.nominal_mm - b.nominal_mm).norm() < least_pitch_mm(rules.edges.least, shank_mm, asked);
}

}  // namespace

std::optional<PitchConflict> pitch_conflict(const Assembly& assembly, const Decided& decided,
                                            const FairingRules& rules) {
  const std::vector<Stack>& stacks = assembly.stacks;
  for (std::size_t i = 0; i < stacks.size(); ++i) {
    const Option* a = chosen_option(decided, i);
    for (std::size_t j = i + 1; a != nullptr && j < stacks.size(); ++j) {
      const Option* b = chosen_option(decided, j);
      if (b == nullptr || stacks[i].plate != stacks[j].plate) continue;
      if (a->method == Method::kLeaveOut || b->method == Method::kLeaveOut) continue;
      const double shank = std::max(stacks[i].fastener.diameter_mm, stacks[j].fastener.diameter_mm);
      const double of_a = widest_beside_mm(stacks[i], *a, stacks[j]);
      const double of_b = widest_beside_mm(stacks[j], *b, stacks[i]);
      const double least = least_pitch_mm(rules.edges.least, shank, std::max(of_a, of_b));
      const double pitch = (a->centre_mm - b->centre_mm).norm();
      if (pitch >= least || drawn_too_near(stacks[i], stacks[j], shank, rules)) continue;
      const bool first_larger = of_a > of_b;
      return PitchConflict{first_larger ? j : i, first_larger ? i : j, pitch, least};
    }
  }
  return std::nullopt;
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

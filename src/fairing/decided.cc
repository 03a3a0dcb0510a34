// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "decided.h"

#include <fmt/core.h>

#include <algorithm>
#include <numeric>
#include <utility>

#include "fairhole/base/length.h"

namespace fairhole::detail {
namespace {

constexpr double kOnTheLineMm = 1e-9;  // rounding of centres that lie on the lines between them
// A part is not hung on a hole that one time in so many is not where it was read.
constexpr double kSlipTooLikely = 0.05;

}  // namespace

std::vector<bool> sound_holes(const Assembly& assembly) {
  std::vector<bool> sound;
  for (const Stack& stack : assembly.stacks) {
    bool all = true;
    for (const OldLayer& layer : stack.layers) {
      const bool form = layer.form != HoleForm::kTorn && layer.form != HoleForm::kRivetIn &&
                        layer.form != HoleForm::kSlotted && layer.form != HoleForm::kPlugged;
      all = all && form && layer.measured && layer.diameter_mm.has_value() &&
            layer.slip_probability < kSlipTooLikely;
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

std::vector<PitchConflict> pitch_conflicts(const Assembly& assembly, const Decided& decided,
                                           const FairingRules& rules) {
  std::vector<PitchConflict> conflicts;
  const std::vector<Stack>& stacks = assembly.stacks;
  for (std::size_t i = 0; i < stacks.size(); ++i) {
    const Option* a = chosen_option(decided, i);
    for (std::size_t j = i + 1; a != nullptr && j < stacks.size(); ++j) {
      const Option* b = chosen_option(decided, j);
      if (b == nullptr || stacks[i].plate != stacks[j].plate) continue;
      const double of_a = pitch_asked_mm(stacks[i], *a, stacks[j], rules);
      const double of_b = pitch_asked_mm(stacks[j], *b, stacks[i], rules);
      const double least = std::max(of_a, of_b);
      const double pitch = (a->centre_mm - b->centre_mm).norm();
      const bool both = of_a > 0.0 && of_b > 0.0;
      if (!both || pitch >= least - kOnTheLineMm || drawn_too_near(stacks[i], stacks[j], rules)) continue;
      conflicts.push_back({{i, j}, of_a > of_b ? i : j, pitch, least});
    }
  }
  return conflicts;
}

void give_up_too_near(const Assembly& assembly, const FairingRules& rules, Decided& decided) {
  for (;;) {
    const std::vector<PitchConflict> conflicts = pitch_conflicts(assembly, decided, rules);
    if (conflicts.empty()) return;
    const PitchConflict& first = conflicts.front();
    const std::size_t smaller = first.larger == first.pair.a ? first.pair.b : first.pair.a;
    const int taken = decided.chosen.option[first.larger];
    Option& option = decided.options[first.larger][static_cast<std::size_t>(taken)];
    option.allowed = false;
    option.forbidden =
        fmt::format("the hole {} is {} mm from the centre, {} mm is the least", assembly.stacks[smaller].id,
                    format_mm(first.pitch_mm), format_mm(first.least_mm));
    decided.chosen = choose_options(assembly.stacks, decided.options, rules.costs);
  }
}

Hung decide_hung(const Assembly& assembly, const FairingRules& rules) {
  const std::vector<bool> sound = sound_holes(assembly);
  Hung hung{choose_locating(assembly, sound), {}};
  hung.decided = decide(assembly, stack_cases(assembly, hung.locating, rules), rules);
  hung.locating = choose_locating(assembly, serving_holes(hung.decided, sound));
  const std::vector<StackCase> cases = stack_cases(assembly, hung.locating, rules);
  hung.decided = decide(assembly, cases, rules);
  give_up_too_near(assembly, rules, hung.decided);
  return hung;
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

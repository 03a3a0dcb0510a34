// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/first_fairing.h"

#include <algorithm>

#include "decided.h"

namespace fairhole {

// The locating holes come first, because the doubt of all other holes follows from them; when one of them
// turns out not to serve, others are chosen and all is decided afresh.
Plan FirstFairing::operator()(const Assembly& assembly) const {
  const std::vector<bool> sound = detail::sound_holes(assembly);
  std::vector<LocatingPair> locating = choose_locating(assembly, sound);
  detail::Decided decided = detail::decide(assembly, stack_cases(assembly, locating, rules), rules);
  locating = choose_locating(assembly, detail::serving_holes(decided, sound));
  decided = detail::decide(assembly, stack_cases(assembly, locating, rules), rules);
  Plan plan = detail::plan_of(assembly, decided, locating, rules);
  const bool all_decided = std::all_of(plan.stacks.begin(), plan.stacks.end(), [](const StackPlan& stack) {
    return stack.method != Method::kUndecided;
  });
  plan.proven = all_decided && plan.cost == 0.0;  // no cost is negative, so nothing can be cheaper
  return plan;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/first_fairing.h"

#include <algorithm>

#include "decided.h"

namespace fairhole {

Plan FirstFairing::operator()(const Assembly& assembly) const {
  const detail::Hung hung = detail::decide_hung(assembly, rules);
  Plan plan = detail::plan_of(assembly, hung.decided, hung.locating, rules);
  const bool all_decided = std::all_of(plan.stacks.begin(), plan.stacks.end(), [](const StackPlan& stack) {
    return stack.method != Method::kUndecided;
  });
  plan.proven = all_decided && plan.cost == 0.0;  // no cost is negative, so nothing can be cheaper
  return plan;
}

}  // namespace fairhole

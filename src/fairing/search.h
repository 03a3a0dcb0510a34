// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/fairing/decision.h"
#include "fairhole/fairing/odds.h"
#include "fairhole/fairing/plan.h"

namespace fairhole::detail {

/// What a stack costs that nothing fits: more than any way out of trouble.
double nothing_fits_cost(const CostWeights& weights);

/// For each group the usual size and the options that cost least with it. `cost[i]` includes the odd-size
/// share.
struct Chosen {
  std::vector<int> option;  ///< index of each stack's; -1 where every option is forbidden
  std::vector<double> cost;
};
Chosen choose_options(const std::vector<Stack>& stacks, const std::vector<std::vector<Option>>& options,
                      const CostWeights& weights);

/// "open out to 23.8 mm", "transfer".
std::string option_name(const Option& option);

/// Among the sizes to open out to below `limit_mm` the one that tells most: the smallest that would do; else
/// the smallest that the holes alone would allow and something else forbids; else the largest. Null: none.
const Option* telling_size(const std::vector<Option>& options, double limit_mm);
inline constexpr double kNoSizeLimitMm = 1e9;

/// Why nothing cheaper than the option chosen: what speaks against leaving the holes as they are, and what
/// against the size that would do it. Empty where nothing cheaper exists or the job pins the stack.
std::string ruled_out(const Stack& stack, const std::vector<Option>& options, int chosen);

/// One stack's plan from its option; `odds` from the Monte Carlo.
StackPlan stack_plan(const StackCase& stack_case, const std::vector<Option>& options, int chosen, double cost,
                     double odds, const FairingRules& rules);
std::vector<SeatPlan> seat_plans(const Assembly& assembly, const std::vector<LocatingPair>& locating,
                                 double setting_sigma_mm);
/// Edges and pitches below what is wanted, undecided stacks, seats at their limit; in the stacks' order.
std::vector<std::string> plan_warnings(const Assembly& assembly, const Plan& plan, const FairingRules& rules);

}  // namespace fairhole::detail

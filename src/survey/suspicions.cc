// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "suspicions.h"

#include <algorithm>

#include "slips.h"
#include "undetermined.h"

namespace fairhole::survey_detail {
namespace {

bool in_a_group(const std::vector<std::vector<int>>& groups, int number) {
  return std::any_of(groups.begin(), groups.end(), [number](const auto& group) {
    return std::find(group.begin(), group.end(), number) != group.end();
  });
}

/// The member that a slip accuses, or -1.
int accused(const Suspicion& s) {
  for (std::size_t k = 0; k < s.observations.size(); ++k) {
    if (s.slips[k] && s.slips[k]->odds >= kSettlingOdds) return s.observations[k];
  }
  return -1;
}

/// Leaves out the accused alone. False, and nothing changed, if the net cannot spare it.
bool leave_out_alone(const Suspicion& s, int number, Model& model, const Columns& columns,
                     Solution& solution) {
  std::vector<bool> before;
  for (const Observation& o : model.observations) before.push_back(o.active);
  for (const int i : s.observations) model.observations[static_cast<std::size_t>(i)].active = i != number;
  if (is_determined(model, columns, solution.state)) {
    Solution without = solve(model, columns, solution.state);
    if (without.converged) {
      solution = std::move(without);
      return true;
    }
  }
  for (std::size_t i = 0; i < before.size(); ++i) model.observations[i].active = before[i];
  return false;
}

}  // namespace

std::vector<Suspicion> explain_and_settle(Model& model, const Columns& columns, BlunderSearch& search) {
  std::vector<Suspicion> out;
  for (const auto& group : search.together) out.push_back({group, {}});
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const int number = static_cast<int>(i);
    if (!model.observations[i].active && !in_a_group(search.together, number)) out.push_back({{number}, {}});
  }
  for (Suspicion& s : out) s.slips = explain(model, columns, search.solution, s.observations);
  for (Suspicion& s : out) {
    const int number = s.observations.size() > 1 ? accused(s) : -1;
    if (number < 0 || !leave_out_alone(s, number, model, columns, search.solution)) continue;
    std::erase(search.together, s.observations);
    const auto at = std::find(s.observations.begin(), s.observations.end(), number) - s.observations.begin();
    s = {{number}, {s.slips[static_cast<std::size_t>(at)]}};
  }
  return out;
}

}  // namespace fairhole::survey_detail

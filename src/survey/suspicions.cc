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

/// Marks of the model put back on leaving.
class ActiveMarks {
 public:
  explicit ActiveMarks(Model& model) : model_(model) {
    for (const Observation& o : model.observations) before_.push_back(o.active);
  }
  void put_back() {
    for (std::size_t i = 0; i < before_.size(); ++i) model_.observations[i].active = before_[i];
  }

 private:
  Model& model_;
  std::vector<bool> before_;
};

/// Of the observations under one suspicion leaves out `number` alone. None, and no mark changed, if the net
/// cannot spare it.
std::optional<Solution> leave_out_alone(const Suspicion& s, int number, Model& model, const Columns& columns,
                                        const Eigen::VectorXd& start) {
  ActiveMarks marks(model);
  for (const int i : s.observations) model.observations[static_cast<std::size_t>(i)].active = i != number;
  if (is_determined(model, columns, start)) {
    Solution without = solve(model, columns, start);
    if (without.converged) return without;
  }
  marks.put_back();
  return std::nullopt;
}

/// Explains one suspicion: each of its observations against the adjustment without it.
void explain_one(Suspicion& s, Model& model, const Columns& columns, const Solution& solution) {
  std::vector<Solution> without;
  std::vector<LeftOut> suspects;
  std::vector<std::size_t> at;
  without.reserve(s.observations.size());
  s.slips.assign(s.observations.size(), std::nullopt);
  for (std::size_t k = 0; k < s.observations.size(); ++k) {
    const int number = s.observations[k];
    if (s.observations.size() == 1) {
      suspects.push_back({number, &solution});
    } else {
      ActiveMarks marks(model);
      auto alone = leave_out_alone(s, number, model, columns, solution.state);
      marks.put_back();
      if (!alone) continue;
      without.push_back(std::move(*alone));
      suspects.push_back({number, &without.back()});
    }
    at.push_back(k);
  }
  const auto slips = explain(model, columns, suspects);
  for (std::size_t k = 0; k < at.size(); ++k) s.slips[at[k]] = slips[k];
}

}  // namespace

std::vector<Suspicion> explain_and_settle(Model& model, const Columns& columns, BlunderSearch& search) {
  std::vector<Suspicion> out;
  for (const auto& group : search.together) out.push_back({group, {}});
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const int number = static_cast<int>(i);
    if (!model.observations[i].active && !in_a_group(search.together, number)) out.push_back({{number}, {}});
  }
  for (Suspicion& s : out) explain_one(s, model, columns, search.solution);
  for (Suspicion& s : out) {
    const int number = s.observations.size() > 1 ? accused(s) : -1;
    if (number < 0) continue;
    auto without = leave_out_alone(s, number, model, columns, search.solution.state);
    if (!without) continue;
    search.solution = std::move(*without);
    std::erase(search.together, s.observations);
    const auto at = std::find(s.observations.begin(), s.observations.end(), number) - s.observations.begin();
    s = {{number}, {s.slips[static_cast<std::size_t>(at)]}};
  }
  return out;
}

}  // namespace fairhole::survey_detail

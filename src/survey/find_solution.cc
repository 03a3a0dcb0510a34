// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "find_solution.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace fairhole::survey_detail {
namespace {

constexpr double kSuspiciousVariance = 25.0;  // chi2 per degree of freedom: far beyond what sigmas explain
constexpr unsigned kMostGuesses = 30;
constexpr std::size_t kMostTurns = 40;
constexpr double kMostU2 =
    100.0;  // a reading 10 sigmas off says all it can: one blunder must not choose the site

/// How badly a solution fits, each reading counting up to a limit.
double badness(const Model& model, const Solution& s) {
  if (!s.converged) return INFINITY;
  double sum = 0.0;
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const double u = s.residual[static_cast<Eigen::Index>(i)] / model.observations[i].sigma;
    sum += std::min(u * u, kMostU2);
  }
  return sum;
}

}  // namespace

Solution find_solution(const Model& model, const Columns& columns, const Start& start) {
  Solution best = solve(model, columns, start.state);
  const auto doubtful = [&] {
    return !best.converged || best.chi2 > kSuspiciousVariance * std::max(1, best.dof);
  };
  const auto take_if_better = [&](const Eigen::VectorXd& state) {
    Solution s = solve(model, columns, state);
    if (badness(model, s) >= badness(model, best)) return false;
    best = std::move(s);
    return true;
  };
  for (unsigned attempt = 1; attempt < kMostGuesses && !start.guessed.empty() && doubtful(); ++attempt) {
    take_if_better(construct_start(model, {}, attempt).state);
  }
  std::set<int> other_side;
  for (std::size_t k = 0; k < std::min(start.two_sided.size(), kMostTurns) && doubtful(); ++k) {
    other_side.insert(start.two_sided[k]);
    if (!take_if_better(construct_start(model, other_side).state)) other_side.erase(start.two_sided[k]);
  }
  return best;
}

}  // namespace fairhole::survey_detail

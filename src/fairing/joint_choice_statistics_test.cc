// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>

#include "fairhole/fairing/joint_choice.h"
#include "smooth_descent.h"
#include "support/statistics.h"
#include "test_choices.h"

// Against trying every choice of options and usual sizes, each judged by the largest clean-up circle's bound
// alone, and by smoothed descent as a method that shares nothing with either.
namespace fairhole {
namespace {

using test::cost_of;
using test::least_cost;
using test::seats_problem;

/// Least excess of any disc over its room: best seats found, and proven bound.
LeastWorst excess_of(const ChoiceCase& choice_case, const std::vector<int>& option) {
  const JointCase joint = seats_problem(choice_case, option);
  return least_worst(joint, std::vector<double>(static_cast<std::size_t>(joint.stacks), 2.0 * test::kWideMm));
}

TEST(JointChoiceStatistics, CostAgainstTryingAllOptions) {
  std::mt19937_64 random(11);
  int costly = 0, impossible = 0, roomy = 0, confirmed = 0;
  const int jobs = test::trials(200);
  for (int job = 0; job < jobs; ++job) {
    const ChoiceCase choice_case = test::small_choice(2000 + static_cast<std::uint64_t>(job));
    const ChoiceFound found = cheapest_choice(choice_case);
    ASSERT_TRUE(found.proven) << job << " cost " << found.cost << " bound " << found.bound << " solved "
                              << found.sets_solved;
    if (found.option.empty()) {
      ++impossible;
      EXPECT_EQ(found.bound, kNoLimit);
      EXPECT_FALSE(found.conflict.empty());
    } else {
      EXPECT_NEAR(cost_of(choice_case, found.option, found.usual), found.cost, 1e-9) << job;
      const JointCase own = seats_problem(choice_case, found.option);
      for (const double diameter : clean_up_diameters_mm(own, found.moves))
        EXPECT_LE(diameter, 2.0 * test::kWideMm + kHoldsWithinMm) << job;
      if (found.margin_mm > 0.02 && found.margin_mm < kNoLimit) {
        ++roomy;
        const std::vector<double> limits(static_cast<std::size_t>(own.stacks), test::kWideMm);
        if (test::SmoothDescent(own, limits).run(0.0, random, 20) <= 0.0) ++confirmed;
      }
    }
    std::vector<int> option(choice_case.stacks.size(), 0), sizes;
    for (const StackOptions& stack : choice_case.stacks)
      sizes.push_back(static_cast<int>(stack.options.size()));
    bool any_cheaper = false;
    do {
      if (!(least_cost(choice_case, option) < found.cost - 1e-9)) continue;
      any_cheaper = true;
      const LeastWorst excess = excess_of(choice_case, option);
      EXPECT_GT(excess.value_mm, 1e-6) << "job " << job << ": a cheaper choice holds";
    } while (test::next_of(option, sizes));
    if (any_cheaper) ++costly;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(costly, jobs / 2);  // the question is not idle
  EXPECT_GT(impossible, 0);
  EXPECT_LT(impossible, jobs / 2);
  EXPECT_GE(confirmed, (98 * roomy) / 100);
}

}  // namespace
}  // namespace fairhole

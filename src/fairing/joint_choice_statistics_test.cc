// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "fairhole/fairing/joint_choice.h"
#include "smooth_descent.h"
#include "support/evidence.h"
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

/// Whether some options of these stacks can be had together, by trying all.
bool can_be_had(const ChoiceCase& choice_case, const std::vector<int>& stacks) {
  ChoiceCase own = choice_case;
  own.stacks.clear();
  own.joint.discs.clear();
  own.joint.stacks = static_cast<int>(stacks.size());
  std::vector<int> option(stacks.size(), 0), sizes;
  for (std::size_t k = 0; k < stacks.size(); ++k) {
    own.stacks.push_back(choice_case.stacks[static_cast<std::size_t>(stacks[k])]);
    sizes.push_back(static_cast<int>(own.stacks.back().options.size()));
    for (SeatDisc disc : choice_case.joint.discs) {
      if (disc.stack != stacks[k]) continue;
      disc.stack = static_cast<int>(k);
      own.joint.discs.push_back(disc);
    }
  }
  do {
    if (excess_of(own, option).value_mm <= 1e-6) return true;
  } while (test::next_of(option, sizes));
  return false;
}

TEST(JointChoiceStatistics, AConflictNeedsAllOfItsStacks) {
  int found_some = 0, of_many = 0;
  const int jobs = test::trials(200);
  for (int job = 0; job < jobs; ++job) {
    ChoiceCase choice_case = test::small_choice(7000 + static_cast<std::uint64_t>(job));
    for (StackOptions& stack : choice_case.stacks) {  // tighter, and nothing to fall back on
      std::erase_if(stack.options, [](const StackOption& option) { return option.cost == 12.0; });
      for (StackOption& option : stack.options) {
        for (double& room : option.room_mm) room = room == kNoLimit ? 1.0 : 0.8 * room;
      }
    }
    const ChoiceFound found = cheapest_choice(choice_case);
    if (!found.option.empty() || found.bound < kNoLimit) continue;
    ++found_some;
    of_many += found.conflict.size() > 1 ? 1 : 0;
    ASSERT_FALSE(found.conflict.empty()) << job;
    EXPECT_FALSE(can_be_had(choice_case, found.conflict)) << job;
    for (const int s : found.conflict) {
      std::vector<int> others = found.conflict;
      std::erase(others, s);
      EXPECT_TRUE(others.empty() || can_be_had(choice_case, others)) << job << " without stack " << s;
    }
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(found_some, jobs / 5);
  EXPECT_GT(of_many, jobs / 10);
}

TEST(JointChoiceStatistics, EqualCostsHaveTheSmallestWorstMisfit) {
  int compared = 0, many = 0;
  const int jobs = test::trials(60);
  for (int job = 0; job < jobs; ++job) {
    ChoiceCase choice_case = test::small_choice(9000 + static_cast<std::uint64_t>(job));
    choice_case.odd_cost = 0.0;
    for (StackOptions& stack : choice_case.stacks) {
      for (StackOption& option : stack.options) option.cost = option.cost < 4.0 ? 1.0 : 2.0;
    }
    const ChoiceFound found = cheapest_choice(choice_case);
    if (found.option.empty()) continue;
    std::vector<int> option(choice_case.stacks.size(), 0), sizes;
    for (const StackOptions& stack : choice_case.stacks)
      sizes.push_back(static_cast<int>(stack.options.size()));
    double least = kNoLimit;
    int equal = 0;
    do {
      if (least_cost(choice_case, option) > found.cost + 1e-9) continue;
      // This choice alone: what its own search settles on. No choice of its own to make.
      ChoiceCase alone = choice_case;
      for (std::size_t s = 0; s < option.size(); ++s)
        alone.stacks[s].options = {choice_case.stacks[s].options[static_cast<std::size_t>(option[s])]};
      const ChoiceFound settled = cheapest_choice(alone);
      if (settled.option.empty()) continue;
      ++equal;
      least = std::min(least, settled.worst_misfit_mm);
    } while (test::next_of(option, sizes));
    ++compared;
    many += equal > 1 ? 1 : 0;
    EXPECT_LE(found.worst_misfit_mm, least + 0.006) << job << " of " << equal;  // told to 0.005 mm
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(many, jobs / 3);
}

TEST(JointChoiceStatistics, CostAgainstTryingAllOptions) {
  std::mt19937_64 random(11);
  int costly = 0, impossible = 0, roomy = 0, confirmed = 0, tried = 0, cheaper = 0;
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
      ++tried, cheaper += excess.value_mm > 1e-6 ? 0 : 1;
      EXPECT_GT(excess.value_mm, 1e-6) << "job " << job << ": a cheaper choice holds";
    } while (test::next_of(option, sizes));
    if (any_cheaper) ++costly;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(costly, jobs / 2);  // the question is not idle
  EXPECT_GT(impossible, 0);
  EXPECT_LT(impossible, jobs / 2);
  const char* trial = "fairing: every cheaper choice of treatments tried";
  test::statistics(trial, "a cheaper choice holds")
      .trials(tried, fmt::format("choices of {} cases", jobs), 2000)
      .equal(cheaper, 0);
  test::statistics(trial, "the found choice confirmed by smoothed descent")
      .trials(roomy, "cases with room", 2000)
      .at_least(confirmed, (98 * roomy) / 100);
}

}  // namespace
}  // namespace fairhole

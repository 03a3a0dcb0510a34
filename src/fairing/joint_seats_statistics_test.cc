// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "fairhole/fairing/joint_seats.h"
#include "smooth_descent.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_seats.h"

// Against a second method that shares nothing with the search (smooth_descent.h), over all sets of levels.
namespace fairhole {
namespace {

using test::SmoothDescent;
using test::uniform;

/// Up to three parts, two of them with play, and six stacks at most.
JointCase small_case(std::uint64_t seed) {
  test::CaseMaker maker(seed);
  std::mt19937_64& random = maker.random();
  const int fixed = maker.part({}, {150, 50});
  const double along = uniform(random, 0, 2), turn = uniform(random, 0, 0.6);
  const int a = maker.part(test::even_play(along, 1.5, turn), {140, 60});
  const int b = maker.part(test::even_play(1.0, uniform(random, 0, 2), 0.3), {100, 40});
  const int stacks = 3 + static_cast<int>(random() % 4);
  for (int s = 0; s < stacks; ++s) {
    const Eigen::Vector2d place{uniform(random, 0, 300), uniform(random, 0, 100)};
    const int stack = maker.stack();
    for (const int part : {fixed, a, b}) {
      if (part == a || random() % 3 != 0) maker.hole(part, stack, place, 0.5, uniform(random, 10, 10.6));
    }
  }
  return maker.made();
}

std::vector<double> limits_of(const std::vector<StackLevels>& levels, const std::vector<int>& choice) {
  std::vector<double> out;
  for (std::size_t s = 0; s < choice.size(); ++s) {
    const auto k = static_cast<std::size_t>(choice[s]);
    const auto& limits = levels[s].limit_diameter_mm;
    out.push_back(k < limits.size() ? limits[k] / 2.0 : kNoLimit);
  }
  return out;
}

double cost_of(const std::vector<StackLevels>& levels, const std::vector<int>& choice) {
  double sum = 0.0;
  for (std::size_t s = 0; s < choice.size(); ++s) sum += levels[s].cost[static_cast<std::size_t>(choice[s])];
  return sum;
}

/// Choices cheaper than `cost` that no single step up keeps so: if none of them holds, nothing cheaper does.
std::vector<std::vector<int>> cheaper_choices(const std::vector<StackLevels>& levels, double cost) {
  std::vector<std::vector<int>> out;
  std::vector<int> choice(levels.size(), 0);
  for (;;) {
    const double own = cost_of(levels, choice);
    bool highest = own < cost - 1e-9;
    for (std::size_t s = 0; s < choice.size() && highest; ++s) {
      const auto k = static_cast<std::size_t>(choice[s]);
      if (k + 1 < levels[s].cost.size())
        highest = own + levels[s].cost[k + 1] - levels[s].cost[k] >= cost - 1e-9;
    }
    if (highest) out.push_back(choice);
    std::size_t s = 0;
    while (s < choice.size() && ++choice[s] == static_cast<int>(levels[s].cost.size())) choice[s++] = 0;
    if (s == choice.size()) return out;
  }
}

TEST(JointSeatsStatistics, CostAgainstTryingAllLevels) {
  std::mt19937_64 random(7);
  int tried = 0, cheaper = 0;
  int confirmed = 0, roomy = 0, costly = 0;
  const int jobs = test::trials(200);
  for (int job = 0; job < jobs; ++job) {
    const JointCase joint = small_case(1000 + static_cast<std::uint64_t>(job));
    const auto levels = test::even_levels(joint.stacks, {10.9, 11.4}, {0.0, 2.0, 7.0});
    const LevelChoice found = cheapest_levels(joint, levels);
    ASSERT_TRUE(found.proven) << job;
    EXPECT_NEAR(cost_of(levels, levels_at(joint, levels, found.moves)), found.cost, 1e-9) << job;
    for (const auto& choice : cheaper_choices(levels, found.cost)) {
      SmoothDescent descent(joint, limits_of(levels, choice));
      const bool holds = descent.run(0.0, random, 3) <= 0.0;
      EXPECT_FALSE(holds) << "job " << job << ": a cheaper choice holds";
      ++tried, cheaper += holds ? 1 : 0;
    }
    if (found.cost > 0.0) ++costly;
    if (found.margin_mm > 0.02 && found.margin_mm != kNoLimit) {  // wide enough for the second method to hit
      ++roomy;
      if (SmoothDescent(joint, limits_of(levels, found.level)).run(0.0, random, 20) <= 0.0) ++confirmed;
    }
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(costly, jobs / 2);  // the question is not idle
  const char* trial = "fairing: every cheaper set of sizes tried by smoothed descent";
  test::statistics(trial, "a cheaper set holds")
      .trials(tried, fmt::format("sets of {} cases", jobs), 1000)
      .equal(cheaper, 0);
  // The second method finds what there is, or it would prove nothing.
  test::statistics(trial, "the found seats confirmed by the second method")
      .trials(roomy, "cases with room", 1000)
      .at_least(confirmed, (98 * roomy) / 100);
}

TEST(JointSeatsStatistics, ValueAgainstSmoothDescent) {
  std::mt19937_64 random(8);
  test::Evidence bounds = test::statistics("fairing: least largest circle against smoothed descent",
                                           "bound less what descent finds", "mm");
  test::Evidence values = test::statistics("fairing: least largest circle against smoothed descent",
                                           "value less what descent finds", "mm");
  bounds.trials(test::trials(100), "cases", 5000), values.trials(test::trials(100), "cases", 5000);
  int close = 0;
  const int jobs = test::trials(100);
  for (int job = 0; job < jobs; ++job) {
    const JointCase joint = small_case(5000 + static_cast<std::uint64_t>(job));
    const std::vector<double> none(static_cast<std::size_t>(joint.stacks), 0.0);
    const LeastWorst found = least_worst(joint, none);
    const double other = 2.0 * SmoothDescent(joint, none).run(found.value_mm / 2.0 + 1e-4, random, 10);
    bounds.at_most(found.lower_mm - other, 1e-9);  // else the bound is false
    values.at_most(found.value_mm - other, 1e-6);
    EXPECT_LE(found.value_mm - found.lower_mm, 1e-4) << job;
    if (other < found.value_mm + 0.005) ++close;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GE(close, (95 * jobs) / 100);
}

// Larger cases: nothing to try all of, but what is claimed must be so.
TEST(JointSeatsStatistics, LargerFramesKeepTheirWord) {
  const int jobs = test::trials(12);
  for (int job = 0; job < jobs; ++job) {
    const int stacks = 40 + 40 * (job % 3);
    const JointCase joint = test::frame_case(100 + static_cast<std::uint64_t>(job), stacks, 0.2);
    const auto levels = test::even_levels(stacks, {11.0}, {0.0, 1.0});
    const LevelChoice found = cheapest_levels(joint, levels);
    EXPECT_TRUE(found.proven) << job;
    EXPECT_EQ(cost_of(levels, levels_at(joint, levels, found.moves)), found.cost);
    for (std::size_t p = 0; p < joint.parts.size(); ++p) {
      EXPECT_LE(std::abs(found.moves[p].dx_mm), joint.parts[p].dx_mm.most);
      EXPECT_LE(std::abs(found.moves[p].dy_mm), joint.parts[p].dy_mm.most);
      EXPECT_LE(std::abs(found.moves[p].turn_rad), joint.parts[p].turn_rad.most);
    }
  }
}

}  // namespace
}  // namespace fairhole

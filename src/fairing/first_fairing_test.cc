// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/first_fairing.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <map>

#include "fairhole/fairing/check_plan.h"
#include "search.h"
#include "support/statistics.h"
#include "test_assemblies.h"

namespace fairhole {
namespace {

FairingRules quick_rules() {
  FairingRules rules;
  rules.draws = 1;  // the odds are tested elsewhere
  return rules;
}

Assembly awkward_job(unsigned seed) {
  const double scatter_mm = seed % 2 == 0 ? 1.0 : 0.3;
  return test::JobMaker(seed, {static_cast<int>(3 + seed % 10), scatter_mm, 0.15, 0.1, true}).make();
}

TEST(FirstFairingStatistics, PlansPassTheIndependentCheck) {
  std::map<Method, int> seen;
  for (int seed = 1; seed <= test::trials(3000); ++seed) {
    const Assembly assembly = awkward_job(static_cast<unsigned>(seed));
    FairingRules rules = quick_rules();
    if (seed % 3 == 0) {
      rules.drilling = drilling_errors(DrillingWay::kCnc);
      rules.setting_sigma_mm = 0.05;
    }
    const Plan plan = FirstFairing{rules}(assembly);
    for (const StackPlan& stack : plan.stacks) ++seen[stack.method];
    for (const Problem& problem : check_plan(assembly, plan, rules)) {
      ADD_FAILURE() << "seed " << seed << ": " << describe(problem);
    }
  }
  if (!test::judge_frequencies()) return;
  for (const Method method : {Method::kTransfer, Method::kOpenOut, Method::kClear, Method::kPlug,
                              Method::kDrillToDrawing, Method::kUndecided}) {
    EXPECT_GT(seen[method], 100) << method_name(method);
  }
}

// Every choice of options of a small group, tried one by one: none costs less.
TEST(FirstFairing, CostsLeastOfAllChoices) {
  const FairingRules rules = quick_rules();
  for (unsigned seed = 1; seed <= 60; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly = test::JobMaker(seed, {.stacks = 3}).make();
    const auto locating = choose_locating(assembly, std::vector<bool>(3, true));
    std::vector<std::vector<Option>> options;
    for (const StackCase& entry : stack_cases(assembly, locating, rules))
      options.push_back(options_for(entry, rules));
    const detail::Chosen chosen = detail::choose_options(assembly.stacks, options, rules.costs);
    double least = 1e9;
    for (const Option& a : options[0]) {
      for (const Option& b : options[1]) {
        for (const Option& c : options[2]) {
          if (!a.allowed || !b.allowed || !c.allowed) continue;
          // The usual size is the one that leaves the fewest odd; none need be taken.
          double cheapest = 1e9;
          for (const Option* usual : {&a, &b, &c}) {
            double cost = 0.0;
            for (const Option* each : {&a, &b, &c}) {
              const bool odd = each->counts_as_size && each->finish_mm != usual->finish_mm;
              cost += each->cost + (odd ? rules.costs.odd_size : 0.0);
            }
            cheapest = std::min(cheapest, cost);
          }
          least = std::min(least, cheapest);
        }
      }
    }
    constexpr double kRounding = 1e-9;
    EXPECT_NEAR(chosen.cost[0] + chosen.cost[1] + chosen.cost[2], least, kRounding);
  }
}

TEST(FirstFairing, SaysTheSameFromAnotherDatum) {
  constexpr double kPlaceMm = 1e-5;  // golden section over a plate, and growth bisected to 1e-6 mm
  constexpr double kCostRatio = 1e-9;
  for (unsigned seed = 1; seed <= 100; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly = awkward_job(seed);
    const Motion motion{{310.0, -72.0}, Angle::degrees(31.0), false};
    const Plan here = FirstFairing{quick_rules()}(assembly);
    const Plan there = FirstFairing{quick_rules()}(test::moved(assembly, motion));
    EXPECT_NEAR(there.cost, here.cost, kCostRatio * here.cost);
    for (std::size_t i = 0; i < here.stacks.size(); ++i) {
      EXPECT_EQ(there.stacks[i].method, here.stacks[i].method);
      EXPECT_LT((there.stacks[i].centre_mm - motion * here.stacks[i].centre_mm).norm(), kPlaceMm);
    }
  }
}

TEST(FirstFairing, TwiceTheSameJobGivesTheSameDigits) {
  const Assembly assembly = awkward_job(7);
  FairingRules rules;
  rules.draws = 500;
  const FirstFairing fairing{rules};
  const Plan a = fairing(assembly);
  const Plan b = fairing(assembly);
  EXPECT_EQ(a.odds, b.odds);
  EXPECT_EQ(a.cost, b.cost);
  for (std::size_t i = 0; i < a.stacks.size(); ++i) EXPECT_EQ(a.stacks[i].centre_mm, b.stacks[i].centre_mm);
}

TEST(FirstFairing, FarthestSoundHolesLocateThePart) {
  Assembly assembly = test::JobMaker(3, {.stacks = 5, .scatter_mm = 0.0}).make();
  for (Stack& stack : assembly.stacks) {
    stack.layers = {test::old_hole("near", stack.nominal_mm.x(), stack.nominal_mm.y(), 24.0)};
  }
  assembly.stacks[4].layers[0].form = HoleForm::kTorn;
  const Plan plan = FirstFairing{quick_rules()}(assembly);
  EXPECT_EQ(plan.seats[0].locating_a, "S1");
  EXPECT_EQ(plan.seats[0].locating_b, "S4");
  EXPECT_TRUE(plan.seats[1].locating_a.empty());
}

// A square's diagonals are equally long: the first by id is taken, in whatever order the job lists the holes.
TEST(ChooseLocating, TiesGoById) {
  const Eigen::Vector2d corners[] = {{0.0, 0.0}, {100.0, 0.0}, {100.0, 100.0}, {0.0, 100.0}};
  std::vector<int> order{1, 2, 3, 4};
  do {
    Assembly assembly;
    SeatedFace seat;
    seat.joint = "near-joint";
    assembly.seats = {seat};
    for (const int k : order) {
      const Eigen::Vector2d& at = corners[k - 1];
      Stack stack = test::stack_of(test::fitted_bolt(), {test::old_hole("near", at.x(), at.y(), 22.0)});
      stack.id = "S" + std::to_string(k);
      assembly.stacks.push_back(stack);
    }
    const LocatingPair pair = choose_locating(assembly, std::vector<bool>(4, true)).front();
    EXPECT_EQ(pair.stack_a, "S1");
    EXPECT_EQ(pair.stack_b, "S3");
    EXPECT_EQ(pair.b_mm, corners[2]);
  } while (std::next_permutation(order.begin(), order.end()));
}

TEST(FirstFairing, NothingToPayIsProven) {
  Assembly assembly = test::JobMaker(3, {.stacks = 4, .scatter_mm = 0.0}).make();
  for (Stack& stack : assembly.stacks) {
    stack.fastener = test::fitted_bolt();
    stack.layers = {test::old_hole("near", stack.nominal_mm.x(), stack.nominal_mm.y(), 22.0)};
  }
  EXPECT_TRUE(FirstFairing{quick_rules()}(assembly).proven);
  assembly.stacks[0].layers[0].ovality_mm = 1.0;
  const Plan plan = FirstFairing{quick_rules()}(assembly);
  EXPECT_FALSE(plan.proven);
  EXPECT_EQ(plan.bound, 0.0);
}

TEST(FirstFairing, NeighboursTooNearAreWarnedOfAndCaught) {
  Assembly assembly = test::JobMaker(3, {.stacks = 2, .scatter_mm = 0.0}).make();
  for (Stack& stack : assembly.stacks) {
    stack.fastener = test::fitted_bolt();
    stack.layers.clear();
  }
  assembly.stacks[1].nominal_mm = assembly.stacks[0].nominal_mm + Eigen::Vector2d(50.0, 0.0);
  const Plan plan = FirstFairing{quick_rules()}(assembly);
  // 2.4 x 22 = 52.8 mm; but the drawing has them so, and the plan cannot be blamed for it.
  EXPECT_THAT(plan.warnings, testing::Contains(testing::AllOf(
                                 testing::HasSubstr("S1 and S2 on plate left stand 50.0 mm apart"),
                                 testing::HasSubstr("The drawing itself has them so near."))));
  EXPECT_TRUE(check_plan(assembly, plan, quick_rules()).empty());
  assembly.stacks[1].nominal_mm += Eigen::Vector2d(10.0, 0.0);
  const Problems problems = check_plan(assembly, plan, quick_rules());
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(problems[0].code, codes::kPlanPitch);
}

TEST(CheckPlan, CatchesEachKindOfFault) {
  const FairingRules rules = quick_rules();
  int moved = 0, undersized = 0;
  for (unsigned seed = 1; seed <= 50; ++seed) {
    const Assembly assembly = test::JobMaker(seed, {.stacks = 6}).make();
    const Plan good = FirstFairing{rules}(assembly);
    for (std::size_t i = 0; i < good.stacks.size(); ++i) {
      if (good.stacks[i].method == Method::kOpenOut) {
        Plan bad = good;
        for (const double side : {-1.0, 1.0}) {  // one of two opposite ways leaves the zone for sure
          bad.stacks[i].centre_mm = good.stacks[i].centre_mm + Eigen::Vector2d(side * 3.0, 0.0);
          moved += check_plan(assembly, bad, rules).empty() ? 0 : 1;
        }
        Plan small = good;
        for (LayerPlan& layer : small.stacks[i].layers)
          layer.finish_diameter_mm = good.stacks[i].least_diameter_mm - 0.01;
        EXPECT_FALSE(check_plan(assembly, small, rules).empty());
        ++undersized;
      }
    }
    Plan short_plan = good;
    short_plan.stacks.pop_back();
    EXPECT_EQ(check_plan(assembly, short_plan, rules).at(0).code, codes::kPlanStackMissing);
  }
  EXPECT_GT(undersized, 20);
  EXPECT_GE(moved, undersized);
}

}  // namespace
}  // namespace fairhole

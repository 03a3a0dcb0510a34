// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Thousands of random jobs with seats that move: every plan passes the check that knows no search, its cost
// is what it does, its bound is none but true.
#include <fmt/core.h>
#include <gmock/gmock.h>

#include <map>

#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/joint_fairing.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_joint_jobs.h"

namespace fairhole {
namespace {

constexpr double kCostRatio = 1e-9;

double slack_of(double cost) { return kCostRatio * (1.0 + cost); }

FairingRules any_rules(int seed) {
  FairingRules rules;
  rules.draws = 1;  // the odds are tested elsewhere
  if (seed % 3 != 0) {
    rules.drilling = drilling_errors(DrillingWay::kCnc);
    rules.setting_sigma_mm = 0.05;
  }
  return rules;
}

/// What the sequential way pays at the seats that registration asks for, where the movers allow them and the
/// plan keeps every rule, its pitches included.
std::optional<double> sequential_cost(const Assembly& assembly, const FairingRules& rules,
                                      const Plan& joint) {
  const std::vector<SeatMove> moves = moves_to_seats(assembly);
  constexpr double kSameMm = 1e-6;
  for (std::size_t i = 0; i < assembly.seats.size(); ++i) {
    const Motion& at = seat_at(assembly, i, moves).motion;
    const Motion& asked = assembly.seats[i].seat.motion;
    if ((at.shift_mm - asked.shift_mm).norm() > kSameMm) return std::nullopt;
    if (std::abs((at.turn - asked.turn).radians()) > kSameMm / 1000.0) return std::nullopt;
  }
  const Plan plan = FirstFairing{rules}(assembly);
  // Other locating holes are another doubt of all holes: no comparison.
  for (std::size_t i = 0; i < plan.seats.size(); ++i) {
    if (plan.seats[i].locating_a != joint.seats[i].locating_a) return std::nullopt;
    if (plan.seats[i].locating_b != joint.seats[i].locating_b) return std::nullopt;
  }
  if (!check_plan(assembly, plan, rules).empty()) return std::nullopt;
  return plan.cost;
}

TEST(JointFairingStatistics, EveryPlanIsSafeAndItsFiguresAreTrue) {
  std::map<Method, int> seen;
  int proven = 0, compared = 0, cheaper = 0, moved = 0, failures = 0;
  // 10,000 with FAIRHOLE_STATISTICS_SHARE=10, as docs/fairing.md tells of them.
  const int jobs = test::trials(1000);
  for (int seed = 1; seed <= jobs && failures < 20; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly = test::JointJobMaker(static_cast<unsigned>(seed), {}).make();
    const FairingRules rules = any_rules(seed);
    const auto [seated, plan] = JointFairing{rules}(assembly);
    for (const Problem& problem : check_plan(assembly, plan, rules)) {
      ADD_FAILURE() << describe(problem);
      ++failures;
    }
    const auto expect = [&failures](bool good, const std::string& what) {
      failures += good ? 0 : 1;
      EXPECT_TRUE(good) << what;
    };
    expect(plan.bound <= plan.cost + slack_of(plan.cost),
           fmt::format("bound {} cost {}", plan.bound, plan.cost));
    expect(!plan.proven || plan.bound >= plan.cost - slack_of(plan.cost),
           fmt::format("proven at {} of {}", plan.bound, plan.cost));
    const test::Recount recount(assembly, plan, rules.costs);
    expect(std::abs(recount.cost - plan.cost) <= slack_of(plan.cost),
           fmt::format("counted {} told {}", recount.cost, plan.cost));
    if (const auto sequential = sequential_cost(assembly, rules, plan)) {
      expect(plan.cost <= *sequential + slack_of(*sequential),
             fmt::format("joint {} sequential {}", plan.cost, *sequential));
      ++compared;
      cheaper += plan.cost < *sequential - slack_of(*sequential) ? 1 : 0;
    }
    proven += plan.proven ? 1 : 0;
    for (const StackPlan& stack : plan.stacks) ++seen[stack.method];
    for (const SeatPlan& seat : plan.seats) moved += std::hypot(seat.along_mm, seat.across_mm) > 0.01 ? 1 : 0;
  }
  fmt::print("{} jobs, {} proven; {} compared with the sequential way, {} cheaper; {} seats moved\n", jobs,
             proven, compared, cheaper, moved);
  if (!test::judge_frequencies()) return;
  for (const Method method :
       {Method::kTransfer, Method::kOpenOut, Method::kClear, Method::kBush, Method::kPlug,
        Method::kDrillToDrawing, Method::kUndecided, Method::kLeaveOut}) {
    EXPECT_GT(seen[method], jobs / 100) << method_name(method);
  }
  const char* trial = "fairing: random jobs, seats and treatments together";
  test::statistics(trial, "faults that a checker without a solver finds")
      .trials(jobs, "jobs", 1)
      .equal(failures, 0);
  test::statistics(trial, "plans proven cheapest")
      .trials(jobs, "jobs", 1)
      .at_least(static_cast<double>(proven) / jobs, 0.9);
  EXPECT_GT(compared, jobs / 10);
  EXPECT_GT(cheaper, compared / 20);
}

}  // namespace
}  // namespace fairhole

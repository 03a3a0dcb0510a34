// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Odds against a second, independent simulation of the shop floor (brute_force.h), and against simulated
// truth.
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <array>
#include <numbers>

#include "brute_force.h"
#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/joint_fairing.h"
#include "fairhole/fairing/odds.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_assemblies.h"
#include "test_joint_jobs.h"

namespace fairhole {
namespace {

// With some hundred comparisons, the largest of as many normal deviates stays below this in 99 of 100 series.
constexpr double kManySigmas = 4.2;

/// The plan's odds against as many runs of the shop; `assembly` has its parts at the plan's seats.
void expect_shop_floor(const Assembly& assembly, const Plan& plan, const FairingRules& rules, unsigned seed) {
  test::ShopFloor floor(assembly, rules, seed);
  const int runs = test::trials(10000);
  std::vector<int> good(plan.stacks.size(), 0);
  int all_good = 0;
  for (int run = 0; run < runs; ++run) {
    const std::vector<bool> built = floor.build(plan, floor.survey_errors());
    bool all = true;
    for (std::size_t i = 0; i < built.size(); ++i) {
      const bool counts = plan.stacks[i].method != Method::kUndecided;
      good[i] += built[i] ? 1 : 0;
      all = all && (built[i] || !counts);
    }
    all_good += all ? 1 : 0;
  }
  if (!test::judge_frequencies()) return;
  test::Evidence same = test::statistics("odds: a plan against a second, independent shop floor",
                                         "claimed less seen, in sigmas, every stack and job");
  same.trials(runs, "shops each", seed);
  const auto expect_same = [runs, &rules, &same](double claimed, int count) {
    const double seen = static_cast<double>(count) / runs;
    const double p = std::clamp((claimed + seen) / 2.0, 1e-3, 1.0 - 1e-3);
    const double sigma = std::sqrt(p * (1.0 - p) * (1.0 / runs + 1.0 / rules.draws));
    same.near((claimed - seen) / sigma, 0.0, kManySigmas);
  };
  for (std::size_t i = 0; i < good.size(); ++i) {
    SCOPED_TRACE(plan.stacks[i].id + " " + method_name(plan.stacks[i].method));
    if (plan.stacks[i].method != Method::kUndecided) expect_same(plan.stacks[i].odds, good[i]);
  }
  expect_same(plan.odds, all_good);
}

/// Two faces of one body, each with one hole that is hung on itself.
Assembly two_faces(bool one_body) {
  Assembly assembly;
  for (const char* name : {"left", "right"}) {
    SeatedFace seat;
    seat.part = "angle", seat.face = seat.joint = seat.plate = name;
    assembly.seats.push_back(seat);
    OldLayer layer;
    layer.joint = name;
    layer.diameter_mm = 20.0;
    Stack stack;
    stack.id = stack.plate = name;
    stack.layers = {layer};
    assembly.stacks.push_back(stack);
  }
  if (!one_body) return assembly;
  Mover mover;  // along the heel, which the right plate has in its y, the other way round
  mover.play.dx_mm = {-2.0, 2.0};
  mover.followers.resize(2);
  mover.followers[1].seat = 1;
  mover.followers[1].plate_from_mover << 0.0, 1.0, -1.0, 0.0;
  assembly.movers = {mover};
  return assembly;
}

// Both circles must take in a hole that is off by s each axis. Along the heel the two are off as one:
// closed form by quadrature over that error, else the product of the two.
TEST(OddsStatistics, FacesOfOneBodyGoWrongTogether) {
  constexpr double kSigmaMm = 0.25, kRoomMm = 0.4;
  FairingRules rules;
  rules.drilling = {0.0, 0.0, 0.0};
  rules.setting_sigma_mm = kSigmaMm;
  rules.draws = test::trials(100000);
  StackEvent event;
  event.layers.resize(1);
  event.layers[0].role = Role::kEnclosed;
  event.layers[0].radius_mm = 10.0;
  event.layers[0].opened_mm = 2.0 * (10.0 + kRoomMm);
  const Eigen::Vector2d origin = Eigen::Vector2d::Zero();
  const std::vector<LocatingPair> locating{{"left", "left", "", origin, origin},
                                           {"right", "right", "", origin, origin}};
  double together = 0.0;
  constexpr int kSteps = 4000;
  for (int i = 0; i < kSteps; ++i) {
    const double x = kRoomMm * (2.0 * (i + 0.5) / kSteps - 1.0);
    const double across = std::erf(std::sqrt(kRoomMm * kRoomMm - x * x) / kSigmaMm / std::sqrt(2.0));
    together += 2.0 * kRoomMm / kSteps * std::exp(-x * x / (2.0 * kSigmaMm * kSigmaMm)) /
                (kSigmaMm * std::sqrt(2.0 * std::numbers::pi)) * across * across;
  }
  const double alone = 1.0 - std::exp(-kRoomMm * kRoomMm / (2.0 * kSigmaMm * kSigmaMm));
  for (const bool one_body : {false, true}) {
    const Odds odds = monte_carlo_odds(two_faces(one_body), {&event, &event}, locating, rules);
    if (!test::judge_frequencies()) continue;
    const double wanted = one_body ? together : alone * alone;
    test::statistics("odds: two faces of one body, by quadrature", "claimed less wanted, in sigmas")
        .trials(rules.draws, "draws", rules.seed)
        .near((odds.job - wanted) / odds.job_sigma, 0.0, kManySigmas);
    for (const double stack : odds.stack)
      EXPECT_NEAR(stack, alone, kManySigmas * std::sqrt(alone * (1.0 - alone) / rules.draws)) << one_body;
  }
  EXPECT_GT(together, alone * alone + 0.02);  // the question is not idle
}

TEST(OddsStatistics, MonteCarloAgreesWithTheShopFloor) {
  FairingRules rules;
  rules.confidence = 0.7;  // sizes that hold less surely: odds between the ends tell more
  rules.draws = 10000;
  for (unsigned seed = 1; seed <= 5; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly = test::JobMaker(seed, {.stacks = 16}).make();
    expect_shop_floor(assembly, FirstFairing{rules}(assembly), rules, seed + 1000);
  }
}

// Seats found together with the decisions lie where holes only just reach their rims: there the odds must be
// as true, and no bound above them.
TEST(OddsStatistics, PartsThatWereMovedHangOnTheirLocatingHoles) {
  FairingRules rules;
  rules.confidence = 0.7;
  rules.draws = 10000;
  int moved = 0;
  const auto jobs = static_cast<unsigned>(test::trials(12));
  for (unsigned seed = 1; seed <= jobs; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly =
        test::JointJobMaker(seed, {.least_stacks = 8, .most_stacks = 14, .awkward = false}).make();
    const auto [seated, plan] = JointFairing{rules}(assembly);
    expect_shop_floor(seated, plan, rules, seed + 2000);
    for (const SeatPlan& seat : plan.seats) moved += std::hypot(seat.along_mm, seat.across_mm) > 0.1 ? 1 : 0;
    double none = 1.0;
    for (const StackPlan& stack : plan.stacks) {
      if (stack.method == Method::kUndecided) continue;
      const double p = std::clamp(stack.odds, 1e-3, 1.0 - 1e-3);
      EXPECT_GE(stack.odds, stack.odds_lower_bound - 3.0 * std::sqrt(p * (1.0 - p) / rules.draws))
          << stack.id;
      none -= 1.0 - stack.odds_lower_bound;
    }
    EXPECT_GE(plan.odds, none - 3.0 * plan.odds_sigma - 1.0 / rules.draws);
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(moved, 12);
}

// Slips that may hide in the readings: each moves a hole or two, rare ones and likely ones, one way more
// than the other. The holes that parts hang on are among them.
TEST(OddsStatistics, HiddenSlipsAreAmongTheOdds) {
  FairingRules rules;
  rules.confidence = 0.7;
  rules.draws = 10000;
  const auto jobs = static_cast<unsigned>(test::trials(4));
  for (unsigned seed = 1; seed <= jobs; ++seed) {
    SCOPED_TRACE(seed);
    Assembly assembly = test::JobMaker(seed, {.stacks = 12}).make();
    const Eigen::Index rows = assembly.covariance_mm2.rows();
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    for (Eigen::Index k = 0; k < rows; k += 2) {
      AssemblySlip slip{0, Eigen::VectorXd::Zero(rows), {}};
      slip.per_mm[k + (k / 2) % 2] = 1.0;
      slip.per_mm[(k + 4) % rows] = -0.4;
      const double likely = k % 6 == 0 ? 0.2 : 0.01;
      slip.sizes = {{0.6 + uniform(random), 0.7 * likely}, {-3.0, 0.3 * likely}};
      assembly.slips.push_back(std::move(slip));
    }
    const Plan plan = FirstFairing{rules}(assembly);
    expect_shop_floor(assembly, plan, rules, seed + 3000);
    for (const StackPlan& stack : plan.stacks) {
      if (stack.method == Method::kUndecided) continue;
      const double p = std::clamp(stack.odds, 1e-3, 1.0 - 1e-3);
      EXPECT_GE(stack.odds, stack.odds_lower_bound - kManySigmas * std::sqrt(p * (1.0 - p) / rules.draws))
          << stack.id;
    }
    assembly.slips.clear();
    EXPECT_GT(FirstFairing{rules}(assembly).odds, plan.odds + 0.1);  // the question is not idle
  }
}

TEST(OddsStatistics, NeverBelowTheAnalyticBound) {
  FairingRules rules;
  rules.confidence = 0.6;
  rules.draws = 4000;
  test::Evidence above = test::statistics("odds: Monte Carlo against the analytic bound",
                                          "odds less bound, in sigmas, least of all stacks");
  above.trials(test::trials(40), "jobs", 1);
  int compared = 0;
  double gap = 0.0;
  for (int seed = 1; seed <= test::trials(40); ++seed) {
    const Assembly assembly =
        test::JobMaker(static_cast<unsigned>(seed), {.stacks = 12, .awkward_forms = true}).make();
    const Plan plan = FirstFairing{rules}(assembly);
    for (const StackPlan& stack : plan.stacks) {
      if (stack.method == Method::kUndecided) continue;
      const double p = std::clamp(stack.odds, 1e-3, 1.0 - 1e-3);
      const double error = std::sqrt(p * (1.0 - p) / rules.draws);
      SCOPED_TRACE(fmt::format("seed {} {} {}", seed, stack.id, method_name(stack.method)));
      above.at_least((stack.odds - stack.odds_lower_bound) / error, -kManySigmas);
      gap += stack.odds - stack.odds_lower_bound;
      ++compared;
    }
  }
  ASSERT_GT(compared, 0);
  fmt::print("mean gap between odds and bound {:.4f} over {} stacks\n", gap / compared, compared);
}

// Truth is drawn about what was measured, as it is where nothing is known beforehand; each job is planned
// from the measurement and built once. In every bin of the claimed odds the share that goes together is what
// was claimed.
TEST(OddsStatistics, ClaimedOddsComeTrue) {
  struct Bin {
    double claimed = 0.0;
    int good = 0, count = 0;
  };
  std::array<Bin, 10> bins{};
  double job_claimed = 0.0;
  int job_good = 0;
  FairingRules rules;
  rules.confidence = 0.2;  // gambles, so that all odds are claimed
  rules.draws = 400;
  const int jobs = test::trials(2000);
  for (int job = 0; job < jobs; ++job) {
    const auto seed = static_cast<unsigned>(5000 + job);
    const Assembly assembly = test::JobMaker(seed, {.stacks = 6}).make();
    const Plan plan = FirstFairing{rules}(assembly);
    test::ShopFloor floor(assembly, rules, seed + 100000);
    const std::vector<bool> built = floor.build(plan, floor.survey_errors());
    bool all = true;
    for (std::size_t i = 0; i < built.size(); ++i) {
      const StackPlan& stack = plan.stacks[i];
      if (stack.method == Method::kUndecided) continue;
      Bin& bin = bins[static_cast<std::size_t>(std::min(9.0, stack.odds * 10.0))];
      bin.claimed += stack.odds, bin.good += built[i] ? 1 : 0, ++bin.count;
      all = all && built[i];
    }
    job_claimed += plan.odds, job_good += all ? 1 : 0;
  }
  if (!test::judge_frequencies()) return;
  constexpr double kThreePoints = 0.03;
  for (const Bin& bin : bins) {
    if (bin.count == 0) continue;
    const double claimed = bin.claimed / bin.count, seen = static_cast<double>(bin.good) / bin.count;
    test::record_calibration("odds: a stack goes together as planned", claimed, seen, bin.count);
    if (bin.count < 1000) continue;
    test::statistics("odds: jobs planned and built once, claims of all sizes",
                     "came true less claimed, every tenth with 1,000 stacks")
        .trials(jobs, "jobs", 5000)
        .near(seen - claimed, 0.0, kThreePoints);
  }
  test::statistics("odds: jobs planned and built once, claims of all sizes",
                   "whole jobs: came true less claimed")
      .trials(jobs, "jobs", 5000)
      .near((job_good - job_claimed) / jobs, 0.0, kThreePoints);
}

}  // namespace
}  // namespace fairhole

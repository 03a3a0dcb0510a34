// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/joint_fairing.h"

#include <fmt/core.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "decided.h"
#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/first_fairing.h"
#include "test_joint_jobs.h"

namespace fairhole {
namespace {

constexpr double kCostRatio = 1e-9;

FairingRules quick_rules() {
  FairingRules rules;
  rules.draws = 1;  // the odds are tested elsewhere
  rules.drilling = drilling_errors(DrillingWay::kCnc);
  rules.setting_sigma_mm = 0.0;  // the doubt of a hole does not hang on which holes locate its part
  return rules;
}

std::vector<SeatMove> any_moves(const Assembly& assembly, std::mt19937_64& random) {
  const auto any = [&random](const SeatRange& r) {
    const double at = std::uniform_real_distribution<double>()(random);
    const bool end = std::bernoulli_distribution(0.2)(random);
    return end ? (at < 0.5 ? r.least : r.most) : r.least + at * (r.most - r.least);
  };
  std::vector<SeatMove> moves;
  for (const Mover& mover : assembly.movers)
    moves.push_back({any(mover.play.dx_mm), any(mover.play.dy_mm), any(mover.play.turn_rad)});
  return moves;
}

bool seats_within_play(const Assembly& seated) {
  return std::all_of(seated.seats.begin(), seated.seats.end(), [](const SeatedFace& seat) {
    const Eigen::Vector2d shift = seat.seat.motion.shift_mm - seat.nominal.motion.shift_mm;
    const double turn =
        std::remainder((seat.seat.motion.turn - seat.nominal.motion.turn).radians(), 2.0 * std::numbers::pi);
    const Play& play = seat.play;
    return shift.x() >= play.along_min_mm && shift.x() <= play.along_max_mm &&
           shift.y() >= play.across_min_mm && shift.y() <= play.across_max_mm &&
           turn >= play.turn_min.radians() && turn <= play.turn_max.radians();
  });
}

// Seats tried by the thousand, each with its own cheapest decisions: none costs less than what is proven.
TEST(JointFairing, NoSeatsTriedCostLess) {
  int proven = 0, beaten = 0, met = 0;
  for (unsigned seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE(seed);
    const Assembly assembly =
        test::JointJobMaker(seed,
                            {.most_parts = 2, .least_stacks = 2, .most_stacks = 4, .awkward = seed % 2 == 0})
            .make();
    const FairingRules rules = quick_rules();
    const auto [seated, plan] = JointFairing{rules}(assembly);
    const auto locating = choose_locating(assembly, detail::sound_holes(assembly));
    std::mt19937_64 random(seed);
    double least = 1e9;
    for (int k = 0; k < 600; ++k) {
      const Assembly tried = with_seats(assembly, any_moves(assembly, random));
      if (!seats_within_play(tried)) continue;
      least = std::min(least, detail::decide(tried, stack_cases(tried, locating, rules), rules).cost());
    }
    const double slack = kCostRatio * (1.0 + least);
    EXPECT_LE(plan.bound, least + slack);
    if (plan.proven) {
      EXPECT_LE(plan.cost, least + slack);
    }
    proven += plan.proven ? 1 : 0;
    if (plan.cost > least + slack) {
      ++beaten;
      fmt::print("seed {}: cost {}, bound {}, not proven; {} was met by trying\n", seed, plan.cost,
                 plan.bound, least);
    }
    met += std::abs(plan.cost - least) <= slack ? 1 : 0;
  }
  fmt::print("200 jobs, {} proven; tries found the same cost in {}, less in {}\n", proven, met, beaten);
  EXPECT_GT(proven, 150);
  EXPECT_GT(met, 100);  // the tries are no idle ones
  EXPECT_EQ(beaten, 0);
}

// One part may only slide, all others stay: the cheapest choice changes only where a hole just reaches a rim,
// so steps of 0.01 mm meet the least cost wherever it holds on more than that.
TEST(JointFairing, OneSlideTriedFromEndToEndCostsNoLess) {
  constexpr double kStepMm = 0.01;
  int equal = 0, jobs = 0, steps_count = 0;
  for (unsigned seed = 1; seed <= 150; ++seed) {
    SCOPED_TRACE(seed);
    Assembly assembly =
        test::JointJobMaker(seed, {.least_stacks = 3, .most_stacks = 5, .awkward = false}).make();
    for (SeatedFace& seat : assembly.seats) {
      const bool slides = &seat == &assembly.seats.front();
      seat.play = Play{};
      if (slides) seat.play.along_min_mm = -2.0, seat.play.along_max_mm = 2.0;
      seat.seat = seat.nominal;
    }
    assembly.movers = own_movers(assembly.seats);
    const FairingRules rules = quick_rules();
    const auto [seated, plan] = JointFairing{rules}(assembly);
    const auto locating = choose_locating(assembly, detail::sound_holes(assembly));
    double least = 1e9, dearest = 0.0;
    for (double at = -2.0; at <= 2.0; at += kStepMm) {
      std::vector<SeatMove> moves = no_moves(assembly);
      moves.front().dx_mm = at;
      const Assembly tried = with_seats(assembly, moves);
      const double cost = detail::decide(tried, stack_cases(tried, locating, rules), rules).cost();
      least = std::min(least, cost), dearest = std::max(dearest, cost);
    }
    EXPECT_LE(plan.cost, least + kCostRatio * (1.0 + least));
    steps_count += dearest > least ? 1 : 0;
    ++jobs;
    equal += plan.cost >= least - kCostRatio * (1.0 + least) ? 1 : 0;
  }
  fmt::print("{} of {} slides meet the least cost found step by step; in {} it hangs on the slide\n", equal,
             jobs, steps_count);
  EXPECT_GT(steps_count, 50);
  EXPECT_GE(equal, jobs - jobs / 20);
}

// --- The same job told another way. ---

/// `turn` carries the axes into each other (quarter turns, reflections): the play stays a box.
Assembly told_from(Assembly assembly, const Eigen::Matrix2d& turn, const Eigen::Vector2d& shift) {
  const bool mirrors = turn.determinant() < 0.0;
  const auto place = [&](const Eigen::Vector2d& p) { return Eigen::Vector2d(turn * p + shift); };
  const auto angle = [&](Angle a) {
    const Eigen::Vector2d v = turn * Eigen::Vector2d(std::cos(a.radians()), std::sin(a.radians()));
    return Angle::radians(std::atan2(v.y(), v.x()));
  };
  const auto told = [&](Motion& m) {
    m.shift_mm = place(m.shift_mm), m.turn = angle(m.turn), m.mirrored = m.mirrored != mirrors;
  };
  const auto outline = [&](std::vector<Eigen::Vector2d>& points) {
    for (Eigen::Vector2d& p : points) p = place(p);
    if (mirrors) std::reverse(points.begin(), points.end());
  };
  for (PlateShape& plate : assembly.plates) {
    outline(plate.outline_mm);
    for (KeepOut& zone : plate.keep_outs) outline(zone.outline_mm);
  }
  for (SeatedFace& seat : assembly.seats) {
    told(seat.nominal.motion);
    told(seat.seat.motion);
    Play& play = seat.play;
    const Eigen::Vector2d a = turn * Eigen::Vector2d(play.along_min_mm, play.across_min_mm);
    const Eigen::Vector2d b = turn * Eigen::Vector2d(play.along_max_mm, play.across_max_mm);
    play.along_min_mm = std::min(a.x(), b.x()), play.along_max_mm = std::max(a.x(), b.x());
    play.across_min_mm = std::min(a.y(), b.y()), play.across_max_mm = std::max(a.y(), b.y());
    if (mirrors) {
      const Angle least = play.turn_min;
      play.turn_min = Angle::radians(-play.turn_max.radians()),
      play.turn_max = Angle::radians(-least.radians());
    }
  }
  for (Mover& mover : assembly.movers) {
    for (Mover::Follower& follower : mover.followers) {
      follower.plate_from_mover = turn * follower.plate_from_mover;
      follower.pivot_mm = place(follower.pivot_mm);
    }
  }
  for (Stack& stack : assembly.stacks) {
    stack.nominal_mm = place(stack.nominal_mm);
    for (OldLayer& layer : stack.layers) {
      layer.centre_mm = place(layer.centre_mm);
      layer.ovality_axis_rad = angle(Angle::radians(layer.ovality_axis_rad)).radians();
      for (OldLayer::Bound& bound : layer.bounds) {
        bound.normal = turn * bound.normal;
        bound.offset_mm += bound.normal.dot(shift);
      }
    }
  }
  return assembly;  // the covariance is round
}

Assembly renamed(Assembly assembly) {
  const auto other = [](std::string& name) {
    if (!name.empty()) name = std::string(1, static_cast<char>('z' - name.back() % 20)) + name + "'";
  };
  for (PlateShape& plate : assembly.plates) other(plate.name);
  for (SeatedFace& seat : assembly.seats)
    other(seat.part), other(seat.face), other(seat.joint), other(seat.plate);
  for (Mover& mover : assembly.movers) other(mover.name);
  for (Stack& stack : assembly.stacks) {
    other(stack.id), other(stack.plate), other(stack.group), other(stack.fastener.name);
    for (OldLayer& layer : stack.layers)
      other(layer.part), other(layer.face), other(layer.joint), other(layer.hole);
  }
  return assembly;
}

/// Everything in the reverse order; stack i of the one is the last but i of the other.
Assembly reordered(Assembly assembly) {
  std::reverse(assembly.plates.begin(), assembly.plates.end());
  std::reverse(assembly.seats.begin(), assembly.seats.end());
  std::reverse(assembly.movers.begin(), assembly.movers.end());
  std::reverse(assembly.stacks.begin(), assembly.stacks.end());
  for (Mover& mover : assembly.movers) {
    for (Mover::Follower& follower : mover.followers)
      follower.seat = assembly.seats.size() - 1 - follower.seat;
  }
  for (Stack& stack : assembly.stacks) std::reverse(stack.layers.begin(), stack.layers.end());
  return assembly;
}

struct Telling {
  const char* name;
  Assembly (*tell)(Assembly);
  bool backwards = false;
};

const Telling kTellings[] = {
    {"renamed", renamed},
    {"reordered", reordered, true},
    {"datum moved",
     [](Assembly a) {
       return told_from(std::move(a), Eigen::Matrix2d::Identity(), {517.0, -83.5});
     }},
    {"datum turned",
     [](Assembly a) {
       return told_from(std::move(a), rotation(Angle::degrees(90.0)), {12.0, 40.0});
     }},
    {"left for right",
     [](Assembly a) {
       return told_from(std::move(a), Eigen::Vector2d(1.0, -1.0).asDiagonal(), {0.0, 300.0});
     }},
};

TEST(JointFairing, TheSameJobToldAnotherWayIsPlannedTheSame) {
  std::map<std::string, int> other_plan;
  constexpr int kJobs = 120;
  for (unsigned seed = 1; seed <= kJobs; ++seed) {
    const Assembly assembly = test::JointJobMaker(seed, {}).make();
    const FairingRules rules = quick_rules();
    const Plan here = JointFairing{rules}(assembly).plan;
    for (const Telling& telling : kTellings) {
      SCOPED_TRACE(fmt::format("seed {}, {}", seed, telling.name));
      const Plan there = JointFairing{rules}(telling.tell(assembly)).plan;
      EXPECT_NEAR(there.cost, here.cost, kCostRatio * (1.0 + here.cost));
      EXPECT_EQ(there.proven, here.proven);
      for (std::size_t i = 0; i < here.stacks.size(); ++i) {
        const StackPlan& a = here.stacks[i];
        const StackPlan& b = there.stacks[telling.backwards ? here.stacks.size() - 1 - i : i];
        const bool same =
            a.method == b.method && std::abs(a.finish_diameter_mm - b.finish_diameter_mm) < 1e-6;
        EXPECT_TRUE(same) << a.id << ": " << method_name(a.method) << " " << a.finish_diameter_mm
                          << ", there " << method_name(b.method) << " " << b.finish_diameter_mm;
        if (!same) ++other_plan[telling.name];
      }
    }
  }
  for (const auto& [name, count] : other_plan) fmt::print("{}: {} stacks differ\n", name, count);
}

// --- Degenerate jobs: a plain answer, and one that passes the check. ---

Plan plain_answer(const Assembly& assembly, const FairingRules& rules = quick_rules()) {
  const auto [seated, plan] = JointFairing{rules}(assembly);
  for (const Problem& problem : check_plan(assembly, plan, rules)) ADD_FAILURE() << describe(problem);
  EXPECT_LE(plan.bound, plan.cost + kCostRatio * (1.0 + plan.cost));
  EXPECT_TRUE(std::isfinite(plan.cost) && std::isfinite(plan.bound) && std::isfinite(plan.odds));
  for (const StackPlan& stack : plan.stacks) EXPECT_FALSE(stack.reason.empty()) << stack.id;
  return plan;
}

Assembly plain_job(unsigned seed = 5) {
  return test::JointJobMaker(seed, {.least_stacks = 5, .most_stacks = 5, .awkward = false}).make();
}

TEST(JointFairingDegenerate, NoStacks) {
  Assembly assembly = plain_job();
  assembly.stacks.clear();
  const Plan plan = plain_answer(assembly);
  EXPECT_EQ(plan.cost, 0.0);
  EXPECT_TRUE(plan.proven);
}

TEST(JointFairingDegenerate, NothingAtAll) {
  const Plan plan = plain_answer({});
  EXPECT_TRUE(plan.proven);
  EXPECT_TRUE(plan.stacks.empty());
}

TEST(JointFairingDegenerate, NoMovers) {
  Assembly assembly = plain_job();
  assembly.movers.clear();
  const Plan plan = plain_answer(assembly);
  EXPECT_NEAR(plan.cost, FirstFairing{quick_rules()}(assembly).cost, kCostRatio * (1.0 + plan.cost));
  EXPECT_TRUE(plan.proven);  // with the seats held the least cost is the least
}

TEST(JointFairingDegenerate, ZeroPlay) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    Assembly assembly = plain_job(seed);
    for (SeatedFace& seat : assembly.seats) seat.play = {}, seat.seat = seat.nominal;
    assembly.movers = own_movers(assembly.seats);
    const Plan plan = plain_answer(assembly);
    EXPECT_NEAR(plan.cost, FirstFairing{quick_rules()}(assembly).cost, kCostRatio * (1.0 + plan.cost))
        << seed;
    for (const SeatPlan& seat : plan.seats) EXPECT_EQ(seat.along_mm, 0.0);
  }
}

TEST(JointFairingDegenerate, AllHolesCoincident) {
  Assembly assembly = plain_job();
  for (Stack& stack : assembly.stacks) {
    stack.nominal_mm = {200.0, 150.0};
    for (OldLayer& layer : stack.layers) layer.centre_mm = stack.nominal_mm, layer.bounds.clear();
  }
  plain_answer(assembly);
}

TEST(JointFairingDegenerate, OneLayerEach) {
  Assembly assembly = plain_job();
  for (Stack& stack : assembly.stacks) {
    if (stack.layers.size() > 1) stack.layers.resize(1);
    for (OldLayer& layer : stack.layers) layer.ovality_mm = 0.0;
  }
  const Plan plan = plain_answer(assembly);
  EXPECT_EQ(plan.cost, 0.0);
  EXPECT_TRUE(plan.proven);
}

TEST(JointFairingDegenerate, NoSizes) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    Assembly assembly = plain_job(seed);
    for (Stack& stack : assembly.stacks) stack.fastener.sizes_mm.clear();
    plain_answer(assembly);
  }
}

TEST(JointFairingDegenerate, HugeUncertainty) {
  Assembly assembly = plain_job();
  assembly.covariance_mm2 *= 1e6;
  const Plan plan = plain_answer(assembly);
  for (const StackPlan& stack : plan.stacks) EXPECT_NE(stack.method, Method::kOpenOut) << stack.id;
}

TEST(JointFairingDegenerate, EverythingPinned) {
  for (const Method method : {Method::kTransfer, Method::kOpenOut, Method::kClear, Method::kPlug,
                              Method::kLeaveOut, Method::kDrillToDrawing, Method::kBush}) {
    SCOPED_TRACE(method_name(method));
    Assembly assembly = plain_job();
    for (Stack& stack : assembly.stacks) stack.pinned_method = method_name(method);
    for (SeatedFace& seat : assembly.seats) {
      seat.play = {0.2, 0.2, -0.1, -0.1, Angle::degrees(0.1), Angle::degrees(0.1)};
      seat.seat = seat.nominal;
      seat.seat.motion.shift_mm += Eigen::Vector2d(0.2, -0.1);
      seat.seat.motion.turn = seat.nominal.motion.turn + Angle::degrees(0.1);
    }
    assembly.movers = own_movers(assembly.seats);
    const Plan plan = plain_answer(assembly);
    for (const StackPlan& stack : plan.stacks) {
      EXPECT_TRUE(stack.method == method || stack.method == Method::kUndecided) << stack.id;
    }
  }
}

// One part with two faces that are pinned where no rigid part can have both: seats stay where their own holes
// ask them to be, nothing is proven, no crash.
TEST(JointFairingDegenerate, PinsThatContradictEachOther) {
  Assembly assembly;
  assembly.plates = {test::plate_500()};
  for (const double at : {0.0, 5.0}) {
    SeatedFace seat;
    seat.part = "saddle", seat.face = at == 0.0 ? "one" : "two", seat.joint = seat.face, seat.plate = "left";
    seat.play = {at, at, 0.0, 0.0, {}, {}};
    seat.seat.motion.shift_mm = {at, 0.0};
    assembly.seats.push_back(seat);
  }
  Mover mover;
  mover.name = "saddle";
  mover.play.dx_mm = {2.5, 2.5};
  mover.followers = {{0}, {1}};
  assembly.movers = {mover};
  Stack stack = test::stack_of(test::fitted_bolt(), {test::old_hole("saddle", 100.0, 100.0, 22.0)});
  stack.layers[0].joint = "one";
  stack.layers[0].covariance_index = 0;
  assembly.covariance_mm2 = Eigen::MatrixXd::Zero(2, 2);
  assembly.stacks = {stack};
  const Plan plan = plain_answer(assembly);
  EXPECT_FALSE(plan.proven);
  EXPECT_EQ(plan.seats[0].along_mm, 0.0);
  EXPECT_EQ(plan.seats[1].along_mm, 5.0);
}

}  // namespace
}  // namespace fairhole

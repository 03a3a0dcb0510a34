// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Degenerate jobs: a plain answer, and one that passes the check.
#include <gmock/gmock.h>

#include <cmath>

#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/joint_fairing.h"
#include "test_joint_jobs.h"

namespace fairhole {
namespace {

using test::quick_rules;

constexpr double kCostRatio = 1e-9;

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

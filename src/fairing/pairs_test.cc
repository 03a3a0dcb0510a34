// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Plates drilled clamped together: each stack of theirs has one centre.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/joint_fairing.h"
#include "test_stacks.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;

constexpr double kSameMm = 1e-6;  // the checker's own

/// The right plate is the left one seen from behind: y runs down from 300.
Motion right_from_left() {
  Motion motion;
  motion.mirrored = true;
  motion.shift_mm = {0.0, 300.0};
  return motion;
}

/// One old hole of 22 mm over each plate, `apart_mm` from lying on each other once the plates are clamped.
Assembly two_plates(double apart_mm, bool together) {
  Assembly assembly;
  PlateShape left = test::plate_500();
  PlateShape right = left;
  right.name = "right";
  assembly.plates = {left, right};
  Stack a = test::stack_of(test::fitted_bolt(), {test::old_hole("near", 100.0, 100.0, 22.0)});
  Stack b = test::stack_of(test::fitted_bolt(), {test::old_hole("other", 100.0 + apart_mm, 200.0, 22.0)});
  b.plate = "right";
  b.nominal_mm = {100.0, 200.0};
  assembly.stacks = {a, b};
  if (together) assembly.pairs.push_back({"left", "right", right_from_left()});
  return assembly;
}

JointFairing exact() { return JointFairing{test::exact_rules()}; }

TEST(Pairs, ApartEachHoleStandsAtItsOwnOldHole) {
  const auto faired = exact()(two_plates(3.0, false));
  EXPECT_NEAR((faired.plan.stacks[1].centre_mm - Vector2d(103.0, 200.0)).norm(), 0.0, kSameMm);
  EXPECT_TRUE(check_plan(faired.assembly, faired.plan, test::exact_rules()).empty());
}

TEST(Pairs, TogetherTheySharePilotsThatLieInBothOldHoles) {
  const Assembly assembly = two_plates(3.0, true);
  const Plan plan = exact()(assembly).plan;
  const Vector2d a = plan.stacks[0].centre_mm, b = plan.stacks[1].centre_mm;
  EXPECT_LT((right_from_left() * a - b).norm(), kSameMm);
  for (const StackPlan& stack : plan.stacks) {
    EXPECT_EQ(stack.method, Method::kTransfer) << stack.plate;
    const double off = stack.layers[1].misfit_mm.norm();
    // 22 mm guide the pilot: it lies inside while the centres are no farther apart than both radii differ.
    EXPECT_LE(off, (22.0 - *stack.layers[0].pilot_diameter_mm) / 2.0 + kSameMm);
  }
  EXPECT_TRUE(check_plan(assembly, plan, test::exact_rules()).empty());
}

// The least pilot is 6 mm, so a shared pilot lies in both 22 mm holes up to 2 (22 - 6) / 2 = 16 mm between
// their centres.
TEST(Pairs, FartherApartThanPilotsReachOneIsPlugged) {
  for (const double apart : {15.0, 17.0}) {
    const Plan plan = exact()(two_plates(apart, true)).plan;
    int transfers = 0;
    for (const StackPlan& stack : plan.stacks) transfers += stack.method == Method::kTransfer ? 1 : 0;
    EXPECT_EQ(transfers, apart < 16.0 ? 2 : 1) << apart;
  }
}

TEST(Pairs, TheCheckerSeesCentresThatAreNotShared) {
  const Assembly assembly = two_plates(3.0, true);
  const Plan plan = exact()(two_plates(3.0, false)).plan;
  const Problems problems = check_plan(assembly, plan, test::exact_rules());
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_EQ(describe(problems.front()),
            "E576 stack S1: left and right are drilled together, and want it 3.0 mm apart; one centre for "
            "both plates, or "
            "drill them apart");
}

}  // namespace
}  // namespace fairhole

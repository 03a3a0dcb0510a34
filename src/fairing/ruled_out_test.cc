// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The sentence that says why nothing cheaper was taken names what decided it.
#include <gmock/gmock.h>

#include "fairhole/fairing/first_fairing.h"
#include "test_stacks.h"

namespace fairhole {
namespace {

using test::old_hole;
using test::stack_of;

StackPlan decided(std::vector<Stack> stacks) {
  Assembly assembly;
  assembly.plates.push_back(test::plate_500());
  assembly.stacks = std::move(stacks);
  FirstFairing fairing;
  fairing.rules = test::exact_rules();
  fairing.rules.draws = 100;
  return fairing(assembly).stacks.front();
}

StackPlan decided(FastenerSpec fastener, std::vector<OldLayer> layers) {
  return decided({stack_of(std::move(fastener), std::move(layers))});
}

// 23.7 mm along the oval: 22 is too small. That it is oval is why it is not taken as it is.
TEST(RuledOut, OvalHoleNamesTheOvalAndTheSize) {
  OldLayer oval = old_hole("near", 100.0, 100.0, 23.0);
  oval.ovality_mm = 1.4;
  EXPECT_EQ(decided(test::fitted_bolt(), {oval}).ruled_out,
            "Not as it is: A1 of near is oval by 1.4 mm; a fitted bolt wants a round hole. "
            "Not open out to 22.0 mm: the old holes need 23.7 mm as measured, 23.7 mm with their doubt.");
}

// Two 22 mm holes 1.5 mm apart need 23.5 mm: 22 fails by the holes alone, and a fitted bolt never clears.
TEST(RuledOut, TwoHolesNameTheSizeBelow) {
  const StackPlan plan = decided(test::fitted_bolt(),
                                 {old_hole("near", 100.0, 100.0, 22.0), old_hole("far", 101.5, 100.0, 22.0)});
  EXPECT_EQ(plan.ruled_out,
            "Not open out to 22.0 mm: the old holes need 23.5 mm as measured, 23.5 mm with their doubt.");
  EXPECT_EQ(plan.reason,
            "Reamed to 24.0 mm, one circle cleans up every old hole: they need 23.5 mm as measured, 23.5 mm "
            "with their doubt.");
  ASSERT_GE(plan.ways.size(), 2U);  // the size below stands beside the one taken
  EXPECT_EQ(plan.ways[0].finish_diameter_mm, 22.0);
  EXPECT_FALSE(plan.ways[0].allowed);
  EXPECT_EQ(plan.ways[0].why, "the old holes need 23.5 mm as measured, 23.5 mm with their doubt");
  EXPECT_EQ(plan.ways[1].finish_diameter_mm, 24.0);
  EXPECT_TRUE(plan.ways[1].taken);
}

// 23.5 mm is needed. 24 mm would do it but for the edge, 28 mm from the middle of the two, where
// EN 1993-1-8 table 3.3 asks 1.2 x 24 = 28.8; 26 mm wants 31.2. Not 26, the last one tried: 24 decides.
TEST(RuledOut, ThinEdgeDecidesNotTheLastSizeTried) {
  OldLayer near = old_hole("near", 100.0, 100.0, 22.0);
  near.bounds.push_back({Eigen::Vector2d::UnitY(), 72.0, false, "end edge"});
  const StackPlan plan = decided(test::fitted_bolt(), {near, old_hole("far", 101.5, 100.0, 22.0)});
  EXPECT_EQ(plan.method, Method::kPlug);
  // Moved to y 100.8, the centre is hypot(0.75, 0.8) = 1.097 mm from both: 22 + 2.2 mm.
  EXPECT_EQ(plan.ruled_out,
            "Not open out to 24.0 mm: the end edge of near is 28.0 mm from the centre, 28.8 mm is the least; "
            "clear of it, 24.2 mm is needed to clean up the old holes.");
  ASSERT_EQ(plan.ways.size(), 2U);  // the ways say the same of the same size
  EXPECT_EQ(plan.ways[0].finish_diameter_mm, 24.0);
  EXPECT_FALSE(plan.ways[0].allowed);
  EXPECT_EQ(plan.ruled_out, "Not open out to 24.0 mm: " + plan.ways[0].why + ".");
  EXPECT_TRUE(plan.ways[1].taken);
}

TEST(RuledOut, FixedHoleDecides) {
  OldLayer dowel = old_hole("near", 100.0, 100.0, 22.0);
  dowel.fixed = true;
  const StackPlan plan = decided(test::fitted_bolt(), {dowel, old_hole("far", 101.5, 100.0, 22.0)});
  EXPECT_EQ(plan.method, Method::kOpenOut);  // 25 mm about the fixed hole
  EXPECT_EQ(plan.finish_diameter_mm, 26.0);
  EXPECT_EQ(plan.ruled_out,
            "Not open out to 24.0 mm: about A1 of near, which must keep its place, 25.0 mm is needed.");
}

TEST(RuledOut, TornHoleIsNotTakenAsItIs) {
  OldLayer torn = old_hole("near", 100.0, 100.0, 26.0);
  torn.form = HoleForm::kTorn;  // 1 mm more than measured is cut away: 27 mm
  EXPECT_EQ(decided(test::fitted_bolt(), {torn}).ruled_out,
            "Not as it is: A1 of near is torn. "
            "Not open out to 26.0 mm: the old holes need 27.0 mm as measured, 27.0 mm with their doubt.");
}

/// A smaller size would do; that the group takes a larger one is the reason, and nothing forbidden is.
TEST(RuledOut, TheGroupsSizeIsTheReason) {
  std::vector<Stack> stacks;
  for (int i = 0; i < 3; ++i) {
    const double x = 100.0 + 100.0 * i;
    const double apart = i == 0 ? 0.0 : 1.5;
    stacks.push_back(stack_of(test::fitted_bolt(),
                              {old_hole("near", x, 100.0, 22.0), old_hole("far", x + apart, 100.0, 22.0)}));
    stacks.back().id = "S" + std::to_string(i + 1);
  }
  const StackPlan plan = decided(std::move(stacks));
  EXPECT_EQ(plan.finish_diameter_mm, 24.0);
  EXPECT_EQ(plan.ruled_out, "22.0 mm would do, but the others of its group take 24.0 mm.");
}

TEST(RuledOut, NothingIsCheaperThanAHoleAsItIs) {
  EXPECT_EQ(decided(test::fitted_bolt(), {old_hole("near", 100.0, 100.0, 22.4)}).ruled_out, "");
}

}  // namespace
}  // namespace fairhole

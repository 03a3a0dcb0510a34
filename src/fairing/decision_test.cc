// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/decision.h"

#include <gmock/gmock.h>

#include <numbers>

#include "test_stacks.h"

namespace fairhole {
namespace {

using test::cheapest;
using test::exact_options;
using test::exact_rules;
using test::old_hole;
using test::stack_of;
using testing::HasSubstr;

constexpr double kExactMm = 1e-6;  // golden section and the enclosing circle are right to this

const Option& option_of(const std::vector<Option>& options, Method method, double finish_mm = 0.0) {
  for (const Option& option : options) {
    if (option.method == method && (finish_mm == 0.0 || option.finish_mm == finish_mm)) return option;
  }
  ADD_FAILURE() << "no such option";
  return options.front();
}

TEST(Decision, OneOldHoleIsTransferredAsItIs) {
  const Stack stack = stack_of(test::fitted_bolt(), {old_hole("angle", 101.0, 99.5, 22.4)});
  const auto options = exact_options(stack, test::plate_500());
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kTransfer);
  EXPECT_EQ(best->finish, Finish::kInPlace);
  EXPECT_EQ(best->finish_mm, 22.4);
  EXPECT_EQ(best->centre_mm, Eigen::Vector2d(101.0, 99.5));
  EXPECT_EQ(best->cost, 0.0);
  ASSERT_TRUE(best->pilot_mm.has_value());
  EXPECT_LT(*best->pilot_mm, 22.4);
}

// Two holes of 22 mm, 1.5 mm apart: the smallest circle about both is 23.5 mm across, midway (closed form).
TEST(Decision, TwoHolesAreOpenedOutToTheNextSizeThatCleansBoth) {
  const Stack stack = stack_of(test::fitted_bolt(),
                               {old_hole("near", 100.0, 100.0, 22.0), old_hole("far", 101.5, 100.0, 22.0)});
  const auto options = exact_options(stack, test::plate_500());
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kOpenOut);
  EXPECT_EQ(best->finish_mm, 24.0);
  EXPECT_NEAR(best->centre_mm.x(), 100.75, kExactMm);
  EXPECT_NEAR(best->least_diameter_mm, 23.5, kExactMm);
  EXPECT_NEAR(best->position_zone_mm, 0.25, kExactMm);
  const double metal_cm3 = 2.0 * std::numbers::pi / 4.0 * (24.0 * 24.0 - 22.0 * 22.0) * 12.7 / 1000.0;
  EXPECT_NEAR(best->cost, exact_rules().costs.oversize + metal_cm3, kExactMm);
  EXPECT_THAT(option_of(options, Method::kOpenOut, 22.0).forbidden,
              HasSubstr("the old holes need 23.5 mm as measured"));
}

// A cold rivet is smaller than its hole by the clearance, here 1.6 mm, whatever the hole was opened to; a
// fitted bolt fills it.
TEST(Decision, FastenerOfAnOpenedHole) {
  const std::vector<OldLayer> holes{old_hole("near", 100.0, 100.0, 22.0),
                                    old_hole("far", 101.5, 100.0, 22.0)};
  const auto bolted = exact_options(stack_of(test::fitted_bolt(), holes), test::plate_500());
  EXPECT_EQ(option_of(bolted, Method::kOpenOut, 24.0).fastener_mm, 24.0);
  const auto riveted = exact_options(stack_of(test::rivet(), holes), test::plate_500());
  EXPECT_NEAR(option_of(riveted, Method::kOpenOut, 23.6).fastener_mm, 22.0, kExactMm);
  EXPECT_NEAR(option_of(riveted, Method::kOpenOut, 25.6).fastener_mm, 24.0, kExactMm);
}

TEST(Decision, OvalHoleNeedsItsLongestDiameter) {
  OldLayer oval = old_hole("near", 100.0, 100.0, 23.0);
  oval.ovality_mm = 1.4;  // 23.7 by 22.3
  const Stack stack = stack_of(test::fitted_bolt(), {oval});
  const Option* best = nullptr;
  const auto options = exact_options(stack, test::plate_500());
  best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kOpenOut);
  EXPECT_NEAR(best->least_diameter_mm, 23.7, kExactMm);
  EXPECT_THAT(option_of(options, Method::kTransfer).forbidden, HasSubstr("oval by 1.4 mm"));
}

// Holes of 24 mm, 1 mm apart: a circle of 23 mm passes both (closed form), so a 22 mm rivet does.
TEST(Decision, RivetThatPassesClears) {
  const Stack stack =
      stack_of(test::rivet(), {old_hole("near", 100.0, 100.0, 24.0), old_hole("far", 101.0, 100.0, 24.0)});
  const auto options = exact_options(stack, test::plate_500());
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kClear);
  EXPECT_EQ(best->finish, Finish::kBench);
  EXPECT_NEAR(best->centre_mm.x(), 100.5, kExactMm);
  EXPECT_NEAR(best->margin_mm, 1.0 - exact_rules().clear_play_mm, kExactMm);
}

TEST(Decision, FittedBoltNeverClears) {
  const Stack stack = stack_of(test::fitted_bolt(),
                               {old_hole("near", 100.0, 100.0, 24.0), old_hole("far", 100.0, 100.0, 24.0)});
  const auto options = exact_options(stack, test::plate_500());
  EXPECT_THAT(option_of(options, Method::kClear).forbidden, HasSubstr("must fill"));
}

TEST(Decision, HopelessMisfitIsPlugged) {
  const Stack stack = stack_of(test::fitted_bolt(),
                               {old_hole("near", 100.0, 100.0, 22.0), old_hole("far", 109.0, 100.0, 22.0)});
  const auto options = exact_options(stack, test::plate_500());
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kPlug);
  EXPECT_EQ(best->plugged.size(), 1U);
  EXPECT_EQ(best->cost, exact_rules().costs.plug);
}

TEST(Decision, ThinEdgeForbidsTheSize) {
  OldLayer near = old_hole("near", 100.0, 100.0, 22.0);
  // 28 mm to the edge: EN 1993-1-8 table 3.3 asks 1.2 x 24 = 28.8 mm of a 24 mm hole, 26.4 of a 22 mm one.
  near.bounds.push_back({Eigen::Vector2d::UnitY(), 72.0, false, "end edge"});
  OldLayer far = old_hole("far", 100.0, 98.5, 22.0);
  far.fixed = true;
  const Stack stack = stack_of(test::fitted_bolt(), {near, far});
  const auto options = exact_options(stack, test::plate_500());
  EXPECT_FALSE(option_of(options, Method::kOpenOut, 26.0).allowed);
  EXPECT_THAT(option_of(options, Method::kOpenOut, 26.0).forbidden, HasSubstr("end edge of near"));
}

TEST(Decision, CentreGivesWayToAnEdgeWhenItCan) {
  OldLayer near = old_hole("near", 100.0, 100.0, 22.0);
  near.bounds.push_back({Eigen::Vector2d::UnitY(), 71.0, false, "end edge"});  // 28.8 mm needed: y >= 99.8
  const Stack stack = stack_of(test::fitted_bolt(), {near, old_hole("far", 100.0, 99.0, 22.0)});
  const auto options = exact_options(stack, test::plate_500());
  const Option& opened = option_of(options, Method::kOpenOut, 24.0);
  ASSERT_TRUE(opened.allowed) << opened.forbidden;
  EXPECT_NEAR(opened.centre_mm.y(), 99.8, kExactMm);
  EXPECT_NEAR(opened.least_diameter_mm, 22.0 + 2.0 * 0.8, kExactMm);
}

TEST(Decision, PinnedSizeIsTheOnlyOneLeft) {
  Stack stack = stack_of(test::fitted_bolt(), {old_hole("near", 100.0, 100.0, 22.0)});
  stack.pinned_method = "open-out";
  stack.pinned_finish_mm = 25.0;
  const auto options = exact_options(stack, test::plate_500());
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kOpenOut);
  EXPECT_EQ(best->finish_mm, 25.0);
}

TEST(Decision, NoOldHoleIsDrilledToTheDrawing) {
  const Stack stack = stack_of(test::rivet(), {});
  const auto options = exact_options(stack, test::plate_500());
  ASSERT_EQ(options.size(), 1U);
  EXPECT_EQ(options[0].method, Method::kDrillToDrawing);
  EXPECT_TRUE(options[0].allowed);
  EXPECT_EQ(options[0].centre_mm, stack.nominal_mm);
  EXPECT_NEAR(options[0].finish_mm, 23.6, kExactMm);
}

TEST(Decision, KeepOutForbids) {
  PlateShape plate = test::plate_500();
  plate.keep_outs.push_back({"weld", {{105.0, 0.0}, {120.0, 0.0}, {120.0, 300.0}, {105.0, 300.0}}});
  const Stack stack = stack_of(test::fitted_bolt(), {old_hole("near", 100.0, 100.0, 22.0)});
  const auto options = exact_options(stack, plate);
  EXPECT_EQ(cheapest(options), nullptr);
  EXPECT_THAT(option_of(options, Method::kTransfer).forbidden, HasSubstr("keep-out \"weld\""));
}

// A round error of sigma in each axis is held by sigma * sqrt(-2 ln(1 - p)) (Rayleigh).
// A weld line 10 mm wide, 20 mm beside the hole: its far side lies within reach, and asks nothing.
TEST(Decision, AThinKeepOutAsksItsNearSideAlone) {
  PlateShape plate = test::plate_500();
  plate.keep_outs.push_back({"weld", {{120.0, 0.0}, {130.0, 0.0}, {130.0, 300.0}, {120.0, 300.0}}});
  const Stack stack = test::stack_of(test::fitted_bolt(), {});
  const auto options = test::exact_options(stack, plate);
  ASSERT_NE(test::cheapest(options), nullptr) << options.front().forbidden;
  EXPECT_EQ(test::cheapest(options)->method, Method::kDrillToDrawing);
}

// As a notch of the plate, 40 mm from the hole: 1.2 diameters are 26.4 mm.
TEST(Decision, ANotchAsksItsNearSideAlone) {
  PlateShape plate = test::plate_500();
  plate.outline_mm = {{0.0, 0.0},    {500.0, 0.0},  {500.0, 300.0}, {146.0, 300.0},
                      {146.0, 60.0}, {140.0, 60.0}, {140.0, 300.0}, {0.0, 300.0}};
  const Stack stack = test::stack_of(test::fitted_bolt(), {});
  EXPECT_NE(test::cheapest(test::exact_options(stack, plate)), nullptr);
  plate.outline_mm[5].x() = plate.outline_mm[6].x() = 126.0;
  EXPECT_EQ(test::cheapest(test::exact_options(stack, plate)), nullptr);
}

TEST(Decision, OldHolesAreGrownByTheirDoubt) {
  const Stack stack = stack_of(test::fitted_bolt(), {old_hole("near", 100.0, 100.0, 22.0)});
  const PlateShape plate = test::plate_500();
  const double sigma = 0.1;
  const StackCase entry{&stack, &plate, {sigma * sigma * Eigen::Matrix2d::Identity()}};
  const auto options = options_for(entry, exact_rules());
  const double growth = sigma * std::sqrt(-2.0 * std::log(1.0 - exact_rules().confidence));
  EXPECT_NEAR(option_of(options, Method::kOpenOut, 24.0).margin_mm, 2.0 - 2.0 * growth,
              4e-6);  // bisected to 1e-6
}

}  // namespace
}  // namespace fairhole

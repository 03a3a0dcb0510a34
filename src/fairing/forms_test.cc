// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Each awkward form of hole with what the trade does about it, or the plain refusal.
#include <gmock/gmock.h>

#include "fairhole/fairing/decision.h"
#include "test_stacks.h"

namespace fairhole {
namespace {

using test::cheapest;
using test::exact_options;
using test::old_hole;
using test::stack_of;
using testing::HasSubstr;

OldLayer formed(HoleForm form, double x = 100.0, double diameter = 22.0) {
  OldLayer layer = old_hole("casting", x, 100.0, diameter);
  layer.form = form;
  return layer;
}

std::vector<Option> options_with(FastenerSpec fastener, std::vector<OldLayer> layers) {
  const Stack stack = stack_of(std::move(fastener), std::move(layers));
  const PlateShape plate = test::plate_500();
  return exact_options(stack, plate);
}

TEST(Forms, RivetInIsLookedAtAgain) {
  const auto options = options_with(test::fitted_bolt(), {formed(HoleForm::kRivetIn)});
  ASSERT_EQ(options.size(), 1U);
  EXPECT_EQ(options[0].method, Method::kUndecided);
  EXPECT_THAT(options[0].reason, HasSubstr("drive it out"));
}

TEST(Forms, UnmeasuredIsLookedAtAgain) {
  OldLayer layer = formed(HoleForm::kThrough);
  layer.measured = false;
  const auto options = options_with(test::fitted_bolt(), {layer});
  EXPECT_EQ(options[0].method, Method::kUndecided);
  EXPECT_THAT(options[0].reason, HasSubstr("Nobody measured A1 of casting"));
}

TEST(Forms, UnknownDiameterIsLookedAtAgain) {
  OldLayer layer = formed(HoleForm::kThrough);
  layer.diameter_mm.reset();
  const auto options = options_with(test::fitted_bolt(), {layer});
  EXPECT_EQ(options[0].method, Method::kUndecided);
  EXPECT_THAT(options[0].reason, HasSubstr("caliper"));
}

TEST(Forms, TappedGivesThePlateAClearanceHoleAtItsPlace) {
  for (const HoleForm form : {HoleForm::kTapped, HoleForm::kBlind}) {
    const auto options = options_with(test::fitted_bolt(), {formed(form, 101.0)});
    const Option* best = cheapest(options);
    ASSERT_NE(best, nullptr);
    EXPECT_EQ(best->method, Method::kTransfer);
    EXPECT_EQ(best->finish, Finish::kBench);
    EXPECT_EQ(best->centre_mm.x(), 101.0);
    EXPECT_EQ(best->finish_mm, 22.0 + FairingRules{}.thread_clearance_mm);
    for (const Option& option : options) {
      EXPECT_FALSE(option.method == Method::kOpenOut && option.allowed);
      EXPECT_FALSE(option.method == Method::kPlug && option.allowed);
    }
  }
}

TEST(Forms, OtherHolesMustPassTheScrewOfATappedOne) {
  const auto passing =
      options_with(test::fitted_bolt(), {formed(HoleForm::kTapped), old_hole("near", 100.5, 100.0, 24.0)});
  ASSERT_NE(cheapest(passing), nullptr);
  EXPECT_EQ(cheapest(passing)->method, Method::kClear);
  EXPECT_EQ(cheapest(passing)->centre_mm.x(), 100.0);
  const auto blocked =
      options_with(test::fitted_bolt(), {formed(HoleForm::kTapped), old_hole("near", 102.0, 100.0, 24.0)});
  ASSERT_NE(cheapest(blocked), nullptr);
  EXPECT_EQ(cheapest(blocked)->method, Method::kPlug);
}

TEST(Forms, SlotPassesAlongItsAxisOnly) {
  OldLayer slot = formed(HoleForm::kSlotted, 100.0, 30.0);
  slot.ovality_mm = 12.0;  // 36 by 24
  const auto along = options_with(test::rivet(), {slot, old_hole("near", 104.0, 100.0, 23.6)});
  ASSERT_NE(cheapest(along), nullptr);
  EXPECT_EQ(cheapest(along)->method, Method::kClear);
  slot.ovality_axis_rad = 1.5707963267948966;
  const auto across = options_with(test::rivet(), {slot, old_hole("near", 104.0, 100.0, 23.6)});
  ASSERT_NE(cheapest(across), nullptr);
  EXPECT_NE(cheapest(across)->method, Method::kClear);
}

TEST(Forms, CountersunkAndDowelHoldTheirPlace) {
  for (const HoleForm form : {HoleForm::kCountersunk, HoleForm::kDowel}) {
    const auto options =
        options_with(test::fitted_bolt(), {formed(form), old_hole("near", 101.0, 100.0, 22.0)});
    const Option* best = cheapest(options);
    ASSERT_NE(best, nullptr);
    EXPECT_EQ(best->method, Method::kOpenOut);
    EXPECT_EQ(best->centre_mm.x(), 100.0);
    EXPECT_EQ(best->finish_mm, 24.0);
  }
}

TEST(Forms, FixedHoleHoldsItsPlaceAndIsNeverPlugged) {
  OldLayer datum = formed(HoleForm::kThrough);
  datum.fixed = true;
  for (const Option& option :
       options_with(test::fitted_bolt(), {datum, old_hole("near", 109.0, 100.0, 22.0)})) {
    if (!option.allowed) continue;
    EXPECT_EQ(option.centre_mm.x(), 100.0);
    EXPECT_EQ(option.plugged, std::vector<int>{1});
  }
}

TEST(Forms, TwoHolesThatBothHoldTheirPlaceCannotBothBeServed) {
  const auto options =
      options_with(test::fitted_bolt(), {formed(HoleForm::kDowel), formed(HoleForm::kDowel, 101.0)});
  EXPECT_EQ(cheapest(options), nullptr);
}

TEST(Forms, BushIsOpenedOnlyAsFarAsSaid) {
  OldLayer bush = formed(HoleForm::kBushed);
  const auto unknown = options_with(test::fitted_bolt(), {bush, old_hole("near", 101.0, 100.0, 22.0)});
  ASSERT_NE(cheapest(unknown), nullptr);
  EXPECT_EQ(cheapest(unknown)->method, Method::kPlug);  // of the plain hole
  bush.largest_mm = 24.0;
  const auto known = options_with(test::fitted_bolt(), {bush, old_hole("near", 101.0, 100.0, 22.0)});
  EXPECT_EQ(cheapest(known)->method, Method::kOpenOut);
}

TEST(Forms, TornIsOpenedOutBeyondTheTear) {
  const auto options = options_with(test::fitted_bolt(), {formed(HoleForm::kTorn, 100.0, 23.5)});
  const Option* best = cheapest(options);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->method, Method::kOpenOut);
  EXPECT_EQ(best->finish_mm, 26.0);  // 23.5 and the allowance of 1 mm pass 24
}

TEST(Forms, PluggedIsBlankMetal) {
  OldLayer blank = formed(HoleForm::kPlugged);
  blank.diameter_mm.reset();
  const auto alone = options_with(test::fitted_bolt(), {blank});
  EXPECT_EQ(cheapest(alone)->method, Method::kDrillToDrawing);
  EXPECT_EQ(cheapest(alone)->finish, Finish::kInPlace);
  const auto with_hole = options_with(test::fitted_bolt(), {blank, old_hole("near", 101.0, 100.0, 22.0)});
  EXPECT_EQ(cheapest(with_hole)->method, Method::kTransfer);
}

TEST(Forms, PartThatMustNotBeOpenedStaysAsItIs) {
  OldLayer kept = formed(HoleForm::kThrough);
  kept.may_be_opened = false;
  const auto options = options_with(test::fitted_bolt(), {kept, old_hole("near", 101.0, 100.0, 22.0)});
  ASSERT_NE(cheapest(options), nullptr);
  EXPECT_EQ(cheapest(options)->method, Method::kPlug);
  EXPECT_EQ(cheapest(options)->plugged, std::vector<int>{1});
}

}  // namespace
}  // namespace fairhole

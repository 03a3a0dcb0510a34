// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "test_plans.h"

namespace fairhole {
namespace {

using namespace schedule_test;

/// Makes the old layer of a stack one that is bushed, its bore the stack's finish size.
void bush_old_layer(StackPlan& stack, double outside_mm) {
  stack.method = Method::kBush;
  stack.layers[0].pilot_diameter_mm = 18.0;
  stack.layers[1].action = "bush";
  stack.layers[1].bush_outside_mm = outside_mm;
}

TEST(Schedule, BushesHaveTheirFitAndLikeOnesAreOnePiece) {
  Made made;
  bush_old_layer(add_stack(made, kFitted, 21.0, {16.0}), 32.0);
  add_stack(made, kFitted, 21.0, {16.0});
  bush_old_layer(add_stack(made, kFitted, 21.0, {16.0}), 32.0);
  bush_old_layer(add_stack(made, kFitted, 21.0, {20.0}), 28.0);
  const FastenerSchedule schedule = scheduled(made);
  ASSERT_EQ(schedule.bushes.size(), 3U);
  ASSERT_EQ(schedule.bush_pieces.size(), 2U);
  EXPECT_EQ(schedule.bush_pieces[0].bushes, (std::vector<std::size_t>{0, 1}));
  EXPECT_EQ(schedule.bushes[1].stack, 2U);
  EXPECT_EQ(schedule.piece_of_bush(2), &schedule.bush_pieces[1]);
  EXPECT_EQ(schedule.bush_pieces[1].mark, "B2");
  // ISO 286-2:2010: p6 is +42/+26 of 30 to 50 mm, +35/+22 of 18 to 30; H7 +25/0 and +21/0.
  const LayerBush& large = schedule.bushes[0];
  ASSERT_TRUE(large.design.has_value()) << large.open;
  EXPECT_EQ(large.design->outside.min_nm, 32026000);
  EXPECT_EQ(large.design->outside.max_nm, 32042000);
  EXPECT_EQ(large.design->bore.min_nm, 21000000);
  EXPECT_EQ(large.design->bore.max_nm, 21021000);
  EXPECT_NEAR(large.design->least_interference_mm, 0.001, kMm);
  EXPECT_NEAR(large.design->most_interference_mm, 0.042, kMm);
  // Lame by hand, as in the test of the bush alone: a bore of 18 mm in 32 mm, metal of 96 mm round it.
  const double ko = (96.0 * 96 + 1024) / (96.0 * 96 - 1024), ki = (1024.0 + 324) / (1024.0 - 324);
  const double pressure = 0.042 * 207000 / (32 * (ko + ki));
  EXPECT_NEAR(large.design->closes_most_mm, 2 * pressure * 1024 * 18 / (207000 * 700.0), kMm);
  EXPECT_NEAR(large.design->wall_mm, (32.026 - 21.021) / 2.0, kMm);
  EXPECT_EQ(schedule.bushes[2].design->outside.min_nm, 28022000);
  EXPECT_EQ(schedule.bushes[2].design->outside.max_nm, 28035000);
  EXPECT_EQ(large.length_mm, 16.0);
  EXPECT_EQ(large.turned_bore_mm, 18.0);
  EXPECT_TRUE(large.reamed);
  // Bar over 33.042 and 29.035 mm (1 5/16 in is 33.3375), 6 mm a piece: two of 22 mm, one of 26 mm.
  int of_inch_bar = 0, of_30_mm = 0;
  for (const fasteners::BuyingLine& line : schedule.buying) {
    if (line.what == "round bar 1 5/16 in") of_inch_bar += line.quantity;
    if (line.what == "round bar 30 mm") of_30_mm += line.quantity;
  }
  EXPECT_EQ(of_inch_bar, 44);
  EXPECT_EQ(of_30_mm, 26);
}

TEST(Schedule, ABushIsBoredForWhatItTakesAndKeepsTheJobsWall) {
  Made made;
  bush_old_layer(add_stack(made, spec(FastenerKind::kRivet, 19.05), 20.6375, {16.0}), 28.0);
  made.plan.stacks[0].layers[0].pilot_diameter_mm.reset();
  bush_old_layer(add_stack(made, kFitted, 22.0, {16.0}), 26.0);
  ScheduleOptions options;
  FastenerSchedule schedule = schedule_fasteners(made.assembly, made.plan, options);
  EXPECT_FALSE(schedule.bushes[0].reamed);
  EXPECT_EQ(schedule.bushes[0].turned_bore_mm, 19.0);  // whole mm, 1 mm or more below 20.6375
  // The larger of 2 mm and a tenth of 22 mm is 2.2 mm of wall; 26.022 and 22.021 mm (p6, H7) leave 2.0005 mm.
  EXPECT_EQ(schedule.bushes[1].open,
            "E781: a bush of 26 mm round a bolt of 22 mm has 2.00 mm of wall; open the hole to 26.5 mm or "
            "more, or open out all layers instead.");
  ASSERT_EQ(schedule.bush_pieces.size(), 1U);
  options.bush_wall_mm = 2.0;
  schedule = schedule_fasteners(made.assembly, made.plan, options);
  EXPECT_TRUE(schedule.bushes[1].design.has_value());
  EXPECT_EQ(schedule.bush_pieces.size(), 2U);
}

TEST(Schedule, TheFitOfABushIsTheJobsChoice) {
  Made made;
  bush_old_layer(add_stack(made, kFitted, 21.0, {16.0}), 32.0);
  FastenerMaking making;
  making.bush_fit = "H8/s7";
  const FastenerSchedule schedule = scheduled(made, making);
  const LayerBush& bush = schedule.bushes[0];
  ASSERT_TRUE(bush.design.has_value()) << bush.open;
  // ISO 286-2:2010, 30 to 50 mm: s7 +68/+43, H8 +39/0.
  EXPECT_EQ(bush.design->outside.min_nm, 32043000);
  EXPECT_EQ(bush.design->outside.max_nm, 32068000);
  EXPECT_NEAR(bush.design->least_interference_mm, 0.004, kMm);
  EXPECT_EQ(bush.seat_class, "H8");
  EXPECT_THAT(schedule.assumed, testing::Not(testing::Contains(testing::HasSubstr("H7/p6"))));
  EXPECT_THAT(scheduled(made).assumed, testing::Contains("Bushes: fit H7/p6 in their seats."));
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/schedule/schedule.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "test_plans.h"

namespace fairhole {
namespace {

using namespace schedule_test;

using fasteners::Kind;

TEST(Schedule, LengthsComeFromEachStacksOwnGrip) {
  Made made;
  add_stack(made, kFitted, 22.0, {16.0});
  add_stack(made, kFitted, 22.0, {40.0});
  add_stack(made, kFitted, 22.0, {16.0});
  const FastenerSchedule schedule = scheduled(made);
  // Every layer may be 0.5 mm thicker: the shank reaches through 12 + 16 + 1 and 12 + 40 + 1 mm.
  ASSERT_EQ(schedule.pieces.size(), 2U);
  EXPECT_EQ(schedule.pieces[0].stacks, (std::vector<std::size_t>{0, 2}));
  EXPECT_NEAR(schedule.pieces[0].turning->design.shank_mm, 29.0, kMm);
  EXPECT_NEAR(schedule.pieces[1].turning->design.shank_mm, 53.0, kMm);
  EXPECT_NEAR(schedule.pieces[1].turning->design.length_mm - schedule.pieces[0].turning->design.length_mm,
              24.0, 1.0 + kMm);  // whole mm
  EXPECT_EQ(schedule.piece_of({"left", "H3"}), &schedule.pieces[0]);
  EXPECT_EQ(schedule.piece_of({"right", "H3"}), nullptr);
}

TEST(Schedule, HeadSideOrdersTheLayersAndPackingIsPassedLikeALayer) {
  Made made;
  add_stack(made, kFitted, 22.0, {16.0, 20.0});
  made.assembly.stacks[0].packing_mm = 3.0;
  FastenerMaking making;
  const auto names = [&] {
    std::vector<std::string> all;
    const FastenerSchedule schedule = scheduled(made, making);
    for (const auto& layer : schedule.stacks[0].layers) all.push_back(layer.part);
    return all;
  };
  EXPECT_THAT(names(), testing::ElementsAre("part 1", "left", "packing", "part 2"));
  making.head_on_marked_face = false;
  EXPECT_THAT(names(), testing::ElementsAre("part 2", "left", "packing", "part 1"));
  // 16 + 12 + 3 + 20, each up to 0.5 mm thicker.
  EXPECT_NEAR(scheduled(made, making).pieces[0].turning->design.shank_mm, 53.0, kMm);
}

TEST(Schedule, AHoleReamedToItsOldOneLeavesTheShankOpen) {
  Made made;
  add_stack(made, kFitted, 21.9, {16.0}, Method::kTransfer);
  add_stack(made, kFitted, 22.1, {16.0}, Method::kTransfer);
  const FastenerSchedule schedule = scheduled(made);
  ASSERT_EQ(schedule.pieces.size(), 1U);
  const FastenerPiece& piece = schedule.pieces[0];
  EXPECT_TRUE(piece.to_own_bore);
  EXPECT_FALSE(piece.shank.has_value());
  EXPECT_EQ(piece.blank_mm, 23.0);  // whole mm, with 0.5 mm or more to turn away
  ASSERT_EQ(schedule.trade_offs.size(), 1U);
  EXPECT_TRUE(schedule.trade_offs[0].as_found);
}

TEST(Schedule, SaysWhatKeepsAFastenerOpen) {
  Made made;
  add_stack(made, kFitted, 22.0, {});
  add_stack(made, kFitted, 22.0, {16.0});
  made.assembly.stacks[1].layers[0].form = HoleForm::kTapped;
  add_stack(made, kFitted, 0.0, {16.0}, Method::kUndecided);
  add_stack(made, kFitted, 200.0, {16.0});
  add_stack(made, kFitted, 22.0, {16.0}, Method::kLeaveOut);
  const FastenerSchedule schedule = scheduled(made);
  std::vector<std::string> open;
  for (const StackFastener& stack : schedule.stacks) open.push_back(stack.open);
  EXPECT_THAT(
      open,
      testing::ElementsAre(
          "Only left is known in the grip: say what else the fastener holds, as \"packing\" of the hole "
          "group.",
          "Hole A1 of part 1 is tapped: the bolt's length hangs on its thread and depth; state \"thread\" "
          "and "
          "\"thread_depth\" of the hole.",
          "The hole is not decided yet.",
          "E442: the tables hold no size of 200 mm; give a nominal size of 3 mm or more, up to and including "
          "180 mm."));
  EXPECT_TRUE(schedule.pieces.empty());
}

TEST(Schedule, AFitFinerThanTheLatheIsOpen) {
  Made made;
  add_stack(made, kFitted, 22.0, {16.0});
  FastenerMaking making;
  making.fit = "H6/k5";  // IT5 of 18 to 30 mm is 9 um (ISO 286-1:2010 table 1)
  const FastenerSchedule schedule = scheduled(made, making);
  EXPECT_EQ(schedule.stacks[0].open, "Its fit leaves the shank 0.009 mm, and the lathe holds 0.010 mm.");
}

TEST(Schedule, OversizeHoleTakesALargerRivetAndTheBoltThereIsANutFor) {
  Made made;
  add_stack(made, spec(FastenerKind::kRivet, 19.05), 23.8125, {12.7});
  add_stack(made, spec(FastenerKind::kClearanceBolt, 19.05), 22.225, {12.7});
  const FastenerSchedule schedule = scheduled(made);
  EXPECT_NEAR(schedule.stacks[0].rivet->rivet_mm, 22.225, kMm);  // 15/16 in hole less 1/16 in
  EXPECT_EQ(schedule.stacks[1].bolt->thread.name(), "3/4 BSW");  // 13/16 in has no nut
  EXPECT_THAT(
      schedule.stacks[1].notes,
      testing::Contains("The hole leaves 3.2 mm round a 3/4 BSW bolt: with a washer under the head."));
}

TEST(Schedule, ThreadOfAnInchSizeIsWhitworthUnlessStated) {
  EXPECT_EQ(thread_series(19.05), "BSW");
  EXPECT_EQ(thread_series(20.0), "metric");
  EXPECT_EQ(thread_series(127.0), "metric");  // 5 in, and whole mm: either
  Made made;
  add_stack(made, kFitted, 22.0, {16.0});
  EXPECT_THAT(scheduled(made).assumed,
              testing::ElementsAre("fitted bolt: fit H7/k6, metric thread taken, as the job states none."));
  FastenerMaking making;
  making.fit = "H7/m6";
  making.thread = "M16";
  const FastenerSchedule schedule = scheduled(made, making);
  EXPECT_THAT(schedule.assumed, testing::IsEmpty());
  EXPECT_EQ(schedule.stacks[0].bolt->thread.name(), "M16");
  EXPECT_EQ(schedule.stacks[0].bolt->shank.min_nm, 22008000);  // m6 of 18 to 30 mm: +21/+8 (ISO 286-2:2010)
}

TEST(Schedule, HeadsOfOversizeBoltsMatchTheirNeighbours) {
  Made made;
  FastenerSpec headed = spec(FastenerKind::kRivetHeadedFittedBolt, 20.6375);
  add_stack(made, headed, 22.225, {12.7});
  FastenerSchedule schedule = scheduled(made);
  EXPECT_NEAR(schedule.stacks[0].bolt->head.diameter_mm, 1.6 * 20.6375, kMm);  // BS 275:1927, snap
  headed.head_diameter_mm = 34.0;
  made.assembly.stacks[0].fastener = headed;
  FastenerMaking making;
  making.head_height_mm = 15.0;
  making.flat_from_axis_mm = 14.0;
  schedule = scheduled(made, making);
  EXPECT_EQ(schedule.stacks[0].bolt->head.diameter_mm, 34.0);
  EXPECT_EQ(schedule.stacks[0].bolt->head.height_mm, 15.0);
  EXPECT_EQ(schedule.stacks[0].bolt->flat_from_axis_mm, 14.0);
}

TEST(Schedule, ABoltIntoATappedHoleReachesItsThreadAndNotItsBottom) {
  Made made;
  add_stack(made, spec(FastenerKind::kClearanceBolt, 20.0), 21.5, {16.0}, Method::kTransfer);
  OldLayer& casting = made.assembly.stacks[0].layers[0];
  casting.form = HoleForm::kTapped;
  casting.face = "foot";
  casting.thickness_mm = made.plan.stacks[0].layers[1].thickness_mm = 60.0;
  ScheduleOptions options;
  options.tapped[{"part 1", "foot", "A1"}] = {"M20", 45.0, true};
  const FastenerSchedule schedule = schedule_fasteners(made.assembly, made.plan, options);
  const StackFastener& stack = schedule.stacks[0];
  ASSERT_TRUE(stack.bolt.has_value()) << stack.open;
  const fasteners::BoltDesign& bolt = *stack.bolt;
  ASSERT_EQ(stack.layers.size(), 1U);  // the plate alone is gripped
  EXPECT_TRUE(bolt.into_thread);
  // Plate 12 mm, give or take 0.5. M20 x 2.5 in cast iron: 30 mm engaged (common practice), 2 pitches of
  // relief, one of point; the shank 12.5 to 12.7 mm, so no thread lies in the joint's face, and full thread
  // from 17.7 mm on.
  EXPECT_NEAR(bolt.shank_mm, 12.5, kMm);
  for (const double plate_mm : {11.5, 12.5}) {
    const double in_part_mm = bolt.length_mm - plate_mm;
    EXPECT_LE(in_part_mm, 45.0);  // it does not bottom
    EXPECT_GE(bolt.length_mm - 2.5 - std::max(plate_mm, 17.7), 30.0 - kMm);
  }
  EXPECT_THAT(bolt.notes,
              testing::ElementsAre(testing::StartsWith("Counterbore the tapped hole to 20.5 mm")));
  for (const fasteners::BuyingLine& line : schedule.buying)
    EXPECT_EQ(line.what.find("nut"), std::string::npos) << line.what;
  // The bottom: one millimetre less than the bolt reaches is refused with what would do.
  options.tapped.begin()->second.full_thread_mm = bolt.length_mm - 11.5 - 1.0;
  const FastenerSchedule shallow = schedule_fasteners(made.assembly, made.plan, options);
  EXPECT_FALSE(shallow.stacks[0].bolt.has_value());
  EXPECT_THAT(shallow.stacks[0].open, testing::HasSubstr("too shallow; tap it"));
}

TEST(Schedule, ABoltIntoAThreadEntersFromTheOtherSideAndHasNoFit) {
  Made made;
  add_stack(made, kFitted, 23.5, {16.0, 20.0},
            Method::kTransfer);  // part 1 on the marked face, part 2 behind
  made.assembly.stacks[0].layers[0].form = HoleForm::kBlind;
  ScheduleOptions options;
  options.tapped[{"part 1", "", "A1"}] = {"7/8 BSW", 60.0, false};
  FastenerSchedule schedule = schedule_fasteners(made.assembly, made.plan, options);
  const StackFastener& stack = schedule.stacks[0];
  ASSERT_TRUE(stack.bolt.has_value()) << stack.open;
  ASSERT_EQ(stack.layers.size(), 2U);
  EXPECT_EQ(stack.layers[0].part,
            "part 2");  // the head's side, though the job's heads lie on the marked face
  EXPECT_EQ(stack.layers[1].part, "left");
  EXPECT_EQ(stack.kind, Kind::kClearanceBolt);
  EXPECT_TRUE(stack.fit.empty());
  EXPECT_FALSE(stack.own_bore);
  EXPECT_NEAR(stack.bolt->shank.max_mm(), 22.225, 1e-3);
  options.tapped.begin()->second.thread = "1 BSW";
  schedule = schedule_fasteners(made.assembly, made.plan, options);
  EXPECT_EQ(schedule.stacks[0].open, "Thread 1 BSW does not pass the plate's hole of 23.50 mm.");
}

TEST(Schedule, AWideHoleHasAWasherUnderTheHeadInItsLengths) {
  Made made;
  add_stack(made, spec(FastenerKind::kClearanceBolt, 20.0), 22.0, {16.0}, Method::kClear);
  add_stack(made, spec(FastenerKind::kClearanceBolt, 20.0), 22.5, {16.0}, Method::kClear);
  const FastenerSchedule schedule = scheduled(made);
  EXPECT_EQ(schedule.stacks[0].bolt->head_washer_mm,
            0.0);  // EN 1090-2 table 11: 2 mm is normal for M16 to M24
  EXPECT_EQ(schedule.stacks[1].bolt->head_washer_mm, 3.0);  // M20 (ISO 7089)
  // 12 + 16 and 0.5 mm each: the shank reaches through 29 mm of layers behind the washer.
  EXPECT_NEAR(schedule.stacks[0].bolt->shank_mm, 29.0, kMm);
  EXPECT_NEAR(schedule.stacks[1].bolt->shank_mm, 32.0, kMm);
}

TEST(Schedule, WashersToBeMadeAreOneKindAndTheirBarIsBought) {
  Made made;
  FastenerMaking making;
  making.thread = "3/4 BSW";  // the catalogue has no Whitworth washers
  for (const double finish_mm : {20.0, 21.0, 22.0}) add_stack(made, kFitted, finish_mm, {16.0});
  const FastenerSchedule schedule = scheduled(made, making);
  for (const StackFastener& stack : schedule.stacks) {
    ASSERT_TRUE(stack.bolt && stack.bolt->washer_made) << stack.open;
    EXPECT_EQ(stack.bolt->nut_washer_hole_mm, 23.0);  // 22.015 + 0.5, in half millimetres
  }
  int washers = 0, kinds = 0, bar_mm = 0;
  for (const fasteners::BuyingLine& line : schedule.buying) {
    if (line.what.starts_with("washer")) washers += line.quantity, ++kinds;
    if (line.what.ends_with("for washers")) bar_mm += line.quantity;
  }
  EXPECT_EQ(washers, 3);
  EXPECT_EQ(kinds, 1);
  EXPECT_EQ(bar_mm, static_cast<int>(std::ceil(3 * (schedule.stacks[0].bolt->nut_washer_mm + 3.0))));
}

TEST(Schedule, TakesNutsWashersAndBarOfTheShopsOwnCatalogue) {
  Made made;
  add_stack(made, kFitted, 22.0, {16.0});
  FastenerMaking making;
  making.thread = "3/4 BSW";
  const auto own = parse_catalogue(
      "# unit: in\nwasher,series,hole,outside,thickness,prov,source\n3/4,plain,29/32,1 5/8,1/2,user,turned\n",
      "w.csv");
  const auto bar = parse_catalogue("bar,shape,prov,source\n35.5,round,user,rack\n", "b.csv");
  ASSERT_TRUE(own.ok() && bar.ok());
  const Catalogue catalogue = merged(merged(*own, *bar), standard_catalogue());
  ScheduleOptions options;
  options.making[kFitted.name] = making;
  options.catalogue = &catalogue;
  const FastenerSchedule schedule = schedule_fasteners(made.assembly, made.plan, options);
  EXPECT_FALSE(schedule.stacks[0].bolt->washer_made);
  EXPECT_NEAR(schedule.stacks[0].bolt->nut_washer_mm, 12.7, kMm);
  EXPECT_EQ(schedule.pieces[0].turning->bar.size_mm, 35.5);  // corners of 3/4 BSW 35.2 mm; else 36 mm
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/schedule/schedule.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace fairhole {
namespace {

using fasteners::Kind;

constexpr double kMm = 1e-6;  // sizes are sums of a few terms

struct Made {
  Assembly assembly;
  Plan plan;
};

FastenerSpec spec(FastenerKind kind, double diameter_mm) {
  FastenerSpec made;
  made.name = fastener_name(kind);
  made.kind = kind;
  made.diameter_mm = diameter_mm;
  made.clearance_mm = kind == FastenerKind::kRivet || kind == FastenerKind::kClearanceBolt ? 1.5875 : 0.0;
  return made;
}

/// One stack through a plate of 12 mm and old parts of these thicknesses, all to one finish diameter.
StackPlan& add_stack(Made& made, const FastenerSpec& fastener, double finish_mm,
                     const std::vector<double>& old_mm, Method method = Method::kOpenOut) {
  Stack stack;
  stack.id = "H" + std::to_string(made.plan.stacks.size() + 1);
  stack.plate = "left";
  stack.nominal_mm = {60.0 * static_cast<double>(made.plan.stacks.size()) + 60.0, 100.0};
  stack.fastener = fastener;
  stack.plate_thickness_mm = 12.0;
  StackPlan plan;
  plan.id = stack.id;
  plan.plate = stack.plate;
  plan.centre_mm = plan.nominal_mm = stack.nominal_mm;
  plan.method = method;
  plan.finish_diameter_mm = finish_mm;
  LayerPlan carrier;
  carrier.new_plate = true;
  carrier.thickness_mm = 12.0;
  carrier.finish_diameter_mm = finish_mm;
  plan.layers.push_back(carrier);
  for (std::size_t i = 0; i < old_mm.size(); ++i) {
    OldLayer layer;
    layer.part = "part " + std::to_string(i + 1);
    layer.hole = "A1";
    layer.thickness_mm = old_mm[i];
    layer.on_marked_face = i % 2 == 0;
    stack.layers.push_back(layer);
    LayerPlan planned = carrier;
    planned.new_plate = false;
    planned.part = layer.part;
    planned.hole = layer.hole;
    planned.thickness_mm = old_mm[i];
    plan.layers.push_back(planned);
  }
  made.assembly.stacks.push_back(stack);
  made.plan.stacks.push_back(plan);
  return made.plan.stacks.back();
}

FastenerSchedule scheduled(const Made& made, const FastenerMaking& making = {}) {
  ScheduleOptions options;
  for (const Stack& stack : made.assembly.stacks) options.making[stack.fastener.name] = making;
  return schedule_fasteners(made.assembly, made.plan, options);
}

const FastenerSpec kFitted = spec(FastenerKind::kFittedBolt, 22.0);

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
          "Hole A1 of part 1 is tapped: the bolt's length hangs on its thread and depth, which the job does "
          "not hold.",
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
  EXPECT_THAT(schedule.stacks[1].notes,
              testing::Contains("The hole leaves 3.2 mm round a 3/4 BSW bolt: put a washer under the head."));
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

TEST(SenseReport, TellsTheWorstOfManyAlike) {
  Made made;
  const FastenerSpec bolt = spec(FastenerKind::kFittedBolt, 20.0);
  for (int i = 0; i < 3; ++i) add_stack(made, bolt, 24.0, {16.0});
  made.assembly.plates.push_back(
      {"left", {{0.0, 0.0}, {500.0, 0.0}, {500.0, 200.0}, {0.0, 200.0}}, {}, 12.0, true});
  for (StackPlan& stack : made.plan.stacks) stack.centre_mm.y() = 30.0;
  made.plan.stacks[1].centre_mm.y() = 27.0;
  const SenseReport report = check_sense(made.assembly, made.plan, scheduled(made));
  // 1.5 diameters of 24.015 mm, the largest shank k6 allows: 36.0 mm; 1.2 of the 24 mm hole: 28.8 mm.
  ASSERT_FALSE(report.flags.empty());
  EXPECT_EQ(report.flags[0].text,
            "\"left\": to the end 27.0 mm, less than 28.8 mm of EN 1993-1-8 table 3.3 and 36.0 mm of old "
            "practice. That is the worst, left, H2.");
  EXPECT_EQ(report.flags[0].places.size(), 3U);
  EXPECT_THAT(report.deferral, testing::HasSubstr("competent person"));
}

/// Limits of k6, typed from ISO 286-2:2010 table 7 by people: over, up to, least and most in micrometres.
struct K6 {
  double over_mm, up_to_mm;
  int least_um, most_um;
};
constexpr K6 kK6[] = {{10, 18, 1, 12}, {18, 30, 2, 15}, {30, 50, 2, 18}};

const K6& k6_of(double size_mm) {
  for (const K6& row : kK6) {
    if (size_mm > row.over_mm && size_mm <= row.up_to_mm) return row;
  }
  throw std::out_of_range("size");
}

/// One finished piece in one of its holes, every layer as thin or as thick as it may be.
void check_in_hole(const FastenerPiece& piece, const StackFastener& stack, double off_mm) {
  const fasteners::BoltDesign& bolt = piece.turning->design;
  double grip_mm = 0.0;
  for (const fasteners::GripLayer& layer : stack.layers) grip_mm += layer.thickness_mm + off_mm;
  constexpr double kOverMm = 0.2;
  const double pitch_mm = bolt.thread.pitch_mm, nut_from_mm = grip_mm + bolt.nut_washer_mm;
  ASSERT_GE(bolt.shank_mm, grip_mm - kMm);  // neither thread nor relief in a layer or shear plane
  ASSERT_LE(bolt.shank_mm + kOverMm + bolt.relief_mm + pitch_mm, nut_from_mm + kMm);  // the nut stays off
  ASSERT_GE(bolt.length_mm - pitch_mm, nut_from_mm + bolt.nut_mm + 2.0 * pitch_mm - kMm);  // two threads past
  if (!piece.shank) {
    ASSERT_GE(piece.blank_mm, stack.finish_mm + 0.5);
    return;
  }
  const K6& row = k6_of(stack.finish_mm);
  ASSERT_GE(piece.shank->min_mm(), stack.finish_mm + row.least_um * 1e-3 - kMm);
  ASSERT_LE(piece.shank->max_mm(), stack.finish_mm + row.most_um * 1e-3 + kMm);
  ASSERT_GE(piece.shank->max_mm() - piece.shank->min_mm(), 0.010 - kMm);
}

TEST(Schedule, TenThousandRandomStacksFitTheirPieces) {
  constexpr unsigned kSeed = 20261127;
  constexpr int kPlans = 200, kStacksEach = 50;
  std::mt19937_64 engine(kSeed);
  const auto pick = [&](std::uint64_t most) { return engine() % (most + 1); };
  int pieces = 0, shared = 0, own = 0;
  for (int number = 0; number < kPlans; ++number) {
    SCOPED_TRACE(testing::Message() << "seed " << kSeed << ", plan " << number);
    Made made;
    for (int i = 0; i < kStacksEach; ++i) {
      const FastenerKind kind =
          pick(1) == 0 ? FastenerKind::kFittedBolt : FastenerKind::kRivetHeadedFittedBolt;
      // A few thicknesses, and sizes a few micrometres apart, so that pieces and shanks are shared.
      const double finish_mm =
          14.0 + 2.0 * static_cast<double>(pick(12)) + 0.001 * static_cast<double>(pick(4));
      std::vector<double> old_mm{8.0 + 4.0 * static_cast<double>(pick(8))};
      if (pick(2) == 0) old_mm.push_back(12.7);
      add_stack(made, spec(kind, 14.0), finish_mm, old_mm,
                pick(4) == 0 ? Method::kTransfer : Method::kOpenOut);
    }
    for (Stack& stack : made.assembly.stacks) stack.fastener.head_diameter_mm = 64.0;
    FastenerMaking making;
    making.head_height_mm = 20.0;
    const FastenerSchedule schedule = scheduled(made, making);
    std::size_t served = 0;
    for (const FastenerPiece& piece : schedule.pieces) {
      ++pieces;
      shared += piece.stacks.size() > 1 ? 1 : 0;
      own += piece.to_own_bore ? 1 : 0;
      served += piece.stacks.size();
      for (const std::size_t i : piece.stacks) {
        for (const double off_mm : {-0.5, 0.5})
          ASSERT_NO_FATAL_FAILURE(check_in_hole(piece, schedule.stacks[i], off_mm));
      }
    }
    ASSERT_EQ(served, static_cast<std::size_t>(kStacksEach)) << schedule.stacks[0].open;
  }
  EXPECT_GT(shared, 200);
  EXPECT_GT(own, 200);
  EXPECT_LT(pieces, kPlans * kStacksEach);
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/layout/layout.h"

#include <gmock/gmock.h>

#include <cmath>
#include <set>

namespace fairhole {
namespace {

constexpr double kRoundingMm = 1e-9;  // coordinates below 1 m: rounding near 1e-12 mm

StackPlan stack_at(const std::string& id, double x, double y, Finish finish = Finish::kBench) {
  StackPlan stack;
  stack.id = id, stack.plate = "left", stack.group = "toe";
  stack.centre_mm = {x, y};
  stack.method = finish == Finish::kInPlace ? Method::kOpenOut : Method::kClear;
  stack.finish = finish;
  stack.finish_diameter_mm = 23.8125;
  LayerPlan layer;
  layer.new_plate = true;
  layer.finish_diameter_mm = stack.finish_diameter_mm;
  layer.action = finish == Finish::kInPlace ? "ream" : "drill";
  if (finish == Finish::kInPlace) layer.pilot_diameter_mm = 20.5;
  stack.layers.push_back(layer);
  return stack;
}

Assembly plate_alone() {
  Assembly assembly;
  assembly.plates.push_back({"left", {{0, 0}, {900, 0}, {900, 400}, {0, 400}}, {}, 12.0, true});
  return assembly;
}

Plan row_plan() {
  Plan plan;
  plan.stacks = {stack_at("S1", 100.3, 50.1, Finish::kInPlace), stack_at("S2", 200.2, 50.4, Finish::kInPlace),
                 stack_at("S3", 300.1, 49.8), stack_at("S4", 400.0, 50.0, Finish::kInPlace),
                 stack_at("S5", 400.0, 350.0)};
  plan.stacks.push_back(stack_at("S6", 600.0, 100.0));
  plan.stacks.back().method = Method::kUndecided;
  SeatPlan seat;
  seat.plate = "left", seat.joint = "toe", seat.locating_a = "S1", seat.locating_b = "S4";
  plan.seats.push_back(seat);
  return plan;
}

// The table says what the seat of a bush is cut about: the pilot, or the old hole that is left and guides.
TEST(Layout, NoteTellsTheBushAndWhatGuides) {
  Plan plan;
  plan.stacks = {stack_at("S1", 100.0, 50.0, Finish::kInPlace)};
  plan.stacks[0].method = Method::kBush;
  LayerPlan bushed;
  bushed.part = "casting", bushed.hole = "A3", bushed.action = "bush", bushed.bush_outside_mm = 27.0;
  plan.stacks[0].layers.push_back(bushed);
  const auto note = [&plan] { return lay_out(plate_alone(), plan, "left")->holes.at(0).note; };
  EXPECT_EQ(note(), "all layers together; bush A3 of casting, 27.00 mm outside");
  LayerPlan left;
  left.part = "near angle", left.hole = "B1", left.action = "leave";
  plan.stacks[0].layers.push_back(left);
  EXPECT_EQ(note(), "through B1 of near angle; bush A3 of casting, 27.00 mm outside");
  plan.stacks[0].layers.back().action = "ream";
  EXPECT_EQ(note(), "all layers together; bush A3 of casting, 27.00 mm outside");
}

TEST(Layout, MarksAreRoundedAndTheErrorShown) {
  const Eigen::Vector2d mark = rounded_mark({100.3, 50.1}, {0.5, false});
  EXPECT_EQ(mark, Eigen::Vector2d(100.5, 50.0));
  const double step = 25.4 / 64.0;
  const Eigen::Vector2d inch = rounded_mark({106.4, 0.0}, {step, true});  // 4 3/16 in is 106.3625 mm
  EXPECT_NEAR(inch.x(), 106.3625, kRoundingMm);
  const auto layout = lay_out(plate_alone(), row_plan(), "left");
  ASSERT_TRUE(layout.ok());
  for (const LaidHole& hole : layout->holes) {
    EXPECT_NEAR(hole.rounding_mm, (hole.mark_mm - hole.centre_mm).norm(), kRoundingMm);
    EXPECT_LE(hole.rounding_mm, 0.25 * std::sqrt(2.0) + kRoundingMm);
  }
}

TEST(Layout, LocatingHolesFirstThenBenchThenInPlace) {
  const auto layout = lay_out(plate_alone(), row_plan(), "left");
  ASSERT_TRUE(layout.ok());
  std::vector<std::string> order;
  for (const LaidHole& hole : layout->holes) order.push_back(hole.id);
  EXPECT_EQ(order, (std::vector<std::string>{"S1", "S4", "S3", "S5", "S2"}));  // S6 is undecided: not drilled
  EXPECT_TRUE(layout->holes[0].locating && layout->holes[1].locating);
  EXPECT_EQ(layout->holes[4].order, 5);
}

TEST(Layout, StepsRiseToThePilotAndThenToTheFinish) {
  const auto layout = lay_out(plate_alone(), row_plan(), "left");
  ASSERT_TRUE(layout.ok());
  for (const LaidHole& hole : layout->holes) {
    double last = 0.0;
    for (const DrillStep& step : hole.bench_steps) {
      EXPECT_GT(step.diameter_mm, last);
      last = step.diameter_mm;
    }
    if (hole.finish == Finish::kInPlace) {
      EXPECT_NEAR(last, 20.5, 0.051);  // a drill may be 0.05 mm below its hole
      for (const DrillStep& step : hole.in_place_steps) {
        EXPECT_GT(step.diameter_mm, last);
        last = step.diameter_mm;
      }
      EXPECT_EQ(hole.in_place_steps.back().tool, ToolKind::kReamer);
    }
    EXPECT_NEAR(last, hole.finish_mm, 0.5);  // a drilled hole takes the next drill at hand
    EXPECT_GT(hole.witness_mm, hole.finish_mm);
    EXPECT_GT(hole.pop_mm, 0.0);
  }
}

TEST(Layout, DiagonalsAreLongSpreadAndBetweenMarks) {
  const auto layout = lay_out(plate_alone(), row_plan(), "left");
  ASSERT_TRUE(layout.ok());
  ASSERT_GE(layout->diagonals.size(), 3U);
  const auto mark = [&layout](const std::string& id) {
    for (const LaidHole& hole : layout->holes) {
      if (hole.id == id) return hole.mark_mm;
    }
    return Eigen::Vector2d(0, 0);
  };
  EXPECT_EQ(layout->diagonals[0].from, "S1");  // the longest of all
  EXPECT_EQ(layout->diagonals[0].to, "S5");
  std::set<std::pair<std::string, std::string>> seen;
  for (const CheckDiagonal& diagonal : layout->diagonals) {
    EXPECT_NEAR(diagonal.length_mm, (mark(diagonal.from) - mark(diagonal.to)).norm(), kRoundingMm);
    EXPECT_NEAR(diagonal.tolerance_mm, 3.0 * std::sqrt(2.0 * 0.2 * 0.2 + 0.3 * 0.3), kRoundingMm);
    EXPECT_TRUE(seen.insert({diagonal.from, diagonal.to}).second);
  }
}

TEST(Layout, FewHolesAndUnknownPlates) {
  const auto empty = lay_out(plate_alone(), {}, "left");
  ASSERT_TRUE(empty.ok());
  EXPECT_TRUE(empty->diagonals.empty());
  const auto unknown = lay_out(plate_alone(), {}, "middle");
  ASSERT_FALSE(unknown.ok());
  EXPECT_EQ(describe(unknown.problems()[0]),
            "E320 layout: there is no plate middle; name one of the job's plates");
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/report/fastener_sheets.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include "fairhole/report/drill_program.h"
#include "fairhole/report/work_order_sheets.h"
#include "rivet_picture.h"

namespace fairhole {
namespace {

TEST(FastenerWords, ThreeHolesInARowAreARange) {
  EXPECT_EQ(places_words({{"left", "T1"}, {"left", "T2"}, {"left", "T3"}, {"right", "T1"}, {"left", "T5"}}),
            "left: T1 to T3, T5; right: T1");
  EXPECT_EQ(
      places_words(
          {{"left", "T1"}, {"left", "T2"}, {"left", "A"}, {"left", "9"}, {"left", "10"}, {"left", "11"}}),
      "left: T1, T2, A, 9 to 11");
}

TEST(FastenerWords, LimitsAreRoundedInwards) {
  // 15/16 in with k6: 23.8125 + 0.002 and + 0.015 (ISO 286-2:2010).
  EXPECT_EQ(limits_words({23814500, 23827500}), "23.827 to 23.815");
  EXPECT_EQ(limits_words({22002000, 22015000}), "22.015 to 22.002");
}

TEST(FastenerWords, GripNamesItsLayers) {
  EXPECT_EQ(grip_words({{"near", 12.7}, {"plate", 12.0}, {"packing", 3.0, 0.5, true}}),
            "near 12.7 + plate 12 + packing 3 = 27.7");
}

/// Points of the lines and ends of the arcs of a drawing, and the radii of its arcs.
struct Drawn {
  std::vector<double> radii_mm;
  std::vector<std::string> texts;
};
Drawn drawn_rivet(const fasteners::RivetDesign& rivet) {
  drawing::Drawing on;
  report::draw_rivet(on, {{0.0, 0.0}, {180.0, 50.0}}, rivet);
  Drawn drawn;
  for (const drawing::Mark& mark : on.marks) {
    if (const auto* arc = std::get_if<drawing::Arc>(&mark.shape)) drawn.radii_mm.push_back(arc->radius_mm);
    if (const auto* text = std::get_if<drawing::Text>(&mark.shape)) drawn.texts.push_back(text->text);
  }
  return drawn;
}

TEST(RivetPicture, ShowsTheRivetItsHeadsAndItsSet) {
  fasteners::RivetOrder order{{"T1", {{"near", 20.0}, {"plate", 12.7}}}, 19.05, 20.6375, 20.6375};
  const fasteners::RivetDesign snap = *design_rivet(order, standard_catalogue());
  const Drawn drawn = drawn_rivet(snap);
  EXPECT_THAT(drawn.texts, testing::IsSupersetOf({"made head", "grip 32.7", "set"}));
  EXPECT_THAT(drawn.texts, testing::Contains(fmt::format("cut to {:.1f}", snap.length_mm)));
  ASSERT_EQ(drawn.radii_mm.size(), 3U);  // two heads and the cup, of one sphere to one scale
  EXPECT_NEAR(drawn.radii_mm[0], drawn.radii_mm[1], 1e-9);
  EXPECT_NEAR(drawn.radii_mm[0], drawn.radii_mm[2], 1e-9);
  order.closing_head = "countersunk 60";
  const Drawn sunk = drawn_rivet(*design_rivet(order, standard_catalogue()));
  EXPECT_EQ(sunk.radii_mm.size(), 1U);  // no cup for a flush head
  EXPECT_THAT(sunk.texts, testing::Not(testing::Contains("set")));
}

PlateLayout small_plate() {
  PlateLayout layout;
  layout.plate = "left";
  layout.hand = "LEFT";
  layout.marked_face = "outer";
  layout.thickness_mm = 12.0;
  LaidHole pilot;
  pilot.id = "T1";
  pilot.centre_mm = {50.0, 40.0};
  pilot.finish_mm = 22.0;
  pilot.finish = Finish::kInPlace;
  pilot.pilot_mm = 18.0;
  pilot.locating = true;
  pilot.bench_steps = {{ToolKind::kPilot, 6.0, "6 mm"}, {ToolKind::kFinalDrill, 18.0, "18 mm"}};
  pilot.in_place_steps = {{ToolKind::kStepDrill, 21.5, "21.5 mm"}, {ToolKind::kReamer, 22.0, "22 mm"}};
  pilot.method = Method::kOpenOut;
  layout.holes = {pilot};
  layout.diagonals = {{"T1", "T2", 412.5, 1.2}};
  return layout;
}

TEST(WorkSteps, RunFromWhiteningToSigningWithTheCautionsWhereTheyBite) {
  FastenerSchedule schedule;
  StackFastener rivet;
  rivet.place = {"left", "T1"};
  rivet.kind = fasteners::Kind::kHotRivet;
  schedule.stacks = {rivet};
  SeatPlan seat;
  seat.part = "near angle";
  seat.plate = "left";
  seat.locating_a = "T1";
  const std::vector<WorkStep> steps = work_steps(small_plate(), {seat}, schedule);
  std::vector<std::string> names;
  for (const WorkStep& step : steps) names.push_back(step.name);
  EXPECT_THAT(names, testing::ElementsAre(
                         "Make ready", "Mark out", "Check diagonals", "Pop and scribe", "Pilot on the bench",
                         "Check back, stage pilot", "Set the parts and bolt up", "Open out and ream in place",
                         "Take apart, deburr", "Check back, stage finished", "Rivet", "Inspect and sign"));
  EXPECT_THAT(steps[0].caution, testing::HasSubstr("lead"));
  EXPECT_THAT(steps[2].words[0], testing::HasSubstr("T1 to T2 412.5 \u00b1 1.2 mm."));
  EXPECT_THAT(steps[4].words, testing::ElementsAre("T1: 6 mm, 18 mm."));
  EXPECT_THAT(steps[4].caution, testing::HasSubstr("snatches"));
  EXPECT_THAT(
      steps[6].words[0],
      testing::Eq(
          "near angle: as the drilling sheet says; clamp, drill T1 through first and put service bolts in."));
  EXPECT_THAT(steps[6].caution, testing::HasSubstr("Hung parts"));
  EXPECT_THAT(steps[7].words[1], testing::Eq("T1: 21.5 mm, reamer 22 mm."));
  EXPECT_THAT(steps[10].caution, testing::HasSubstr("Hot rivets"));
}

TEST(DrillProgram, DepthReachesThroughByThePointAndMore) {
  const std::string text = drill_program(small_plate(), {"Job (1)", "2026-01-05", "abc"}, {"vice", "G54"});
  // 12 mm, 2 mm beyond and the height of a 118 degree point, d / 2 / tan 59: 1.8026 and 5.4077 mm.
  EXPECT_THAT(text, testing::HasSubstr("G98 G81 Z-15.8026 R3 X50 Y40 (T1)"));
  EXPECT_THAT(text, testing::HasSubstr("G98 G81 Z-19.4077 R3 X50 Y40 (T1)"));
  EXPECT_THAT(text, testing::HasSubstr("(Job /1/, plate left, LEFT hand)"));
  EXPECT_THAT(text, testing::Not(testing::HasSubstr("reamer")));  // in place, not here
}

}  // namespace
}  // namespace fairhole

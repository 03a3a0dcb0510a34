// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "setting.h"

#include <gtest/gtest.h>

#include "test_plan.h"

namespace fairhole::report {
namespace {

/// An angle's leg on the plate: heel along the joint, datum corner at (x, y), its long edge turned so far.
SeatPlan leg_at(double x_mm, double y_mm, double turn_deg) {
  SeatPlan seat;
  seat.plate = "left-toe";
  seat.joint = "angle on plate";
  seat.set_x_mm = x_mm;
  seat.set_y_mm = y_mm;
  seat.plate_from_face.motion = {{x_mm, y_mm}, Angle::degrees(turn_deg), false};
  seat.locating_a = "A1";
  seat.locating_b = "A3";
  return seat;
}

JointFindings heel_leg() {
  JointFindings joint;
  joint.datum_end = "top";
  joint.long_edge_is_heel = true;
  return joint;
}

/// Turned by -90 degrees the heel runs along the plate's y: x = -0.5 is the heel's, y = 358 its end's.
TEST(Setting, EachEdgeIsSetFromThePlatesEdgeItRunsWith) {
  EXPECT_EQ(setting_words(leg_at(-0.5, 358.0, -90.0), heel_leg()),
            "Set its heel 0.5 mm beyond the end edge of left-toe, and its datum end (top) 358.0 mm from the "
            "long datum edge of left-toe, both measured at the corner of the two.");
  EXPECT_EQ(setting_words(leg_at(210.0, 0.1, 0.2), heel_leg()),
            "Set its heel 0.1 mm from the long datum edge of left-toe, and its datum end (top) 210.0 mm from "
            "the end edge of left-toe, both measured at the corner of the two.");
}

TEST(Setting, FlushTurnedAndAslant) {
  SeatPlan seat = leg_at(0.0, 100.0, 90.0);
  seat.turn = Angle::degrees(0.11459);  // tan = 1 in 500
  EXPECT_EQ(
      setting_words(seat, {}),
      "Set its long datum edge flush with the end edge of left-toe, and its datum end 100.0 mm from the "
      "long datum edge of left-toe, both measured at the corner of the two; turn it anticlockwise, "
      "1.0 mm in 500 mm.");
  EXPECT_EQ(setting_words(leg_at(60.0, 70.0, 30.0), {}),
            "Set the corner of its datum end and its long datum edge 60.0 mm from the end edge of left-toe, "
            "and 70.0 mm from the long datum edge of left-toe.");
}

TEST(Setting, NamesTheTwoHolesToBoltFirst) {
  Plan plan = test::crane_plan();
  SeatPlan seat = leg_at(0.0, 0.0, 0.0);
  seat.plate = plan.stacks[0].plate;
  plan.stacks[0].centre_mm = {10.0, 20.0};
  plan.stacks[2].centre_mm = {40.0, 60.0};  // 30, 40, 50
  LayerPlan of_part, of_carrier;
  of_part.joint = seat.joint;
  of_part.misfit_mm = {0.21, -0.32};
  of_carrier.misfit_mm = {0.2, 0.1};
  plan.stacks[0].layers = {of_part};
  plan.stacks[2].layers = {of_carrier, of_part};  // an old carrier: 0.01 and -0.42 off its own hole
  EXPECT_EQ(
      first_holes_words(seat, plan),
      "Drill and bolt A1 and A3 first: 50 mm apart. These decide its place: set it so that the middle of its "
      "hole stands x +0.2, y -0.3 mm off A1's mark, and x 0.0, y -0.4 mm off the middle of hole A3.");
  plan.stacks[0].layers[0].misfit_mm = {0.04, -0.01};
  EXPECT_NE(first_holes_words(seat, plan).find("stands on A1's mark, and"), std::string::npos);
  seat.locating_b.clear();
  EXPECT_EQ(first_holes_words(seat, plan).find("It has fewer than two sound holes"), 0U);
}

}  // namespace
}  // namespace fairhole::report

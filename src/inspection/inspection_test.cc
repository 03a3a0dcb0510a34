// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/inspection/inspection.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/geometry/pose.h"

namespace fairhole {
namespace {

constexpr double kMm = 1e-9;

/// Four pilots of 18 mm to be reamed to 22 mm, places within 0.5 mm; one old hole each, reamed with them.
PlannedPlate four_holes() {
  PlannedPlate plan{"left", {}};
  const Eigen::Vector2d places[] = {{50, 40}, {250, 40}, {250, 140}, {60, 150}};
  for (int i = 0; i < 4; ++i) {
    PlannedHole hole;
    hole.id = "T" + std::to_string(i + 1);
    hole.centre_mm = places[i];
    hole.finish_mm = 22.0;
    hole.pilot = HoleLimits{0.5, 10.0, 21.7};
    hole.pilot_mm = 18.0;
    hole.finished = {0.5, 21.5, 24.0};
    hole.mark = "F1";
    hole.fit = "H7/k6";
    hole.mates = {{"angle", "A1", places[i], 21.0, true}};
    plan.holes.push_back(hole);
  }
  return plan;
}

MeasuredFace as_drilled(const PlannedPlate& plan, double diameter_mm, double sigma_mm) {
  MeasuredFace face;
  for (const PlannedHole& hole : plan.holes) {
    face.holes.push_back(
        {hole.id, hole.centre_mm, sigma_mm * sigma_mm * Eigen::Matrix2d::Identity(), diameter_mm, sigma_mm});
  }
  return face;
}

TEST(PositionVerdict, FollowsTheGuardBandOnBothSides) {
  const Eigen::Matrix2d cov = 0.01 * Eigen::Matrix2d::Identity();  // 1 sigma 0.1 mm, zone 1 mm
  const auto at = [&](double x) { return position_verdict({x, 0.0}, cov, 1.0); };
  EXPECT_EQ(at(0.799), Verdict::kConforming);  // 1 - 2 x 0.1
  EXPECT_EQ(at(0.801), Verdict::kCannotSay);
  EXPECT_EQ(at(1.271), Verdict::kCannotSay);  // 1 + 2.716 x 0.1
  EXPECT_EQ(at(1.272), Verdict::kNotConforming);
  // Doubt across the way out counts by how far the ellipse reaches: a long thin one along y, 2 sigma = 0.8
  // mm.
  Eigen::Matrix2d thin = Eigen::Matrix2d::Zero();
  thin(1, 1) = 0.16;
  EXPECT_EQ(position_verdict({0.59, 0.0}, thin, 1.0), Verdict::kConforming);  // sqrt(1 - 0.8^2) = 0.6
  EXPECT_EQ(position_verdict({0.61, 0.0}, thin, 1.0), Verdict::kCannotSay);
  // A wide doubt that holds the whole zone says nothing.
  EXPECT_EQ(position_verdict({0.1, 0.0}, 100.0 * Eigen::Matrix2d::Identity(), 1.0), Verdict::kCannotSay);
  EXPECT_EQ(position_verdict({0.1, 0.0}, Eigen::Matrix2d::Zero(), 0.0), Verdict::kNotConforming);
}

TEST(DiameterVerdict, FollowsTheGuardBandOnBothSides) {
  const auto of = [](double d) { return diameter_verdict(d, 0.05, 22.0, 24.0); };
  EXPECT_EQ(of(21.89), Verdict::kNotConforming);
  EXPECT_EQ(of(21.91), Verdict::kCannotSay);
  EXPECT_EQ(of(22.09), Verdict::kCannotSay);
  EXPECT_EQ(of(22.11), Verdict::kConforming);
  EXPECT_EQ(of(23.89), Verdict::kConforming);
  EXPECT_EQ(of(24.11), Verdict::kNotConforming);
}

TEST(Inspect, TellsTheStageAndPassesASoundPlate) {
  const PlannedPlate plan = four_holes();
  const auto pilots = inspect(plan, as_drilled(plan, 18.2, 0.05));
  ASSERT_TRUE(pilots.ok());
  EXPECT_EQ(pilots->stage, Stage::kPilot);
  for (const HoleVerdict& hole : pilots->holes) EXPECT_EQ(hole.verdict, Verdict::kConforming) << hole.id;
  EXPECT_TRUE(pilots->shanks.empty());
  const auto finished = inspect(plan, as_drilled(plan, 22.01, 0.0005));
  ASSERT_TRUE(finished.ok());
  EXPECT_EQ(finished->stage, Stage::kFinished);
  ASSERT_EQ(finished->shanks.size(), 1U);
  // k6 of 18 to 30 mm is +15/+2 um (ISO 286-2:2010), on the bore, less 2 sigma at both ends; all four alike.
  EXPECT_EQ(finished->shanks[0].shank.min_nm, 22013000);
  EXPECT_EQ(finished->shanks[0].shank.max_nm, 22024000);
}

TEST(Inspect, ShanksFinerThanTheLatheAreToldHoleByHole) {
  MeasuredFace face = as_drilled(four_holes(), 22.01, 0.001);
  face.holes[2].diameter_mm = 22.03;
  const auto found = inspect(four_holes(), face, {Stage::kFinished});
  // k6 is 13 um wide (ISO 286-2:2010), less 2 sigma at both ends 9 um; the lathe holds 10 um.
  ASSERT_EQ(found->shanks.size(), 2U);
  EXPECT_THAT(found->shanks[0].holes, testing::ElementsAre("T1", "T2", "T4"));
  EXPECT_EQ(found->shanks[0].shank.min_nm, 22014000);
  EXPECT_EQ(found->shanks[0].shank.max_nm, 22023000);
  EXPECT_THAT(found->shanks[1].holes, testing::ElementsAre("T3"));
  EXPECT_THAT(
      found->notes,
      testing::Contains("T1, T2, T3, T4: limits finer than the 0.01 mm the lathe is taken to hold, so "
                        "each is turned to its own bore."));
}

TEST(Inspect, SaysWhatToDoAboutAHoleOutOfPlace) {
  const PlannedPlate plan = four_holes();
  MeasuredFace face = as_drilled(plan, 18.2, 0.02);
  face.holes[0].centre_mm.x() += 0.8;   // 10.5 - 9.1 mm: lies within the old hole's rim, 22 mm cleans it up
  face.holes[1].centre_mm.x() += 4.0;   // (21 + 18.2) / 2 + 4 = 23.6 mm
  face.holes[2].centre_mm.x() += 10.0;  // 29.6 mm
  const auto found = inspect(plan, face, {Stage::kPilot});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(
      found->holes[0].remedy,
      "It stands 0.80 mm off, and 0.50 mm is allowed. 22.00 mm still cleans all layers up about x 50.00, y "
      "40.00: set the reamer there, by a bush or a guide, and tell the plan.");
  EXPECT_EQ(found->holes[1].remedy,
            "It stands 4.00 mm off, and 0.50 mm is allowed. All layers clean up at 23.60 mm or more about x "
            "251.30, y "
            "40.00: take the next size, or plug the new hole and drill it afresh.");
  EXPECT_EQ(found->holes[2].remedy,
            "It stands 10.00 mm off, and 0.50 mm is allowed. All layers would clean up at 29.60 mm only, and "
            "24.00 mm "
            "is the most: plug the new hole and drill it afresh.");
  EXPECT_EQ(found->holes[3].remedy, "");
}

TEST(Inspect, SaysHowWellToMeasure) {
  const PlannedPlate plan = four_holes();
  MeasuredFace face = as_drilled(plan, 18.2, 0.05);
  face.holes[0].centre_cov_mm2 = 0.09 * Eigen::Matrix2d::Identity();
  face.holes[1].diameter_mm.reset();
  face.holes.pop_back();
  const auto found = inspect(plan, face, {Stage::kPilot});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->holes[0].remedy,
            "Its place is known to 0.30 mm (1 sigma), too little at 0.50 mm from the zone's rim: measure it "
            "again, to "
            "0.250 mm or better.");
  EXPECT_EQ(found->holes[1].remedy, "Its diameter was not measured: take it with a caliper, twice.");
  EXPECT_EQ(found->holes[3].remedy, "It was not measured: measure it.");
  for (const int i : {0, 1, 3})
    EXPECT_EQ(found->holes[static_cast<std::size_t>(i)].verdict, Verdict::kCannotSay);
}

TEST(Inspect, AWidePilotHasLessRoom) {
  const PlannedPlate plan = four_holes();  // pilots to 21.7 mm, zone 0.5 mm
  MeasuredFace face = as_drilled(plan, 21.2, 0.01);
  for (MeasuredHole& hole : face.holes) hole.diameter_sigma_mm = 0.0;
  // (21.7 - 21.2) / 2 = 0.25 mm of room; the place is known to 0.01 mm.
  face.holes[0].centre_mm.x() += 0.2;
  face.holes[1].centre_mm.x() += 0.24;
  face.holes[2].centre_mm.x() += 0.3;
  face.holes[3].diameter_mm = 18.2;
  face.holes[3].centre_mm.x() += 0.45;
  const auto found = inspect(plan, face, {Stage::kPilot});
  EXPECT_EQ(found->holes[0].verdict, Verdict::kConforming);
  EXPECT_EQ(found->holes[1].verdict, Verdict::kCannotSay);
  EXPECT_EQ(found->holes[2].verdict, Verdict::kNotConforming);
  EXPECT_EQ(found->holes[3].verdict, Verdict::kConforming) << "as drilled the whole zone is its own";
  EXPECT_NEAR(found->holes[2].limits.zone_mm, 0.25, kMm);
  // The diameter's doubt counts against either claim: 2 sigma of 0.05 mm are 0.05 mm of room.
  for (MeasuredHole& hole : face.holes) hole.diameter_sigma_mm = 0.05;
  const auto doubtful = inspect(plan, face, {Stage::kPilot});
  EXPECT_EQ(doubtful->holes[0].verdict, Verdict::kCannotSay);
  EXPECT_EQ(doubtful->holes[2].verdict, Verdict::kCannotSay);
}

TEST(Inspect, AHoleTooLargeOrTooSmallIsRefused) {
  const PlannedPlate plan = four_holes();
  MeasuredFace face = as_drilled(plan, 22.0, 0.01);
  face.holes[0].diameter_mm = 21.0;
  face.holes[1].diameter_mm = 24.5;
  const auto found = inspect(plan, face, {Stage::kFinished});
  EXPECT_EQ(found->holes[0].remedy, "It is 21.00 mm and must be 21.50 mm at least: open it out.");
  EXPECT_EQ(found->holes[1].remedy,
            "It is 24.50 mm and may be 24.00 mm at most: run the plan again with this hole pinned to a "
            "larger size, "
            "or bush or plug it.");
  EXPECT_FALSE(found->holes[0].shank.has_value());
}

TEST(Inspect, FreeMeasurementFollowsThePlateWhereverItLies) {
  const PlannedPlate plan = four_holes();
  MeasuredFace face = as_drilled(plan, 18.2, 0.02);
  face.holes[2].centre_mm += Eigen::Vector2d(1.5, 0.0);
  InspectionOptions free{Stage::kPilot, MeasuredIn::kFree};
  const auto straight = inspect(plan, face, free);
  const Motion away{{300.0, -80.0}, Angle::degrees(137.0), false};
  for (MeasuredHole& hole : face.holes) hole.centre_mm = away * hole.centre_mm;
  for (int i = 0; i < 4; ++i) face.holes[static_cast<std::size_t>(i)].id = "photo " + std::to_string(4 - i);
  const auto moved = inspect(plan, face, free);
  ASSERT_TRUE(straight.ok() && moved.ok());
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR((*moved->holes[i].offset_mm - *straight->holes[i].offset_mm).norm(), 0.0, 1e-6) << i;
    EXPECT_EQ(moved->holes[i].verdict, straight->holes[i].verdict) << i;
  }
  EXPECT_EQ(moved->holes[0].measured_as, "photo 4");
  // Shift and turn leave n - 1.5 of n points' covariance: 4 holes of sigma 0.02 mm, trace 2 x 4 - 3 of it.
  double trace = 0.0;
  for (const HoleVerdict& hole : moved->holes) trace += hole.offset_cov_mm2.trace();
  EXPECT_NEAR(trace, 5.0 * 0.02 * 0.02, kMm);
}

TEST(Inspect, RefusesWhatCannotBeCompared) {
  const PlannedPlate plan = four_holes();
  MeasuredFace face = as_drilled(plan, 18.2, 0.05);
  face.holes.resize(2);
  const auto two = inspect(plan, face, {std::nullopt, MeasuredIn::kFree});
  ASSERT_FALSE(two.ok());
  EXPECT_EQ(
      describe(two.problems()[0]),
      "E584 left: 2 holes to lay the plate on the plan by, measured without its datum edges; measure 3 holes "
      "at the least, or from the datum edges");
  const auto none = inspect(plan, {});
  ASSERT_FALSE(none.ok());
  EXPECT_EQ(describe(none.problems()[0]),
            "E583 left: no measured hole is one of the plan's; name the holes as the drilling sheet does, or "
            "name the "
            "right plate");
}

}  // namespace
}  // namespace fairhole

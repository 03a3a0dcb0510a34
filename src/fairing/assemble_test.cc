// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/assemble.h"

#include <gmock/gmock.h>

#include <numbers>

#include "test_stacks.h"

namespace fairhole {
namespace {

constexpr double kRoundingMm = 1e-9;  // coordinates below 1 m: rounding near 1e-12 mm

PlateFromFace seat_at(double x, double y, double degrees, bool mirrored = false) {
  return {Motion{{x, y}, Angle::degrees(degrees), mirrored}};
}

TEST(Seats, WithinPlayStandsAsAsked) {
  const Play play{-2.0, 2.0, -1.0, 1.0, Angle::degrees(-1.0), Angle::degrees(1.0)};
  const LimitedSeat seat =
      seat_within_play(seat_at(100, 50, 0), seat_at(101, 49.5, 0.5), play, {200.0, 30.0});
  EXPECT_FALSE(seat.at_limit);
  EXPECT_LT((seat.seat.motion.shift_mm - Eigen::Vector2d(101.0, 49.5)).norm(), kRoundingMm);
}

TEST(Seats, OneSidedPlayCutsOnItsSideOnly) {
  const Play play{-1.0, 2.0, 0.0, 0.0, Angle(), Angle()};
  const LimitedSeat far = seat_within_play(seat_at(100, 50, 0), seat_at(103, 50, 0), play, {0.0, 0.0});
  EXPECT_TRUE(far.at_limit);
  EXPECT_NEAR(far.seat.motion.shift_mm.x(), 102.0, kRoundingMm);
  const LimitedSeat back = seat_within_play(seat_at(100, 50, 0), seat_at(97, 50, 0), play, {0.0, 0.0});
  EXPECT_NEAR(back.seat.motion.shift_mm.x(), 99.0, kRoundingMm);
}

// A turn cut short leaves the middle of the holes where it asked to be.
TEST(Seats, TurnCutShortTurnsAboutThePivot) {
  const Play play{-100.0, 100.0, -100.0, 100.0, Angle::degrees(-0.2), Angle::degrees(0.2)};
  for (const bool mirrored : {false, true}) {
    const Eigen::Vector2d pivot(300.0, 40.0);
    const PlateFromFace asked = seat_at(101, 51, 1.0, mirrored);
    const LimitedSeat seat = seat_within_play(seat_at(100, 50, 0, mirrored), asked, play, pivot);
    EXPECT_TRUE(seat.at_limit);
    EXPECT_NEAR(seat.seat.motion.turn.degrees(), 0.2, kRoundingMm);
    EXPECT_LT((seat.seat * pivot - asked * pivot).norm(), kRoundingMm);
  }
}

TEST(Seats, TurnsAreMeasuredTheShortWayRound) {
  const SeatShift shift = seat_shift(seat_at(0, 0, 179.9), seat_at(0, 0, -179.9));
  EXPECT_NEAR(shift.turn.degrees(), 0.2, kRoundingMm);
}

// The registered face is the pattern moved: the seat that puts the holes on the plate's pattern undoes the
// motion.
TEST(Seats, RegistrationPutsTheHolesOnThePattern) {
  for (const bool mirrored : {false, true}) {
    const Motion plate_from_pattern{{400.0, 200.0}, Angle::degrees(3.0), false};
    Registration registration;
    registration.face_from_pattern = {Motion{{12.0, -7.0}, Angle::degrees(1.5), mirrored}};
    const Motion exact = plate_from_pattern * registration.face_from_pattern.motion.inverse();
    const Play play{-50, 50, -50, 50, Angle::degrees(-9), Angle::degrees(9)};
    const FacePlace place{"angle", "leg", "toe", "left"};
    const auto seat = seat_face(place, {exact}, plate_from_pattern, registration, {}, play);
    ASSERT_TRUE(seat.ok());
    const Eigen::Vector2d hole(76.0, 57.0);
    const Eigen::Vector2d measured = registration.face_from_pattern * hole;
    EXPECT_LT((seat->seat * measured - plate_from_pattern * hole).norm(), kRoundingMm);
    PlateFromFace other_hand{exact};
    other_hand.motion.mirrored = !mirrored;
    const auto refused = seat_face(place, other_hand, plate_from_pattern, registration, {}, play);
    ASSERT_FALSE(refused.ok());
    EXPECT_EQ(refused.problems()[0].code, codes::kSeatWrongHand);
  }
}

JoinedFace two_hole_face(bool mirrored) {
  JoinedFace face;
  face.seated = {
      "angle", "leg", "toe", "left", seat_at(100, 50, 90, mirrored), seat_at(100, 50, 90, mirrored), false};
  for (const char* id : {"A1", "A2"}) {
    MeasuredHole hole;
    hole.id = id;
    hole.centre_mm = {id[1] == '1' ? 20.0 : 90.0, 30.0};
    hole.diameter_mm = 22.0;
    face.measured.holes.push_back(hole);
  }
  face.measured.covariance_mm2 = Eigen::MatrixXd::Zero(4, 4);
  face.measured.covariance_mm2.diagonal() << 0.04, 0.01, 0.09, 0.01;
  face.measured.covariance_mm2(0, 3) = face.measured.covariance_mm2(3, 0) = 0.005;  // x of A1 with y of A2
  face.registration.matches = {{"P1", "A1", Eigen::Vector2d::Zero(), 1.0},
                               {"P2", "A2", Eigen::Vector2d::Zero(), 1.0}};
  face.stack_of = {{"P1", "S1"}, {"P2", "S2"}, {"P3", "S3"}, {"P4", "S4"}};
  face.absent = {"P4"};
  face.thickness_mm = 12.7;
  face.bounds = {{Eigen::Vector2d::UnitY(), 5.0, true, "heel fillet"}};
  return face;
}

std::vector<Stack> four_stacks() {
  std::vector<Stack> stacks;
  for (const char* id : {"S1", "S2", "S3", "S4"}) {
    stacks.push_back(test::stack_of(test::fitted_bolt(), {}));
    stacks.back().id = id;
  }
  return stacks;
}

// Turned by 90 degrees, face x becomes plate y; mirrored, face y becomes plate x instead of minus x.
TEST(Assemble, CarriesHolesCovarianceAndBoundsIntoThePlate) {
  for (const bool mirrored : {false, true}) {
    const auto assembly = assemble({test::plate_500()}, four_stacks(), {two_hole_face(mirrored)});
    ASSERT_TRUE(assembly.ok());
    const double side = mirrored ? 1.0 : -1.0;
    const OldLayer& layer = assembly->stacks[0].layers.at(0);
    EXPECT_LT((layer.centre_mm - Eigen::Vector2d(100.0 + side * 30.0, 70.0)).norm(), kRoundingMm);
    const Eigen::MatrixXd& cov = assembly->covariance_mm2;
    EXPECT_NEAR(cov(0, 0), 0.01, kRoundingMm);
    EXPECT_NEAR(cov(1, 1), 0.04, kRoundingMm);
    EXPECT_NEAR(cov(3, 3), 0.09, kRoundingMm);
    EXPECT_NEAR(cov(1, 2), side * 0.005, kRoundingMm);
    const OldLayer::Bound& bound = layer.bounds.at(0);
    EXPECT_NEAR(bound.normal.dot(layer.centre_mm) - bound.offset_mm, 25.0,
                kRoundingMm);  // 30 less 5, as in the face
  }
}

TEST(Assemble, UnmatchedHolesAreUnmeasuredUnlessSaidToBeAbsent) {
  const auto assembly = assemble({test::plate_500()}, four_stacks(), {two_hole_face(false)});
  ASSERT_TRUE(assembly.ok());
  EXPECT_FALSE(assembly->stacks[2].layers.at(0).measured);
  EXPECT_TRUE(assembly->stacks[3].layers.at(0).measured);
  EXPECT_EQ(assembly->stacks[3].layers.at(0).form, HoleForm::kPlugged);
}

TEST(Assemble, OuterSurfaceAddsTiltTimesThickness) {
  JoinedFace face = two_hole_face(false);
  face.surface = Surface::kOuter;
  const auto outer = assemble({test::plate_500()}, four_stacks(), {face}, {Angle::degrees(1.0)});
  ASSERT_TRUE(outer.ok());
  const double tilt = std::numbers::pi / 180.0 * 12.7;
  EXPECT_NEAR(outer->covariance_mm2(0, 0), 0.01 + tilt * tilt, kRoundingMm);
  EXPECT_NEAR(outer->covariance_mm2(1, 2), -0.005, kRoundingMm);
}

TEST(Assemble, UnknownStackIsNamed) {
  JoinedFace face = two_hole_face(false);
  face.stack_of["P1"] = "S9";
  const auto assembly = assemble({test::plate_500()}, four_stacks(), {face});
  ASSERT_FALSE(assembly.ok());
  EXPECT_EQ(describe(assembly.problems()[0]),
            "E311 toe: hole P1 belongs to stack S9, which is not there; name one of the plate's stacks");
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/inference/inference.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "test_drawings.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using test::append_holes;
using test::made_part;
using test::row_of;

constexpr double kRoundingMm = 1e-9;  // coordinates below 1 m, sums of a hundred terms
constexpr double kOwnMm = 0.2;
constexpr double kInch = kMmPerInch;

std::string messages(const Result<Inference>& result) {
  std::string text;
  for (const Problem& problem : result.problems()) text += describe(problem) + "\n";
  return text;
}

MeasuredFace face_of(const std::vector<Vector2d>& holes) {
  std::mt19937_64 rng(1);
  MeasuredFace face = made_part(holes, 0.0, 0.0, 0.0, rng);
  for (MeasuredHole& hole : face.holes) hole.centre_cov_mm2 = kOwnMm * kOwnMm * Eigen::Matrix2d::Identity();
  return face;
}

TEST(Inference, RefusesLessThanTwoHoles) {
  EXPECT_EQ(
      messages(PatternInference{}(face_of({}), "m.json")),
      "E580 m.json: 0 holes: no pattern can be seen in that; measure at least 2 holes; a row shows from 3 "
      "holes on\n");
  EXPECT_EQ(
      messages(PatternInference{}(face_of({{1.0, 2.0}}), "m.json")),
      "E580 m.json: 1 hole: no pattern can be seen in that; measure at least 2 holes; a row shows from 3 "
      "holes on\n");
}

// Every turn that moves the farthest hole by the scatter is looked at: at 51,000 km there would be no end.
TEST(Inference, RefusesAFaceLongerThanLengthsMayBe) {
  EXPECT_EQ(
      messages(PatternInference{}(face_of({{100.2, 51e9}, {176.0, 50.4}}), "m.json")),
      "E332 m.json: holes H1 and H2 lie 51000000 m apart; a face is up to 100 m long; look at the unit: "
      "a measured file is in mm\n");
  EXPECT_TRUE(PatternInference{}(face_of({{1e6, 0.0}, {1e6 + 99'000.0, 0.0}}), "m.json"));
}

TEST(Inference, RefusesHolesOnOneSpotAndNumbersThatAreNone) {
  EXPECT_EQ(messages(PatternInference{}(face_of({{1.0, 2.0}, {1.0, 2.001}, {5.0, 5.0}}), "m.json")),
            "E331 m.json: holes H1 and H2 lie on one spot; leave one of them out\n");
  MeasuredFace face = face_of({{0.0, 0.0}, {std::numeric_limits<double>::infinity(), 0.0}});
  EXPECT_EQ(
      messages(PatternInference{}(face, "m.json")),
      "E330 m.json: hole H2: its place or covariance is not a finite number; correct the measured file\n");
  face = face_of({{0.0, 0.0}, {50.0, 0.0}});
  face.covariance_mm2 = Eigen::MatrixXd::Constant(4, 4, std::nan(""));
  EXPECT_EQ(messages(PatternInference{}(face, "m.json")),
            "E330 m.json: the covariance holds what is not a finite number; correct the measured file\n");
}

TEST(Inference, RefusesAPairThatIsNone) {
  std::mt19937_64 rng(4);
  const MeasuredFace first = made_part(row_of(38.1, 76.2, 6, 57.15), 0.0, 0.3, kOwnMm, rng);
  const MeasuredFace second = face_of({{10.0, 200.0}, {77.0, 310.0}, {140.0, 150.0}, {251.0, 400.0}});
  EXPECT_EQ(messages(PatternInference{}({first, false}, {second, true}, "m.json")),
            "E581 m.json: the holes of the second face do not fit the rows seen on the first; check which "
            "hand each "
            "face is of, or infer each by itself\n");
}

TEST(Inference, TwoHolesStayLoose) {
  const auto got = PatternInference{}(face_of({{40.0, 50.0}, {140.0, 50.0}}));
  ASSERT_TRUE(got);
  EXPECT_TRUE(got->items.empty());
  ASSERT_EQ(got->loose.size(), 2u);
  EXPECT_EQ(got->loose[1].measured, "H2");
  EXPECT_NEAR(got->loose[1].hole.centre_mm.x(), 140.0, kRoundingMm);
}

TEST(Inference, RowWithAMissingHole) {
  std::mt19937_64 rng(5);
  std::vector<Vector2d> holes = row_of(1.5 * kInch, 3.0 * kInch, 7, 2.25 * kInch);
  holes.erase(holes.begin() + 3);
  const auto got = PatternInference{}(made_part(holes, 0.002, 0.3, kOwnMm, rng));
  ASSERT_TRUE(got);
  ASSERT_EQ(got->items.size(), 1u);
  const Row& row = std::get<Row>(got->items[0].item);
  EXPECT_EQ(row.count, 7);
  EXPECT_NEAR(row.pitch_mm, 3.0 * kInch, kRoundingMm);
  EXPECT_NEAR(row.start_mm.x(), 1.5 * kInch, kRoundingMm);
  EXPECT_NEAR(row.start_mm.y(), 2.25 * kInch, kRoundingMm);
  EXPECT_EQ(got->unit, Unit::kInch);
  EXPECT_FALSE(got->items[0].places[3].measured);
  EXPECT_EQ(got->items[0].places[4].measured, "H4");
  EXPECT_EQ(got->items[0].places[4].nominal, "A5");
  EXPECT_NEAR(got->turn.radians(), 0.002, 3.0 * got->turn_sigma.radians());
}

TEST(Inference, RowsAlongTheOtherAxis) {
  std::mt19937_64 rng(6);
  std::vector<Vector2d> holes;
  for (const Vector2d& hole : row_of(40.0, 60.0, 8, 35.0)) holes.emplace_back(hole.y(), hole.x());
  const auto got = PatternInference{}(made_part(holes, -0.002, 0.3, kOwnMm, rng));
  ASSERT_TRUE(got);
  ASSERT_EQ(got->items.size(), 1u);
  const Row& row = std::get<Row>(got->items[0].item);
  EXPECT_NEAR(row.direction.degrees(), 90.0, kRoundingMm);
  EXPECT_NEAR(row.start_mm.x(), 35.0, kRoundingMm);
  EXPECT_NEAR(row.start_mm.y(), 40.0, kRoundingMm);
  EXPECT_NEAR(row.pitch_mm, 60.0, kRoundingMm);
  EXPECT_NEAR(got->turn.radians(), -0.002, 3.0 * got->turn_sigma.radians());
}

/// What is stated expands to where the holes were drawn: grids along x and y, staggered or not, circles.
TEST(Inference, StatedItemsExpandToTheDrawing) {
  std::mt19937_64 rng(7);
  for (const bool along_y : {false, true}) {
    for (const double stagger : {0.0, 0.5}) {
      std::vector<Vector2d> holes;
      for (int line = 0; line < 3; ++line)
        append_holes(holes, row_of(40.0 + (line % 2) * stagger * 60.0, 60.0, 7, 35.0 + 55.0 * line));
      for (Vector2d& hole : holes) {
        if (along_y) std::swap(hole.x(), hole.y());
      }
      const MeasuredFace face = made_part(holes, 0.0, 0.1, 0.05, rng);
      const auto got = PatternInference{}(face);
      ASSERT_TRUE(got);
      ASSERT_EQ(got->items.size(), 1u);
      EXPECT_TRUE(std::holds_alternative<Grid>(got->items[0].item));
      const auto pattern = expand(got->pattern_items(), std::nullopt, "");
      ASSERT_TRUE(pattern);
      ASSERT_EQ(pattern->size(), holes.size());
      for (std::size_t i = 0; i < pattern->size(); ++i) {
        const Place& place = got->items[0].places[i];
        EXPECT_EQ((*pattern)[i].id, place.nominal);
        const std::size_t drawn = std::stoul(place.measured->substr(1)) - 1;
        EXPECT_LT(((*pattern)[i].centre_mm - holes[drawn]).norm(), kRoundingMm);
      }
    }
  }
}

TEST(Inference, TornHoleIsNamedAndHasNoSay) {
  std::mt19937_64 rng(8);
  std::vector<Vector2d> holes = row_of(40.0, 60.0, 8, 35.0);
  holes[3].y() += 3.0;
  const auto got = PatternInference{}(made_part(holes, 0.0, 0.2, 0.1, rng));
  ASSERT_TRUE(got);
  ASSERT_EQ(got->items.size(), 1u);
  const std::vector<Place>& places = got->items[0].places;
  for (std::size_t i = 0; i < places.size(); ++i) EXPECT_EQ(places[i].strayed, i == 3);
  EXPECT_NEAR(places[3].residual_mm.y(), 3.0, 1.0);  // a hole's scatter and the gauge's, five sigmas
}

/// A torn hole that a greater scatter of all would take in: set aside all the same in more than half of the
/// parts (3 mm is no more than five sigmas, and chance brings some of them nearer).
TEST(Inference, TornHoleIsBetterThanAGreaterScatterOfAll) {
  std::mt19937_64 rng(15);
  int set_aside = 0;
  for (int run = 0; run < 20; ++run) {
    std::vector<Vector2d> holes = row_of(38.1, 76.2, 9, 57.15);
    holes[3].y() += 3.0;
    const auto got = PatternInference{}(made_part(holes, 0.0, 0.5, kOwnMm, rng));
    ASSERT_TRUE(got);
    ASSERT_EQ(got->items.size(), 1u);
    set_aside += got->items[0].places[3].strayed ? 1 : 0;
  }
  EXPECT_GT(set_aside, 10);
}

/// The order of the holes and their names change nothing.
TEST(Inference, OrderOfHolesDoesNotMatter) {
  std::mt19937_64 rng(9);
  std::vector<Vector2d> holes = row_of(38.1, 76.2, 6, 57.15);
  append_holes(holes, row_of(76.2, 76.2, 5, 108.0));
  holes.emplace_back(123.0, 84.0);
  MeasuredFace face = made_part(holes, 0.001, 0.4, kOwnMm, rng);
  const auto before = PatternInference{}(face);
  std::shuffle(face.holes.begin(), face.holes.end(), rng);
  const auto after = PatternInference{}(face);
  ASSERT_TRUE(before && after);
  ASSERT_EQ(before->items.size(), after->items.size());
  for (std::size_t i = 0; i < before->items.size(); ++i) {
    EXPECT_EQ(before->items[i].odds, after->items[i].odds);
    for (std::size_t p = 0; p < before->items[i].places.size(); ++p)
      EXPECT_EQ(before->items[i].places[p].measured, after->items[i].places[p].measured);
  }
}

/// A face without datum edges: the same row wherever it lies, its first hole the origin.
TEST(Inference, ShapeAloneGivesPitchesAndAnOriginOfItsOwn) {
  std::mt19937_64 rng(10);
  std::vector<Vector2d> holes = row_of(0.0, 3.0 * kInch, 7, 0.0);
  append_holes(holes, row_of(0.0, 3.0 * kInch, 7, 2.5 * kInch));
  MeasuredFace face = made_part(holes, 0.0, 0.2, 0.1, rng);
  const Motion anywhere{{-371.0, 118.0}, Angle::degrees(33.0), false};
  for (MeasuredHole& hole : face.holes) hole.centre_mm = anywhere * hole.centre_mm;
  PatternInference rules;
  rules.datum_edges = false;
  const auto got = rules(face);
  ASSERT_TRUE(got);
  EXPECT_FALSE(got->placed);
  EXPECT_NEAR(got->turn.degrees(), 33.0, 0.2);  // five sigmas of 14 holes over 450 mm
  ASSERT_EQ(got->items.size(), 1u);
  const Grid& grid = std::get<Grid>(got->items[0].item);
  EXPECT_NEAR(grid.row.pitch_mm, 3.0 * kInch, kRoundingMm);
  EXPECT_NEAR(grid.gauge_mm, 2.5 * kInch, kRoundingMm);
  EXPECT_NEAR(grid.row.start_mm.norm(), 0.0, kRoundingMm);
}

TEST(Inference, OtherHandOfItemsIsThatOfTheirHoles) {
  const std::vector<PatternItem> items = {
      NominalHole{"N", {3.0, 4.0}, std::nullopt}, Row{"R", 1, {10.0, 20.0}, Angle::degrees(30.0), 50.0, 4},
      Grid{{"G", 1, {300.0, 20.0}, Angle::degrees(90.0), 50.0, 3}, -40.0, 3, 25.0},
      BoltCircle{"C", 1, {600.0, 300.0}, 80.0, Angle::degrees(10.0), Angle::degrees(60.0), 6}};
  const auto drawn = expand(items, std::nullopt, "");
  const auto mirrored = expand(other_hand(items), std::nullopt, "");
  ASSERT_TRUE(drawn && mirrored);
  const Pattern expected = other_hand(*drawn);
  ASSERT_EQ(mirrored->size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ((*mirrored)[i].id, expected[i].id);
    EXPECT_LT(((*mirrored)[i].centre_mm - expected[i].centre_mm).norm(), kRoundingMm);
  }
}

/// A hole found on the second face alone fills the gap of the first.
TEST(Inference, SecondFaceFillsTheGaps) {
  std::mt19937_64 rng(12);
  std::vector<Vector2d> left = row_of(40.0, 60.0, 7, 35.0), right = left;
  left.erase(left.begin() + 2);
  for (Vector2d& q : right) q.x() = 500.0 - q.x();
  const auto got = PatternInference{}({made_part(left, 0.001, 0.3, kOwnMm, rng), false},
                                      {made_part(right, -0.002, 0.3, kOwnMm, rng), true});
  ASSERT_TRUE(got);
  ASSERT_EQ(got->items.size(), 1u);
  const Place& gap = got->items[0].places[2];
  EXPECT_FALSE(gap.measured);
  EXPECT_EQ(gap.measured_on_second, "H3");
}

}  // namespace
}  // namespace fairhole

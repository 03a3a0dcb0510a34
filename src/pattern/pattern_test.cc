// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/pattern/pattern.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace fairhole {
namespace {

using Eigen::Vector2d;

constexpr double kRoundingMm = 1e-11;  // coordinates of a metre or two

struct At {
  const char* id;
  double x_mm, y_mm;
};

void expect_holes(const Pattern& pattern, const std::vector<At>& expected) {
  ASSERT_EQ(pattern.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) {
    SCOPED_TRACE(expected[i].id);
    EXPECT_EQ(pattern[i].id, expected[i].id);
    EXPECT_NEAR(pattern[i].centre_mm.x(), expected[i].x_mm, kRoundingMm);
    EXPECT_NEAR(pattern[i].centre_mm.y(), expected[i].y_mm, kRoundingMm);
  }
}

Pattern expanded(const std::vector<PatternItem>& items, std::optional<double> diameter_mm = std::nullopt) {
  Result<Pattern> pattern = expand(items, diameter_mm, "job.json: patterns.toe");
  EXPECT_TRUE(pattern.ok());
  return pattern.ok() ? *std::move(pattern) : Pattern();
}

TEST(Expand, ARowOnAGaugeLine) {
  // 4 in pitch, gauge line 2 1/4 in off the heel, first hole 1 1/2 in from the end.
  expect_holes(expanded({Row{"A", 1, {38.1, 57.15}, Angle(), 101.6, 4}}),
               {{"A1", 38.1, 57.15}, {"A2", 139.7, 57.15}, {"A3", 241.3, 57.15}, {"A4", 342.9, 57.15}});
}

TEST(Expand, ARowInAnyDirection) {
  expect_holes(expanded({Row{"B", 7, {10.0, 20.0}, Angle::degrees(90.0), 50.0, 2}}),
               {{"B7", 10.0, 20.0}, {"B8", 10.0, 70.0}});
  expect_holes(expanded({Row{"B", 1, {0.0, 0.0}, Angle::degrees(180.0), 30.0, 2}}),
               {{"B1", 0.0, 0.0}, {"B2", -30.0, 0.0}});
}

TEST(Expand, AGridIsNumberedRowByRowToTheLeft) {
  const Row row{"G", 1, {5.0, 5.0}, Angle(), 60.0, 2};
  expect_holes(expanded({Grid{row, 40.0, 3, 0.0}}), {{"G1", 5.0, 5.0},
                                                     {"G2", 65.0, 5.0},
                                                     {"G3", 5.0, 45.0},
                                                     {"G4", 65.0, 45.0},
                                                     {"G5", 5.0, 85.0},
                                                     {"G6", 65.0, 85.0}});
}

TEST(Expand, StaggeredRowsShiftEverySecondRow) {
  const Row upright{"S", 1, {0.0, 0.0}, Angle::degrees(90.0), 80.0, 2};  // left of upwards is towards -x
  expect_holes(expanded({Grid{upright, 30.0, 3, 40.0}}), {{"S1", 0.0, 0.0},
                                                          {"S2", 0.0, 80.0},
                                                          {"S3", -30.0, 40.0},
                                                          {"S4", -30.0, 120.0},
                                                          {"S5", -60.0, 0.0},
                                                          {"S6", -60.0, 80.0}});
}

TEST(Expand, ABoltCircleAndAnArc) {
  const double s = 100.0 * std::sqrt(0.5);
  expect_holes(
      expanded({BoltCircle{"C", 1, {10.0, 0.0}, 100.0, Angle::degrees(45.0), Angle::degrees(90.0), 4}}),
      {{"C1", 10.0 + s, s}, {"C2", 10.0 - s, s}, {"C3", 10.0 - s, -s}, {"C4", 10.0 + s, -s}});
  expect_holes(expanded({BoltCircle{"D", 5, {0.0, 0.0}, 50.0, Angle(), Angle::degrees(-30.0), 2}}),
               {{"D5", 50.0, 0.0}, {"D6", 25.0 * std::sqrt(3.0), -25.0}});
}

TEST(Expand, GivesTheDiameterToHolesWithoutTheirOwn) {
  const Pattern pattern =
      expanded({NominalHole{"X", {0.0, 0.0}, 13.5}, Row{"A", 1, {50.0, 0.0}, Angle(), 30.0, 2}}, 22.0);
  ASSERT_EQ(pattern.size(), 3U);
  EXPECT_EQ(pattern[0].diameter_mm, 13.5);
  EXPECT_EQ(pattern[1].diameter_mm, 22.0);
  EXPECT_EQ(expanded({Row{"A", 1, {0.0, 0.0}, Angle(), 30.0, 2}})[0].diameter_mm, std::nullopt);
}

TEST(Expand, OfNothingIsNothing) { EXPECT_TRUE(expanded({}).empty()); }

TEST(OtherHand, ReflectsInXAndKeepsIds) {
  const Pattern pattern = expanded({Row{"A", 1, {38.1, 57.15}, Angle::degrees(90.0), 100.0, 2}}, 22.0);
  const Pattern other = other_hand(pattern);
  expect_holes(other, {{"A1", 38.1, -57.15}, {"A2", 38.1, -157.15}});
  EXPECT_EQ(other[0].diameter_mm, 22.0);
  expect_holes(other_hand(other), {{"A1", 38.1, 57.15}, {"A2", 38.1, 157.15}});
}

TEST(Placed, CarriesEveryHole) {
  const Pattern pattern = expanded({Row{"A", 1, {10.0, 5.0}, Angle(), 100.0, 2}});
  expect_holes(placed(pattern, Motion{{1000.0, 200.0}, Angle::degrees(90.0), false}),
               {{"A1", 995.0, 210.0}, {"A2", 995.0, 310.0}});
  expect_holes(placed(pattern, Motion{{1000.0, 200.0}, Angle::degrees(90.0), true}),
               {{"A1", 1005.0, 210.0}, {"A2", 1005.0, 310.0}});
}

TEST(Expand, SaysWhatIsWrongAndWhere) {
  constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  const Row good{"A", 1, {0.0, 0.0}, Angle(), 50.0, 3};
  const std::string count = "; a count lies between 1 and 10000";
  const std::vector<std::pair<std::vector<PatternItem>, std::string>> cases = {
      {{good, Row{"B", 1, {0.0, 90.0}, Angle(), 50.0, 0}}, "E260 toe: item 2: count is 0" + count},
      {{Grid{good, 40.0, -1, 0.0}}, "E260 toe: item 1: rows is -1" + count},
      {{Grid{{"G", 1, {0.0, 0.0}, Angle(), 50.0, 9000}, 40.0, 9000, 0.0}},
       "E260 toe: item 1: count times rows is 81000000" + count},
      {{BoltCircle{"C", 1, {0.0, 0.0}, 60.0, Angle(), Angle::degrees(30.0), 20'000}},
       "E260 toe: item 1: count is 20000" + count},
      {{good, NominalHole{"A2", {0.0, 70.0}, {}}},
       "E261 toe: 2 holes are called A2; give each hole its own name, or number the next row from where the "
       "last one ends"},
      {{good, NominalHole{"X", {50.0, 0.009}, {}}},
       "E262 toe: A2 and X stand on one spot; state each hole once; look at pitch and step"},
      {{BoltCircle{"C", 1, {0.0, 0.0}, 60.0, Angle(), Angle::degrees(180.0), 3}},
       "E262 toe: C1 and C3 stand on one spot; state each hole once; look at pitch and step"},
      {{NominalHole{"X", {kNan, 0.0}, {}}},
       "E263 toe: item 1: a number that is not finite; give plain numbers"},
      {{Row{"A", 1, {0.0, 0.0}, Angle(), kInfinity, 2}},
       "E263 toe: item 1: a number that is not finite; give plain numbers"},
      {{NominalHole{"X", {0.0, 0.0}, -3.0}},
       "E264 toe: hole X has a diameter of -3 mm; a diameter is above 0"},
  };
  for (const auto& [items, text] : cases) {
    SCOPED_TRACE(text);
    const Result<Pattern> pattern = expand(items, std::nullopt, "toe");
    ASSERT_FALSE(pattern.ok());
    ASSERT_EQ(pattern.problems().size(), 1U);
    EXPECT_EQ(describe(pattern.problems()[0]), text);
  }
}

TEST(Expand, TellsEveryProblemAtOnce) {
  const Result<Pattern> pattern =
      expand({Row{"A", 1, {0.0, 0.0}, Angle(), 50.0, 0}, NominalHole{"X", {0.0, 0.0}, {}},
              NominalHole{"X", {90.0, 0.0}, {}}, NominalHole{"Y", {0.0, 0.0}, {}}},
             0.0, "toe");
  ASSERT_FALSE(pattern.ok());
  EXPECT_EQ(pattern.problems().size(),
            1U + 1U + 1U + 3U);  // count, id twice, one spot, diameter 0 of three holes
}

TEST(Expand, HolesJustApartAreTwoHoles) {
  EXPECT_EQ(expanded({NominalHole{"X", {0.0, 0.0}, {}}, NominalHole{"Y", {0.0, 0.011}, {}}}).size(), 2U);
}

}  // namespace
}  // namespace fairhole

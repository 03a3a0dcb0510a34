// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/clearance.h"

#include <gtest/gtest.h>

#include "support/evidence.h"

namespace fairhole {
namespace {

struct Row {
  double nominal_mm, fine_mm, medium_mm, coarse_mm;
};

// Source: ISO 273:1979, fine (H12), medium (H13), coarse (H14) series. Typed apart from the data file.
constexpr Row kIso273[] = {
    {5, 5.3, 5.5, 5.8},   {6, 6.4, 6.6, 7},     {8, 8.4, 9, 10},  {10, 10.5, 11, 12}, {12, 13, 13.5, 14.5},
    {14, 15, 15.5, 16.5}, {16, 17, 17.5, 18.5}, {18, 19, 20, 21}, {20, 21, 22, 24},   {22, 23, 24, 26},
    {24, 25, 26, 28},     {27, 28, 30, 32},     {30, 31, 33, 35}, {33, 34, 36, 38},   {36, 37, 39, 42}};

TEST(BoltClearanceHole, IsThatOfIso273) {
  test::Evidence holes =
      test::published("ISO 273:1979", "clearance holes M5 to M36, fine, medium, coarse", "mm");
  for (const Row& row : kIso273) {
    SCOPED_TRACE(row.nominal_mm);
    holes.equal(*bolt_clearance_hole_mm(row.nominal_mm, ClearanceSeries::kFine), row.fine_mm);
    holes.equal(*bolt_clearance_hole_mm(row.nominal_mm), row.medium_mm);
    holes.equal(*bolt_clearance_hole_mm(row.nominal_mm, ClearanceSeries::kCoarse), row.coarse_mm);
  }
}

TEST(BoltClearanceHole, OfASizeThatIsNotListedIsAProblem) {
  const Result<double> hole = bolt_clearance_hole_mm(22.225);
  ASSERT_FALSE(hole.ok());
  EXPECT_EQ(describe(hole.problems()[0]),
            "E273 no clearance hole is listed for a bolt of 22.225 mm; use a metric bolt from M5 to M36, or "
            "state the "
            "hole's diameter");
}

TEST(RivetHole, IsASixteenthOverTheColdRivet) {
  // Source: UFGS-05 05 5A p. 18; Waddell, De Pontibus (1898) p. 256: 7/8 in rivet, 15/16 in hole.
  test::published("UFGS-05 05 5A p. 18; Waddell, De Pontibus (1898) p. 256", "hole of a 7/8 in rivet", "mm")
      .near(rivet_hole_mm(7.0 / 8.0 * 25.4), 15.0 / 16.0 * 25.4, 1e-9);
  EXPECT_DOUBLE_EQ(rivet_hole_mm(20.0), 21.5875);
}

TEST(NormalClearance, IsTableElevensForAnySize) {
  // EN 1090-2 table 11: 1 mm for 12 and 14, 2 mm for 16 to 24, 3 mm for 27 and over.
  for (const double bolt_mm : {6.0, 12.0, 14.0, 15.875})
    EXPECT_EQ(normal_clearance_mm(bolt_mm), 1.0) << bolt_mm;
  for (const double bolt_mm : {16.0, 19.05, 22.225, 25.4})
    EXPECT_EQ(normal_clearance_mm(bolt_mm), 2.0) << bolt_mm;
  for (const double bolt_mm : {27.0, 28.575, 48.0}) EXPECT_EQ(normal_clearance_mm(bolt_mm), 3.0) << bolt_mm;
}

}  // namespace
}  // namespace fairhole

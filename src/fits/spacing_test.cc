// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/spacing.h"

#include <gtest/gtest.h>

#include "support/evidence.h"

namespace fairhole {
namespace {

constexpr double kRoundingMm = 1e-9;

TEST(OldPractice, GoesByTheFastener) {
  // Source: Cyclopedia of Carpentry and Building, detailing: 2-5/8 in for 7/8 in rivets, 2-1/4 in for 3/4 in;
  // Lloyd's Register shell riveting minima: 1-1/2 diameters from the plate's edge.
  const EdgeRule rule = edge_rule(SpacingRule::kOldPractice);
  EXPECT_EQ(rule.name, "old practice");
  EXPECT_NE(rule.source.find("Lloyd's"), std::string::npos);
  const Spacing large = least_spacing(rule, 7.0 / 8.0 * 25.4, 15.0 / 16.0 * 25.4);
  test::Evidence old = test::published("Cyclopedia of Carpentry and Building, detailing; Lloyd's Register",
                                       "pitch and edge of old rivets", "mm");
  old.near(large.pitch_mm, 2.625 * 25.4, kRoundingMm);
  old.near(large.gauge_mm, 2.625 * 25.4, kRoundingMm);
  old.near(large.edge_mm, 1.3125 * 25.4, kRoundingMm);
  old.near(large.end_mm, 1.3125 * 25.4, kRoundingMm);
  old.near(least_spacing(rule, 0.75 * 25.4, 0.8125 * 25.4).pitch_mm, 2.25 * 25.4, kRoundingMm);
}

TEST(En1993, GoesByTheHole) {
  // Source: EN 1993-1-8:2005 Table 3.3: e1, e2 >= 1.2 d0; p1 >= 2.2 d0; p2 >= 2.4 d0. M20 in a 22 mm hole.
  const EdgeRule rule = edge_rule(SpacingRule::kEn1993);
  EXPECT_EQ(rule.name, "EN 1993-1-8");
  const Spacing least = least_spacing(rule, 20.0, 22.0);
  test::Evidence rules =
      test::published("EN 1993-1-8:2005 table 3.3", "least ends, edges, pitches, M20 in 22 mm", "mm");
  rules.near(least.end_mm, 26.4, kRoundingMm);
  rules.near(least.edge_mm, 26.4, kRoundingMm);
  rules.near(least.pitch_mm, 48.4, kRoundingMm);
  rules.near(least.gauge_mm, 52.8, kRoundingMm);
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Source: fixtures/reference/rivet_*.csv, computed apart from the program or as published (its README).
#include "fairhole/fasteners/rivet.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "../fits/test_reference.h"
#include "fairhole/base/length.h"
#include "support/evidence.h"

namespace fairhole::fasteners {
namespace {

using fits::reference_table;
using fits::Table;

constexpr double kPrinted4 = 0.00006;  // printed to four decimals
constexpr double kPrinted1Mm = 0.051;  // printed to 0.1 mm, some by halves to even

TEST(RivetHeads, HaveVolumeRadiusAndShankOfTheTable) {
  const Table table = reference_table("rivet_heads.csv");
  ASSERT_EQ(table.rows(), 6U);
  const char* const names[] = {"snap", "cold snap", "button", "pan", "countersunk 60", "countersunk 90"};
  test::Evidence shapes = test::published("BS 275:1927 in Machinery's Handbook; BS 4620 in Newnes; others",
                                          "rivet heads: diameter and height in diameters");
  test::Evidence volumes = test::second_method("volumes of segments, apart from the program",
                                               "shank that makes the head, in diameters");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    SCOPED_TRACE(names[row]);
    const auto head = head_named(standard_catalogue(), names[row]);
    ASSERT_TRUE(head.ok());
    shapes.near(head->diameter_ratio, table.number(row, "head_diameter"), 1e-9);
    shapes.near(head->height_ratio, table.number(row, "head_height_or_depth"), 1e-9);
    const HeadSize unit = head_of_rivet(*head, 1.0);
    EXPECT_NEAR(head_volume_mm3(unit, 1.0), table.number(row, "volume"), kPrinted4);
    volumes.near(head_shank_mm(unit, 1.0), table.number(row, "equivalent_shank_length"), kPrinted4);
    if (!table.text(row, "sphere_radius").empty()) {
      EXPECT_NEAR(form_radius_mm(unit), table.number(row, "sphere_radius"), kPrinted4);
    }
  }
}

RivetDesign designed(double rivet_mm, double hole_mm, double grip_mm, const char* closing = "snap") {
  return *design_rivet(
      {{"S1", {{"plate", grip_mm, 0.0, false}}}, rivet_mm, hole_mm, hole_mm, "snap", closing},
      standard_catalogue());
}

TEST(RivetLength, IsThatOfTheTable) {
  const Table table = reference_table("rivet_shank_length.csv");
  ASSERT_EQ(table.rows(), 36U);
  test::Evidence lengths =
      test::second_method("volumes, apart from the program", "rivet length, 36 grips and holes", "mm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double d = table.number(row, "rivet_d"), hole = table.number(row, "hole_d"),
                 grip = table.number(row, "grip");
    SCOPED_TRACE(testing::Message() << d << " in " << hole << ", grip " << grip);
    const RivetDesign snap = designed(d, hole, grip), sunk = designed(d, hole, grip, "countersunk 60");
    lengths.near(snap.least_length_mm, table.number(row, "L_snap_volume"), kPrinted1Mm);
    EXPECT_NEAR(snap.most_length_mm, snap.least_length_mm, 1e-9);
    EXPECT_NEAR(snap.rule_long_mm, table.number(row, "L_rule_G_plus_1.5d"), kPrinted1Mm);
    EXPECT_NEAR(snap.rule_short_mm, table.number(row, "L_rule_1.1G_plus_1.3d"), kPrinted1Mm);
    lengths.near(sunk.least_length_mm, table.number(row, "L_csk60_volume"), kPrinted1Mm);
    EXPECT_LE(std::abs(snap.length_mm - snap.least_length_mm), 0.25 + 1e-9);
    EXPECT_DOUBLE_EQ(snap.length_mm * 2, std::round(snap.length_mm * 2));
  }
}

TEST(RivetLength, SpansHoleAndGripAndSinksTheMadeHead) {
  // By volume, by hand: 20 mm rivet, hole 21 to 22, grip 30 +- 1.
  const RivetDesign design =
      *design_rivet({{"S1", {{"a", 15, 0.4, false}, {"shim", 5, 0.1, true}, {"b", 10, 0.5, false}}},
                     20,
                     21,
                     22,
                     "snap",
                     "snap"},
                    standard_catalogue());
  const double head = 1.1247 * 20;
  EXPECT_NEAR(design.least_length_mm, 29 * 21 * 21 / 400.0 + head, 0.002);
  EXPECT_NEAR(design.most_length_mm, 31 * 22 * 22 / 400.0 + head, 0.002);
  const RivetDesign sunk = *design_rivet(
      {{"S1", {{"a", 30, 0, false}}}, 20, 21, 21, "countersunk 60", "snap"}, standard_catalogue());
  const double depth = 0.433013 * 20;
  EXPECT_NEAR(sunk.least_length_mm, depth + (30 - depth) * 21 * 21 / 400.0 + head, 0.002);
}

TEST(RivetForce, IsThatOfThePublishedChart) {
  const Table table = reference_table("rivet_driving_force.csv");
  ASSERT_EQ(table.rows(), 12U);
  test::Evidence chart = test::published("Marks' Handbook, 6th ed. 1958, p. 8-4, as charted",
                                         "hot driving force over the chart's");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double d_mm = *parse_length_mm(table.text(row, "d_in") + " in", Unit::kInch);
    SCOPED_TRACE(table.text(row, "d_in"));
    const PressForce hot = closing_force(d_mm), cold = closing_force(d_mm, false);
    // The chart's own figures, 0.2 % off their own rule at 9/16 and 13/16 in.
    chart.near(hot.newton / 4.4482216 / table.number(row, "published_hot_force"), 1.0, 0.002);
    EXPECT_NEAR(hot.newton / 1000, table.number(row, "kN_hot"), 0.06);
    EXPECT_NEAR(hot.long_tons(), table.number(row, "long_tons"), 0.06);
    EXPECT_NEAR(cold.newton / 1000, table.number(row, "kN_cold_x2"), 0.06);
  }
}

TEST(RivetForce, ThirtyFiveTonsLieBetweenThreeQuartersAndSevenEighths) {
  // Common practice, no source: about 35 t on a 50 t press closes a hot snap-headed frame rivet well.
  const PressForce small = closing_force(0.75 * kMmPerInch), large = closing_force(0.875 * kMmPerInch);
  EXPECT_LT(small.long_tons(), 35.0);
  EXPECT_LT(small.tonnes(), 35.0);
  EXPECT_GT(large.long_tons(), 35.0);
  EXPECT_GT(large.tonnes(), 35.0);
  EXPECT_LT(large.tonnes(), 50.0);
}

TEST(RivetCup, FormsTheHeadAndStaysOffThePlate) {
  const HeadSize head = head_of_rivet(*head_named(standard_catalogue(), "snap"), 20.0);
  const Cup cup = cup_of(head);
  EXPECT_NEAR(cup.radius_mm, 0.8071 * 20, 0.002);
  EXPECT_NEAR(head.height_mm - cup.depth_mm, 25.4 / 32, 1e-9);
  // The mouth lies on the head's sphere, by Pythagoras from its centre.
  EXPECT_NEAR(std::hypot(cup.mouth_mm / 2, cup.radius_mm - cup.depth_mm), cup.radius_mm, 1e-9);
  EXPECT_LT(cup.mouth_mm, head.diameter_mm);
  EXPECT_FALSE(designed(20, 21.5, 30, "pan").cup.has_value());
}

std::string notes_of(const RivetDesign& design) {
  std::string text;
  for (std::size_t i = 2; i < design.notes.size(); ++i) text += design.notes[i];
  return text;
}

TEST(RivetNotes, WarnInPlainWords) {
  EXPECT_EQ(designed(20, 21.5, 30).notes[0],
            "Heat evenly to light cherry red, 1065 C at the most; do not drive below 540 C. Cut two or three "
            "trial rivets "
            "first: clearance and snap differ.");
  // pi/4 (20/25.4)^2 x 150000 lbf = 73042 lbf = 324.9 kN = 33.1 t.
  EXPECT_EQ(designed(20, 21.5, 30).notes[1],
            "To press it hot about 325 kN (33 t): 150000 lbf/in2 on the cold section (Marks 1958, as "
            "quoted); an estimate.");
  EXPECT_EQ(notes_of(designed(20, 21.5, 90)), "");
  EXPECT_EQ(
      notes_of(designed(20, 21.5, 100)),
      "The grip is 5.0 diameters: over 4.5 (hammer) or 6.5 (press) a rivet does not fill its hole surely (EN "
      "1993-1-8, from memory).");
  EXPECT_EQ(notes_of(designed(20, 24, 30)),
            "The hole is 4.0 mm over the rivet, where 1/16 in is meant: take the next larger rivet.");
  EXPECT_EQ(notes_of(designed(20, 21.5, 11, "countersunk 60")),
            "\"plate\" is 11 mm thick: no countersunk rivet in plate under 7/16 in (Waddell 1898).");
}

TEST(RivetOrders, ThatCannotBeAreRefused) {
  const auto text = [](const RivetOrder& order) {
    const auto design = design_rivet(order, standard_catalogue());
    std::string all;
    if (!design.ok()) {
      for (const Problem& problem : design.problems()) all += describe(problem) + "\n";
    }
    return all;
  };
  EXPECT_EQ(text({{"S1", {{"plate", 12, 0, false}}}, 20, 19.5, 21, "snap", "flat"}),
            "E448 no rivet head \"flat\"; write one of: snap, cold snap, button, pan, countersunk 60, "
            "countersunk 90\n"
            "E451 S1: a rivet of 20 mm in a hole of 19.5 to 21 mm; the hole is larger than the cold rivet, "
            "about 1/16 in\n");
  EXPECT_EQ(text({{"S1", {{"shim", 2, 0, true}, {"plate", 3, 3, false}}}, 20, 21, 21, "snap", "snap"}),
            "E450 S1: layer \"plate\" is 3 +- 3 mm thick; state a thickness above 0 and how far it may be "
            "off, less than "
            "itself\n");
  EXPECT_EQ(text({{"S1", {{"shim", 2, 0, true}}}, 20, 21, 21, "snap", "snap"}),
            "E450 S1: no layer that bears on the fastener; name at least one layer that is no packing\n");
}

}  // namespace
}  // namespace fairhole::fasteners

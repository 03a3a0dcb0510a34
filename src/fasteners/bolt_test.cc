// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/bolt.h"

#include <gtest/gtest.h>

#include <limits>

namespace fairhole::fasteners {
namespace {

constexpr double kMm = 1e-9;

BoltOrder fitted(std::vector<GripLayer> layers) {
  BoltOrder order;
  order.stack = {"S1", std::move(layers)};
  order.nominal_mm = 22.0;
  order.shank = *limits_of({"k", 6}, 22.0);
  return order;
}

std::string notes_of(const BoltDesign& design) {
  std::string text;
  for (const std::string& note : design.notes) text += note + "\n";
  return text;
}

TEST(FittedBolt, WorkedByHand) {
  // Clasped plate: 12.7 + 12 + 12.7 = 37.4 mm. 22 k6 takes M20 (22.002 - 0.2 passes it, M22 does not):
  // pitch 2.5, nut 18, relief 5. Washer: 37.4 + 0.2 + 5 + 2.5 - 37.4 = 7.7 mm needed, so the thick one of 8.
  const BoltDesign design = *design_bolt(
      fitted({{"near angle", 12.7, 0, false}, {"plate", 12, 0, false}, {"far angle", 12.7, 0, false}}),
      standard_catalogue());
  EXPECT_EQ(design.thread.name(), "M20");
  EXPECT_NEAR(design.shank_mm, 37.4, kMm);
  EXPECT_NEAR(design.relief_mm, 5.0, kMm);
  EXPECT_NEAR(design.nut_washer_mm, 8.0, kMm);
  EXPECT_NEAR(design.shank_most_mm, 37.4 + 8 - 2.5 - 5, kMm);
  EXPECT_NEAR(design.thread_from_mm, 42.6, kMm);
  EXPECT_NEAR(design.length_mm, 71.0, kMm);  // 45.4 + 18 + 3 x 2.5 = 70.9
  EXPECT_TRUE(design.hexagon);
  EXPECT_NEAR(design.head.diameter_mm, 30.0, kMm);  // 30/22 = 1.36
  EXPECT_NEAR(design.across_corners_mm, 34.64, 0.005);
  EXPECT_LT(design.relief_diameter_mm, 16.933);  // core of M20, ISO 724
  // 22.015 + 0.5 rounded up to 0.5: the shank may stand 0.2 mm into the washer.
  EXPECT_NEAR(design.nut_washer_hole_mm, 23.0, kMm);
  EXPECT_EQ(notes_of(design),
            "A plain washer leaves no room for the thread's run-out: a thick one of 8 mm.\n"
            "The shank may stand into the washer: bore it to 23 mm.\n");
}

TEST(FittedBolt, ThroughTheCastingIsLongerThanThroughThePlate) {
  const BoltDesign plate =
      *design_bolt(fitted({{"plate", 12, 0, false}, {"block", 25, 0, false}}), standard_catalogue());
  const BoltDesign saddle =
      *design_bolt(fitted({{"plate", 12, 0, false}, {"saddle", 45, 0, false}}), standard_catalogue());
  EXPECT_NEAR(saddle.shank_mm - plate.shank_mm, 20.0, kMm);
  EXPECT_NEAR(saddle.length_mm - plate.length_mm, 20.0, kMm);
}

TEST(FittedBolt, PackingUnderTheNutMayHoldTheThread) {
  // 10 mm of packing beyond the last bearing layer: the run-out lies in it, a plain washer does.
  const BoltDesign design =
      *design_bolt(fitted({{"plate", 24, 0, false}, {"packing", 10, 0, true}}), standard_catalogue());
  EXPECT_NEAR(design.shank_mm, 24.0, kMm);
  EXPECT_NEAR(design.nut_washer_mm, 3.0, kMm);
  EXPECT_EQ(notes_of(design), "");
  // Between two bearing layers it is part of what the shank must reach through.
  const BoltDesign between =
      *design_bolt(fitted({{"plate", 24, 0, false}, {"packing", 10, 0, true}, {"angle", 12, 0, false}}),
                   standard_catalogue());
  EXPECT_NEAR(between.shank_mm, 46.0, kMm);
}

TEST(FittedBolt, InInchesNeedsItsWasherMadeOrStated) {
  BoltOrder order = fitted({{"plate", 25.4, 0, false}});
  order.nominal_mm = 22.225;
  order.shank = *limits_of({"k", 6}, 22.225);
  order.rules.thread_series = "BSW";
  const BoltDesign design = *design_bolt(order, standard_catalogue());
  EXPECT_EQ(design.thread.name(), "3/4 BSW");
  // 25.4 + 0.2 + 2 x 2.54 + 2.54 - 25.4 = 7.82 mm; BS 3410 is a gap, so made 8 mm.
  EXPECT_TRUE(design.washer_made);
  EXPECT_NEAR(design.nut_washer_mm, 8.0, kMm);
  order.rules.washer_mm = 5.0;
  EXPECT_EQ(
      describe(design_bolt(order, standard_catalogue()).problems()[0]),
      "E452 S1: a washer of 5 mm leaves no room for the thread's run-out; put 7.9 mm or more under the nut");
  order.rules.washer_mm = 7.9;
  EXPECT_TRUE(design_bolt(order, standard_catalogue()).ok());
}

TEST(FittedBolt, TakesALargerHexagonWhereTheThreadsOwnIsSmall) {
  BoltOrder order = fitted({{"plate", 25, 0, false}});
  order.rules.thread = "M16";  // 24 across flats on a shank of 22: 30 (of M20) is the first of 1.35 times 22
  EXPECT_NEAR(design_bolt(order, standard_catalogue())->head.diameter_mm, 30.0, kMm);
  EXPECT_NEAR(design_bolt(order, standard_catalogue())->nut_mm, 14.8, kMm);
}

TEST(RivetHeadedBolt, MatchesTheRivetsBesideIt) {
  BoltOrder order = fitted({{"plate", 25, 0, false}});
  order.kind = Kind::kRivetHeadedBolt;
  order.head = head_of_rivet(*head_named(standard_catalogue(), "snap"), 22.0);
  order.flat_from_axis_mm = 15.0;
  const BoltDesign design = *design_bolt(order, standard_catalogue());
  EXPECT_FALSE(design.hexagon);
  EXPECT_NEAR(design.head.diameter_mm, 1.6 * 22, kMm);
  EXPECT_NEAR(design.head.height_mm, 0.7 * 22, kMm);
  EXPECT_NEAR(design.form_radius_mm, 0.8071 * 22, 0.002);  // BS 275 snap head: sphere of 0.8071 d
  EXPECT_EQ(*design.flat_from_axis_mm, 15.0);
  order.flat_from_axis_mm = 11.5;
  EXPECT_EQ(describe(design_bolt(order, standard_catalogue()).problems()[0]),
            "E452 S1: a flat 11.5 mm from the axis; keep it between 12.01 and 17.6 mm");
  order.head.reset();
  EXPECT_EQ(describe(design_bolt(order, standard_catalogue()).problems()[0]),
            "E452 S1: no head to match the rivets; state diameter and height of the neighbouring rivets' "
            "heads, snap or pan");
  order.head = HeadSize{HeadForm::kCountersunk, 33.0, 9.5};
  EXPECT_EQ(design_bolt(order, standard_catalogue()).problems()[0].code, codes::kBadBolt);
}

TEST(ClearanceBolt, FromTheShelfSaysWhereItsThreadLies) {
  BoltOrder order = fitted({{"plate", 12, 0, false}, {"bracket", 10, 0, false}});
  order.kind = Kind::kClearanceBolt;
  order.nominal_mm = 20.0;
  order.shank = {20000000, 20000000};
  const BoltDesign design = *design_bolt(order, standard_catalogue());
  EXPECT_EQ(design.thread.name(), "M20");
  ASSERT_TRUE(design.stock.has_value());
  // 22 + 3 + 18 + 3 x 2.5 = 50.5 mm: 55 mm, thread 46 mm long, so from 9 mm on: in the plate.
  EXPECT_NEAR(design.stock->length_mm, 55.0, kMm);
  EXPECT_NEAR(design.stock->thread_from_mm, 9.0, kMm);
  EXPECT_TRUE(design.stock->thread_in_layer);
  EXPECT_EQ(design.notes.back(),
            "A stock bolt of 55 mm has thread in a bearing layer: reckon its shear on the thread's section, "
            "or make the bolt to these lengths, or cut one of 90 mm down to 56 mm and run its thread on to "
            "27.2 mm from the head.");
  // 22 mm of plain shank, 46 mm of thread, 5 x 2.5 mm of run-out: 80.5 mm, 90 on the shelf. A washer of 8
  // mm: 55.5 mm.
}

TEST(FittedBolt, HasTheWasherUnderItsHeadBoredForTheShank) {
  BoltOrder order = fitted({{"plate", 25, 0, false}});
  order.rules.washer_under_head = true;
  const BoltDesign design = *design_bolt(order, standard_catalogue());
  EXPECT_NEAR(design.head_washer_mm, 3.0, kMm);
  EXPECT_NEAR(design.shank_mm, 28.0, kMm);
  EXPECT_EQ(design.notes[0], "Bore the washer under the head to 23 mm, for the shank.");  // M20's has 21 mm
  EXPECT_NEAR(design.head_washer_hole_mm, 23.0, kMm);
  order.rules.thread_series = "BSW";  // no Whitworth washers in the catalogue
  const BoltDesign made = *design_bolt(order, standard_catalogue());
  EXPECT_TRUE(made.head_washer_made);
  EXPECT_NEAR(made.head_washer_mm, 4.0, kMm);
  EXPECT_NEAR(made.shank_mm, 29.0, kMm);
  EXPECT_NEAR(made.head_washer_hole_mm, 23.0, kMm);
}

TEST(FittedBolt, TakesAThreadThatHasANut) {
  // 17.7 mm would take 11/16 BSW (17.46 mm), for which BS 1083 lists no nut: 5/8.
  BoltOrder order = fitted({{"plate", 25, 0, false}});
  order.nominal_mm = 17.7;
  order.shank = *limits_of({"k", 6}, 17.7);
  order.rules.thread_series = "BSW";
  EXPECT_EQ(design_bolt(order, standard_catalogue())->thread.name(), "5/8 BSW");
}

TEST(BoltOrders, ThatCannotBeAreRefused) {
  const auto text = [](const BoltOrder& order) {
    const auto design = design_bolt(order, standard_catalogue());
    return design.ok() ? "no problem" : describe(design.problems()[0]);
  };
  BoltOrder order = fitted({{"plate", 25, 0, false}});
  order.rules.thread = "M24";
  EXPECT_EQ(
      text(order),
      "E452 S1: thread M24 of 24 mm does not pass a hole for a shank of 22.02 mm; choose a smaller thread");
  order.rules.thread = "M19";
  EXPECT_EQ(text(order).substr(0, 4), "E448");
  order.rules.thread.reset();
  order.rules.relief_pitches = -1.0;
  EXPECT_EQ(
      text(order),
      "E452 S1: sizes or rules that cannot be; state a shank above 0 with its limits, and no negative rule");
  order.rules.relief_pitches = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(text(order).substr(0, 4), "E452");
  EXPECT_EQ(text(fitted({})).substr(0, 4), "E450");
  order = fitted({{"plate", 25, 0, false}});
  order.kind = Kind::kClearanceBolt;
  order.nominal_mm = 21.0;
  EXPECT_EQ(text(order), "E452 S1: no metric bolt of 21 mm; state a thread; the next smaller is M20");
}

}  // namespace
}  // namespace fairhole::fasteners

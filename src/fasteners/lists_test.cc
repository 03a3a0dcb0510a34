// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/lists.h"

#include <gtest/gtest.h>

namespace fairhole::fasteners {
namespace {

BoltDesign bolt(const std::string& stack, double grip_mm, int least_um, int most_um,
                Kind kind = Kind::kRivetHeadedBolt) {
  BoltOrder order;
  order.stack = {stack, {{"plate", grip_mm, 0.0, false}}};
  order.kind = kind;
  order.nominal_mm = 22.0;
  order.shank = {22000000 + 1000LL * least_um, 22000000 + 1000LL * most_um};
  order.head = HeadSize{HeadForm::kSnap, 35.2, 15.4};
  if (kind == Kind::kClearanceBolt) {
    order.nominal_mm = 20.0;
    order.shank = {20000000, 20000000};
    order.stack.layers.push_back({"packing", 40.0, 0.0, true});
  }
  return *design_bolt(order, standard_catalogue());
}

TEST(TurningList, GroupsBySizeAndThenByLength) {
  const std::vector<BoltDesign> designs{bolt("A1", 37.4, 2, 15), bolt("A2", 37.4, 8, 21),
                                        bolt("A3", 57.4, 4, 17), bolt("A4", 37.4, 30, 43)};
  const auto lines = turning_list(designs, 0.005, standard_catalogue());
  ASSERT_TRUE(lines.ok());
  ASSERT_EQ(lines->size(), 3U);
  EXPECT_EQ((*lines)[0].stacks, (std::vector<std::string>{"A1", "A2"}));
  EXPECT_EQ((*lines)[1].stacks, (std::vector<std::string>{"A3"}));
  EXPECT_EQ((*lines)[2].stacks, (std::vector<std::string>{"A4"}));
  EXPECT_EQ((*lines)[0].shank_group, 0U);
  EXPECT_EQ((*lines)[1].shank_group, 0U);
  EXPECT_EQ((*lines)[2].shank_group, 1U);
  EXPECT_EQ((*lines)[0].shank.min_nm, 22008000);  // within 2..15, 8..21 and 4..17
  EXPECT_EQ((*lines)[0].shank.max_nm, 22015000);
  EXPECT_EQ((*lines)[1].design.length_mm - (*lines)[0].design.length_mm, 20.0);
  EXPECT_EQ((*lines)[0].bar.name,
            "1 7/16 in");  // head 35.2 + 1 mm to clean up; the next over 36.2 mm is 36.5125
  EXPECT_NEAR((*lines)[0].piece_mm, 15.4 + (*lines)[0].design.length_mm + 6.0, 1e-9);
}

TEST(TurningList, PassesOnWhatCannotBeTurned) {
  EXPECT_EQ(turning_list({bolt("A1", 37.4, 2, 5)}, 0.005, standard_catalogue()).problems()[0].code,
            codes::kShankTooNarrow);
  const Catalogue no_bar{standard_catalogue().threads, standard_catalogue().hexagons, {}, {}, {}, {}, {}};
  EXPECT_EQ(turning_list({bolt("A1", 37.4, 2, 15)}, 0.005, no_bar).problems()[0].code,
            fairhole::codes::kNotInCatalogue);
}

TEST(BuyingList, CountsEveryPieceOnce) {
  const std::vector<BoltDesign> designs{bolt("A1", 37.4, 2, 15), bolt("A2", 37.4, 8, 21),
                                        bolt("B1", 20.0, 0, 0, Kind::kClearanceBolt)};
  const auto turning = turning_list(designs, 0.005, standard_catalogue());
  ASSERT_TRUE(turning.ok());
  ASSERT_EQ(turning->size(), 1U);  // the clearance bolt is on the shelf
  const RivetDesign rivet = *design_rivet({{"R1", {{"plate", 25, 0, false}}}, 22, 23.5, 23.5, "snap", "snap"},
                                          standard_catalogue());
  std::vector<std::string> lines;
  for (const BuyingLine& line : buying_list(*turning, designs, {rivet, rivet}, {}))
    lines.push_back(std::to_string(line.quantity) + (line.is_length ? " mm " : " ") + line.what);
  // Bar: 2 x (15.4 + 71 + 6). Rivet: 25 x (23.5/22)^2 + 1.1247 x 22 = 53.27. Shelf: 60 + 3 + 18 + 7.5 = 88.5.
  EXPECT_EQ(lines, (std::vector<std::string>{"185 mm round bar 1 7/16 in", "1 bolt M20 x 90 mm", "3 nut M20",
                                             "2 rivet 22 x 53.5 mm, snap head", "1 washer 21 x 37 x 3 mm",
                                             "2 washer 23 x 37 x 8 mm"}));
}

TEST(BuyingList, HoldsLockNutsAndWashersUnderHeads) {
  BoltOrder order;
  order.stack = {"A1", {{"plate", 25.0, 0.0, false}}};
  order.nominal_mm = 22.0;
  order.shank = {22002000, 22015000};
  order.rules.lock_nut = true;
  order.rules.washer_under_head = true;
  std::vector<std::string> lines;
  for (const BuyingLine& line : buying_list({}, {*design_bolt(order, standard_catalogue())}, {}, order.rules))
    lines.push_back(std::to_string(line.quantity) + " " + line.what);
  EXPECT_EQ(lines, (std::vector<std::string>{"1 lock-nut M20", "1 nut M20", "1 washer 23 x 37 x 8 mm",
                                             "1 washer under the head 23 x 3 mm"}));
}

}  // namespace
}  // namespace fairhole::fasteners

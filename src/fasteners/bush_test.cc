// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/bush.h"

#include <gtest/gtest.h>

#include "fairhole/fits/fit.h"

namespace fairhole::fasteners {
namespace {

BushOrder order_of(double hole_mm, double bolt_mm) {
  BushOrder order;
  order.hole = "A3";
  order.hole_nominal_mm = hole_mm;
  order.bolt_nominal_mm = bolt_mm;
  order.length_mm = 12.0;
  order.bush = order.part = metals().front();
  return order;
}

TEST(Bush, InAHoleOfItsClass) {
  // ISO 286, 18 to 30 mm: H7 +21/0, p6 +35/+22. 30 mm in 18 to 30; bore 20 H7 in the same step.
  const BushDesign design = *design_bush(order_of(30, 20));
  EXPECT_EQ(design.outside.min_nm, 30022000);
  EXPECT_EQ(design.outside.max_nm, 30035000);
  EXPECT_EQ(design.bore.max_nm, 20021000);
  EXPECT_NEAR(design.wall_mm, (30.022 - 20.021) / 2, 1e-9);
  EXPECT_NEAR(design.least_interference_mm, 0.001, 1e-9);
  EXPECT_NEAR(design.most_interference_mm, 0.035, 1e-9);
  // Lame by hand: p = delta / (d (Ko + Ki)), the bore closes by 2 p d^2 Di / (E (d^2 - Di^2)).
  const double ko = (90.0 * 90 + 900) / (90.0 * 90 - 900), ki = (900.0 + 400) / (900.0 - 400);
  const double pressure = 0.035 * 207000 / (30 * (ko + ki));
  EXPECT_NEAR(design.closes_most_mm, 2 * pressure * 900 * 20 / (207000 * 500.0), 1e-9);
  EXPECT_EQ(design.notes.size(), 1U);
  EXPECT_EQ(design.notes[0], "Ream the bore after pressing in: it closes by 0.001 to 0.022 mm.");
}

TEST(Bush, FollowsTheHoleAsMeasured) {
  BushOrder order = order_of(30, 20);
  order.bore_mm = 30.1;
  order.bore_sigma_mm = 0.002;
  const BushDesign design = *design_bush(order);
  EXPECT_EQ(design.outside.min_nm, 30126000);  // +22 + 4
  EXPECT_EQ(design.outside.max_nm, 30131000);  // +35 - 4
  EXPECT_NEAR(design.least_interference_mm, 0.022, 1e-9);
  EXPECT_NEAR(design.most_interference_mm, 0.035, 1e-9);
  order.bore_sigma_mm = 0.01;
  EXPECT_EQ(design_bush(order).problems()[0].code, fairhole::codes::kFitNoShankLeft);
}

TEST(Bush, SaysWhenItIsNotHeld) {
  BushOrder order = order_of(30, 20);
  order.outside_class = {"k", 6};
  EXPECT_EQ(design_bush(order)->notes.back(),
            "At its loosest the bush is not held: choose a tighter class, or measure the hole.");
}

TEST(Bush, NeedsAWallAndSizesThatCanBe) {
  EXPECT_EQ(describe(design_bush(order_of(24, 22)).problems()[0]),
            "E781 A3: a bush of 24 mm round a bolt of 22 mm has 1.00 mm of wall; open the hole to 26.5 mm or "
            "more, or open "
            "out all layers instead");
  EXPECT_TRUE(design_bush(order_of(26.5, 22)).ok());
  EXPECT_EQ(describe(design_bush(order_of(20, 22)).problems()[0]),
            "E453 A3: a bush whose sizes, classes or metals cannot be; the bolt is smaller than the hole, "
            "metal stands "
            "round it, the outside has a shaft class and the bore a hole class");
}

}  // namespace
}  // namespace fairhole::fasteners

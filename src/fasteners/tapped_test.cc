// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/tapped.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace fairhole::fasteners {
namespace {

constexpr double kMm = 1e-9;

TappedOrder order_of(double plate_mm, double plus_minus_mm = 0.0) {
  TappedOrder order;
  order.stack = {"T1", {{"plate", plate_mm, plus_minus_mm, false}}};
  order.thread = "M20";
  order.shank = *limits_of({"k", 6}, 22.0);
  order.full_thread_mm = 60.0;
  return order;
}

TEST(TappedBolt, WorkedByHand) {
  // Shank 12; counterbore 12 + 0.2 + 2 x 2.5 - 12 = 5.2, so 5.5; length 12 + 5.5 + 20 + 2.5 = 40.
  const TappedDesign steel = *design_tapped(order_of(12), standard_catalogue());
  EXPECT_NEAR(steel.shank_mm, 12.0, kMm);
  EXPECT_NEAR(steel.counterbore_mm, 5.5, kMm);
  EXPECT_NEAR(steel.length_mm, 40.0, kMm);
  ASSERT_EQ(steel.notes.size(), 1U);
  EXPECT_EQ(steel.notes[0],
            "Counterbore the tapped hole to 23 mm, 5.5 mm deep, so that no thread lies in the joint's face.");
  TappedOrder cast = order_of(12);
  cast.cast_iron = true;
  EXPECT_NEAR(design_tapped(cast, standard_catalogue())->length_mm, 50.0, kMm);
}

TEST(TappedBolt, ThatCannotBeIsRefused) {
  const auto text = [](const TappedOrder& order) {
    const auto design = design_tapped(order, standard_catalogue());
    return design.ok() ? "no problem" : describe(design.problems()[0]);
  };
  TappedOrder order = order_of(12);
  order.full_thread_mm = 27.9;  // 40 - 12 = 28 mm
  EXPECT_EQ(text(order),
            "E455 T1: 27.9 mm of full thread in the hole is too shallow; tap it 28 mm deep, or fasten it "
            "otherwise");
  order.full_thread_mm = 28.0;
  EXPECT_EQ(text(order), "no problem");
  order.thread = "M24";
  EXPECT_EQ(text(order),
            "E455 T1: a shank of 22.02 mm with thread M24 in 28 mm of full thread; the shank is no smaller "
            "than the thread, "
            "and all sizes and rules are above 0");
  order.thread = "M19";
  EXPECT_EQ(text(order).substr(0, 4), "E448");
  EXPECT_EQ(text(order_of(-1)).substr(0, 4), "E450");
}

TEST(TappedBolt, KeepsThreadOutOfTheJointAndOffTheBottom) {
  constexpr unsigned kSeed = 11;
  std::mt19937_64 engine(kSeed);
  const auto from_to = [&engine](double least, double most) {
    return least + (most - least) * (static_cast<double>(engine() >> 11) * 0x1.0p-53);
  };
  for (int trial = 0; trial < 2000; ++trial) {
    SCOPED_TRACE(trial);
    TappedOrder order = order_of(from_to(5, 80), from_to(0, 1));
    order.relief_pitches = from_to(0, 3);
    order.shank_over_mm = from_to(0, 0.5);
    order.cast_iron = engine() % 2 == 0;
    order.full_thread_mm = 200.0;
    const TappedDesign design = *design_tapped(order, standard_catalogue());
    const GripLayer& plate = order.stack.layers[0];
    for (const double off_mm : {-plate.plus_minus_mm, 0.0, plate.plus_minus_mm}) {
      for (const double shank_mm : {design.shank_mm, design.shank_mm + order.shank_over_mm}) {
        const double face_mm = plate.thickness_mm + off_mm;
        ASSERT_GE(shank_mm, face_mm - kMm);  // the joint's face is crossed by plain shank
        ASSERT_LE(shank_mm + design.relief_mm,
                  face_mm + design.counterbore_mm + kMm);  // all of it in the counterbore
        const double engaged_mm =
            design.length_mm - design.thread.pitch_mm - (face_mm + design.counterbore_mm);
        ASSERT_GE(engaged_mm, (order.cast_iron ? 30.0 : 20.0) - kMm);
      }
    }
    // As shallow as the bolt allows at its thinnest grip, and a shade less is refused.
    order.full_thread_mm = design.length_mm - (plate.thickness_mm - plate.plus_minus_mm);
    ASSERT_TRUE(design_tapped(order, standard_catalogue()).ok());
    order.full_thread_mm -= 0.001;
    ASSERT_FALSE(design_tapped(order, standard_catalogue()).ok());
  }
}

}  // namespace
}  // namespace fairhole::fasteners

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/sense_check.h"

#include <gtest/gtest.h>

namespace fairhole::fasteners {
namespace {

/// A 3/4 in rivet driven into 13/16 in, its hole opened out for a fitted bolt of 22 mm; roomy.
CheckedStack opened_out() {
  CheckedStack stack;
  stack.id = "S1";
  stack.before.diameter_mm = 20.6375;
  stack.after.diameter_mm = 22.0;
  stack.layers = {{"angle", 12.7, 360, 20.6375, 22.0, {70.0, {}, 40.0, 75.0}}};
  return stack;
}

std::string flags_of(const std::vector<std::string>& flags) {
  std::string text;
  for (const std::string& flag : flags) text += flag + "\n";
  return text;
}

TEST(SenseCheck, OfALargerFastenerWithRoomFlagsNothing) {
  const SenseCheck check = check_stack(opened_out());
  EXPECT_EQ(flags_of(check.flags), "");
  EXPECT_NEAR(check.shear_ratio, 22.0 * 22.0 / (20.6375 * 20.6375), 1e-9);
  EXPECT_NEAR(*check.layers[0].bearing_ratio, 22.0 / 20.6375, 1e-9);
  EXPECT_EQ(check.deferral,
            "A check of sense, not a design: it knows neither the load nor the metal. Any change of "
            "fastener, hole or edge "
            "in a carrying structure is for a competent person under the local code.");
}

TEST(SenseCheck, SaysWhatIsTooNear) {
  // 22 mm: old practice 33 and 66 mm; EN 26.4 to edges, 48.4 along and 52.8 across.
  CheckedStack stack = opened_out();
  stack.layers[0].place = {30.0, 60.0, 20.0, 50.0};
  const std::string flags = flags_of(check_stack(stack).flags);
  EXPECT_NE(
      flags.find(
          "\"angle\": to the end 30.0 mm, less than 33.0 mm of old practice.\n"
          "\"angle\": to the edge 20.0 mm, less than 26.4 mm of EN 1993-1-8 table 3.3 and 33.0 mm of old "
          "practice.\n"
          "\"angle\": to the next hole along the load 60.0 mm, less than 66.0 mm of old practice.\n"
          "\"angle\": to the next hole across the load 50.0 mm, less than 52.8 mm of EN 1993-1-8 table 3.3 "
          "and "
          "66.0 mm of old practice.\n"),
      std::string::npos)
      << flags;
  stack.layers[0].place = {33.0, 66.0, 33.0, 66.0};
  EXPECT_EQ(flags_of(check_stack(stack).flags).find("less than"), std::string::npos);
}

TEST(SenseCheck, SaysWhatGapes) {
  // 12.7 mm: 4 t + 40 = 90.8 mm to an edge, 14 t = 177.8 mm between holes.
  CheckedStack stack = opened_out();
  stack.layers[0].place = {95.0, 180.0, 40.0, 75.0};
  EXPECT_EQ(flags_of(check_stack(stack).flags),
            "\"angle\": 95.0 mm to an edge, over 90.8 mm: in the weather the edge may gape and rust.\n"
            "\"angle\": 180.0 mm to the next hole, over 177.8 mm: the plies may gape between.\n");
}

TEST(SenseCheck, SaysWhatCarriesLess) {
  CheckedStack stack = opened_out();
  stack.after.diameter_mm = 20.0;
  stack.after.thread_in_plane = true;
  stack.after.shear_area_mm2 = 245.0;
  stack.packing_after_mm = 10.0;
  const SenseCheck check = check_stack(stack);
  // 245 x 180/190 / (pi/4 x 20.6375^2 = 334.5): 0.69; 9 x 20 / (160 + 30) = 0.95. Bearing: 20 x (e1 / 66) in
  // 22 mm.
  EXPECT_NEAR(check.shear_ratio, 245.0 * 180 / 190 / 334.51, 1e-4);
  EXPECT_EQ(
      flags_of(check.flags),
      "In shear the new fastener carries 0.69 of what the original did, its thread being in a shear plane.\n"
      "Packing of 10.0 mm is over a third of the fastener: 0.95 of its shear is left (EN 1993-1-8 "
      "3.6.1(12)).\n"
      "\"angle\": in bearing it carries 0.97 of what the original did.\n");
  stack.layers[0].place.edge_mm = 10.0;
  EXPECT_NE(
      flags_of(check_stack(stack).flags).find("\"angle\": so near the edge that no bearing can be reckoned."),
      std::string::npos);
}

TEST(StripCheck, SaysWhatSectionIsLost) {
  const std::vector<StripHole> before{{0, 40, 20}, {0, 160, 20}};
  const StripCheck more = check_strip({"plate", 200.0, before, {{0, 40, 24}, {0, 100, 24}, {0, 160, 24}}});
  EXPECT_NEAR(more.lost_before_ratio, 0.2, 1e-12);
  EXPECT_NEAR(more.lost_after_ratio, 0.36, 1e-12);
  EXPECT_EQ(flags_of(more.flags),
            "\"plate\": along the worst line the holes take 36 % of the width, 20 % before; 0.80 of the "
            "section that was "
            "there is left.\n");
  EXPECT_TRUE(check_strip({"plate", 200.0, before, before}).flags.empty());
  EXPECT_EQ(flags_of(check_strip({"plate", 40.0, before, {{0, 10, 20}, {0, 30, 20}}}).flags),
            "\"plate\": the holes take the whole width of 40.0 mm.\n");
}

}  // namespace
}  // namespace fairhole::fasteners

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "work_order.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fairhole::report {
namespace {

std::size_t place_of(const std::vector<std::string>& steps, const std::string& words) {
  for (std::size_t i = 0; i < steps.size(); ++i) {
    if (steps[i].find(words) != std::string::npos) return i;
  }
  return steps.size();
}

TEST(OrderOfWork, PlatesDrilledTogetherAreClampedAfterPunchingAndBeforeAnyDrill) {
  PlateLayout layout;
  layout.plate = "left-toe";
  LaidHole hole;
  hole.id = "T1";
  hole.locating = true;
  layout.holes.push_back(hole);
  EXPECT_EQ(place_of(order_of_work(layout, {}), "clamp the plates"), order_of_work(layout, {}).size());
  layout.drilled_with = DrilledWith{"right-toe", true, {"T1", "T2"}};
  const std::vector<std::string> steps = order_of_work(layout, {});
  const std::size_t together =
      place_of(steps, "Drilled together with right-toe: mark T1 and T2 out on one of the two only");
  ASSERT_LT(together, steps.size());
  EXPECT_GT(together, place_of(steps, "Punch each centre"));
  EXPECT_LT(together, place_of(steps, "Drill T1 first"));
  EXPECT_THAT(steps[together], testing::HasSubstr("back to back"));
  layout.drilled_with->other_hand = false;
  EXPECT_THAT(order_of_work(layout, {})[together], testing::HasSubstr("marked faces the same way"));
}

TEST(OrderOfWork, BushesArePressedInBeforeTheHolesAreFinished) {
  PlateLayout layout;
  layout.plate = "left-toe";
  LaidHole hole;
  hole.id = "T1";
  hole.method = Method::kBush;
  hole.finish = Finish::kInPlace;
  layout.holes.push_back(hole);
  const std::vector<std::string> steps = order_of_work(layout, {});
  const std::size_t bush = place_of(steps, "Bushes at T1: with all parts clamped cut each seat true");
  ASSERT_LT(bush, steps.size());
  EXPECT_LT(bush, place_of(steps, "finish T1 in place"));
  layout.holes[0].method = Method::kOpenOut;
  EXPECT_EQ(place_of(order_of_work(layout, {}), "Bushes at"), order_of_work(layout, {}).size());
}

}  // namespace
}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "test_plans.h"

namespace fairhole {
namespace {

using namespace schedule_test;

TEST(SenseReport, TellsTheWorstOfManyAlike) {
  Made made;
  const FastenerSpec bolt = spec(FastenerKind::kFittedBolt, 20.0);
  for (int i = 0; i < 3; ++i) add_stack(made, bolt, 24.0, {16.0});
  made.assembly.plates.push_back(
      {"left", {{0.0, 0.0}, {500.0, 0.0}, {500.0, 200.0}, {0.0, 200.0}}, {}, 12.0, true});
  for (StackPlan& stack : made.plan.stacks) stack.centre_mm.y() = 30.0;
  made.plan.stacks[1].centre_mm.y() = 27.0;
  const SenseReport report = check_sense(made.assembly, made.plan, scheduled(made));
  // 1.5 diameters of 24.015 mm, the largest shank k6 allows: 36.0 mm; 1.2 of the 24 mm hole: 28.8 mm.
  ASSERT_FALSE(report.flags.empty());
  EXPECT_EQ(report.flags[0].text,
            "\"left\": to the end 27.0 mm, less than 28.8 mm of EN 1993-1-8 table 3.3 and 36.0 mm of old "
            "practice. That is the worst, left, H2.");
  EXPECT_EQ(report.flags[0].places.size(), 3U);
  EXPECT_THAT(report.deferral, testing::HasSubstr("competent person"));
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "moon.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "test_marks.h"
#include "test_plan.h"

namespace fairhole::report {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using namespace test;

TEST(Moon, EnlargingNeverChangesWhatCleansUp) {
  std::mt19937_64 random(5);
  std::normal_distribution<double> normal;
  constexpr double kRadiusMm = 11.0;
  int cleaned = 0;
  for (int trial = 0; trial < 2000; ++trial) {
    const Rim rim{{0.5 * normal(random), 0.5 * normal(random)},
                  10.3 + 0.3 * normal(random),
                  {0.2 * normal(random), 0.2 * normal(random)}};
    const double overhang = overhang_mm(rim, Eigen::Vector2d::Zero(), kRadiusMm);
    cleaned += overhang <= 0.0 ? 1 : 0;
    for (const double k : {2.0, 5.0, 10.0}) {
      if (kRadiusMm + k * (rim.radius_mm - kRadiusMm) <= 0.0) continue;  // more than any picture is enlarged
      constexpr double kTolMm = 1e-9;                                    // rounding
      EXPECT_NEAR(overhang_mm(enlarged(rim, kRadiusMm, k), Eigen::Vector2d::Zero(), kRadiusMm), k * overhang,
                  kTolMm);
    }
  }
  EXPECT_GT(cleaned, 200);  // both kinds must have been met
  EXPECT_LT(cleaned, 1800);
}

TEST(Moon, OvalIsTheHullOfTwoDiscsAsLongAndWideAsMeasured) {
  LayerPlan layer = old_layer("angle", "1", {0.0, 0.0}, 21.0, 22.0);
  layer.ovality_mm = 1.2;
  const auto rim = old_rim_of(layer);
  ASSERT_TRUE(rim);
  constexpr double kTolMm = 1e-12;                                               // rounding
  EXPECT_NEAR(2.0 * rim->radius_mm, 20.4, kTolMm);                               // shortest
  EXPECT_NEAR(2.0 * (rim->radius_mm + rim->half_axis_mm.norm()), 21.6, kTolMm);  // longest
}

TEST(Moon, KindsOfLineTellOldFromNew) {
  const Plan plan = crane_plan();
  const drawing::Page page = draw_moon(plan.stacks[0], part_letters(plan));
  int heavy = 0;
  int fine = 0;
  for (const DrawnCircle& drawn : circles_of(page)) {
    if (drawn.stroke.width_mm >= drawing::kHeavyMm && drawn.stroke.dash == drawing::Dash::kSolid) ++heavy;
    if (drawn.stroke.width_mm == drawing::kFineMm) ++fine;
  }
  EXPECT_EQ(heavy, 1);  // the new circle
  EXPECT_EQ(fine, 4);   // two old rims, double
  EXPECT_THAT(all_words(page), HasSubstr("A\n"));
  EXPECT_THAT(all_words(page), HasSubstr("B\n"));
  EXPECT_THAT(all_words(page), HasSubstr("misfit x 5"));
}

TEST(Moon, DoubtfulCircleIsBroken) {
  const Plan plan = crane_plan();
  const drawing::Page page = draw_moon(plan.stacks[1], part_letters(plan));
  int broken = 0;
  for (const DrawnCircle& drawn : circles_of(page))
    broken += drawn.stroke.dash == drawing::Dash::kBroken ? 1 : 0;
  EXPECT_EQ(broken, 1);
}

std::size_t rising_lines(const drawing::Page& page, double width_mm) {
  std::size_t count = 0;
  for (const DrawnLine& drawn : lines_of(page)) {
    const Eigen::Vector2d run = drawn.line.b_mm - drawn.line.a_mm;
    constexpr double kAngleTol = 1e-9;
    if (drawn.stroke.width_mm == width_mm && std::abs(run.x() - run.y()) < kAngleTol) ++count;
  }
  return count;
}

TEST(Moon, OnlyWhatStaysOutsideIsHatchedRising) {
  const Plan plan = crane_plan();
  const Letters letters = part_letters(plan);
  EXPECT_EQ(rising_lines(draw_moon(plan.stacks[0], letters), drawing::kMediumMm), 0U);  // cleans up
  EXPECT_GT(rising_lines(draw_moon(plan.stacks[1], letters), drawing::kMediumMm), 3U);  // leaves a crescent
}

TEST(Moon, WordsOverlapNowhere) {
  Plan plan = crane_plan();
  plan.stacks[0].layers.push_back(old_layer("winch bracket", "9", {0.4, 0.3}, 21.0, 22.225));
  const Letters letters = part_letters(plan);
  for (const StackPlan& stack : plan.stacks) {
    SCOPED_TRACE(stack.id);
    const drawing::Page page = draw_moon(stack, letters);
    EXPECT_THAT(overlaps_of(page), IsEmpty());
    for (const SetText& text : texts_of(page)) {
      EXPECT_TRUE((Box{{0.0, 0.0}, {page.width_mm, page.height_mm}}.holds(text.box))) << text.text.text;
    }
  }
}

TEST(Moon, LettersGoOnAfterZ) {
  Plan plan;
  StackPlan many;
  for (int i = 0; i < 28; ++i)
    many.layers.push_back(old_layer(fmt::format("part {}", i), "1", {0, 0}, 20, 21));
  plan.stacks.push_back(many);
  const Letters letters = part_letters(plan);
  EXPECT_EQ(letters.at("part 0"), "A");
  EXPECT_EQ(letters.at("part 25"), "Z");
  EXPECT_EQ(letters.at("part 26"), "AA");
  EXPECT_EQ(letters.at("part 27"), "AB");
}

TEST(Moon, WorstOverhangIsThatOfTheWorstLayer) {
  const Plan plan = crane_plan();
  EXPECT_EQ(worst_overhang_mm(plan.stacks[0]), 0.0);
  constexpr double kTolMm = 1e-9;  // rounding
  EXPECT_NEAR(worst_overhang_mm(plan.stacks[1]), std::hypot(1.35, 0.4) + 0.5 * (20.8 - 22.225), kTolMm);
}

// A bush fills what the old hole is wider than the new one; only what its seat leaves outside is trouble.
TEST(Moon, OverhangOfABushedHoleIsBeyondItsSeat) {
  Plan plan = crane_plan();
  LayerPlan& layer = plan.stacks[1].layers[0].new_plate ? plan.stacks[1].layers[1] : plan.stacks[1].layers[0];
  for (LayerPlan& each : plan.stacks[1].layers) {
    if (!each.new_plate && &each != &layer) each.found_diameter_mm.reset();
  }
  const double reach_mm = layer.misfit_mm.norm() + 0.5 * *layer.found_diameter_mm;
  constexpr double kTolMm = 1e-9;  // rounding
  layer.bush_outside_mm = 2.0 * reach_mm - 1.0;
  EXPECT_NEAR(worst_overhang_mm(plan.stacks[1]), 0.5, kTolMm);
  layer.bush_outside_mm = 2.0 * reach_mm + 1.0;
  EXPECT_EQ(worst_overhang_mm(plan.stacks[1]), 0.0);
}

}  // namespace
}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <numbers>

#include "fairhole/fairing/alternatives.h"

namespace fairhole {
namespace {

LayerPlan old_layer(const char* action, double found_mm, double finish_mm) {
  LayerPlan layer;
  layer.part = "near";
  layer.action = action;
  layer.found_diameter_mm = found_mm;
  layer.finish_diameter_mm = finish_mm;
  layer.thickness_mm = 10.0;
  return layer;
}

StackPlan stack(Method method, double finish_mm, std::vector<LayerPlan> layers) {
  StackPlan plan;
  plan.plate = "plate";
  plan.group = "row";
  plan.method = method;
  plan.finish = Finish::kInPlace;
  plan.finish_diameter_mm = finish_mm;
  plan.layers = std::move(layers);
  return plan;
}

// Counted by hand: three reamed stacks of 24, 24 and 26 mm, two old holes each of which one is plugged; and
// three that take the size of the old hole that is left, which want no reamer of that size: one beside a
// plug, one beside a bush.
TEST(PlanCount, CountsWhatAFitterCounts) {
  Plan plan;
  plan.stacks = {
      stack(Method::kOpenOut, 24.0, {old_layer("ream", 22.0, 24.0), old_layer("ream", 22.0, 24.0)}),
      stack(Method::kOpenOut, 26.0, {old_layer("ream", 22.0, 26.0), old_layer("ream", 22.0, 26.0)}),
      stack(Method::kPlug, 24.0, {old_layer("plug and re-drill", 30.0, 24.0), old_layer("ream", 22.0, 24.0)}),
      stack(Method::kPlug, 20.7,
            {old_layer("plug and re-drill", 30.0, 20.7), old_layer("leave", 20.7, 20.7)}),
      stack(Method::kBush, 20.9, {old_layer("bush", 24.0, 20.9), old_layer("leave", 20.9, 20.9)}),
      stack(Method::kTransfer, 20.8, {old_layer("leave", 20.8, 20.8)}),
      stack(Method::kUndecided, 0.0, {old_layer("wait", 22.0, 22.0)}),
  };
  plan.stacks[4].layers[0].bush_outside_mm = 27.0;
  const PlanCount count = count_of(plan);
  EXPECT_EQ(count.bushes, 1);
  EXPECT_EQ(count.plugs, 2);
  EXPECT_EQ(count.opened, 5);
  EXPECT_EQ(count.sizes, 2);
  EXPECT_EQ(count.odd_sizes, 1);  // 26 among 24s
  EXPECT_EQ(count.undecided, 1);
  // pi/4 (24^2 - 22^2) 10 mm3, three times; pi/4 (26^2 - 22^2) 10 mm3, twice;
  // pi/4 (27^2 - 24^2) 10 mm3 for the bush
  constexpr double kCm3 = 1e-12;
  EXPECT_NEAR(count.metal_cm3, std::numbers::pi / 4.0 * 0.01 * (3.0 * 92.0 + 2.0 * 192.0 + 153.0), kCm3);
}

}  // namespace
}  // namespace fairhole

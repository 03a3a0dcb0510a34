// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "fairhole/fits/drills.h"

namespace fairhole {
namespace {

constexpr double kRoundingMm = 1e-12;

const Drill* named(DrillUnit unit, const std::string& name) {
  const auto drills = drill_list(unit);
  const auto found =
      std::find_if(drills.begin(), drills.end(), [&](const Drill& d) { return d.name == name; });
  return found == drills.end() ? nullptr : &*found;
}

TEST(InchDrills, AreEverySixtyFourthToTwoInches) {
  const auto drills = drill_list(DrillUnit::kInch);
  ASSERT_EQ(drills.size(), 128U);
  for (std::size_t i = 0; i < drills.size(); ++i) {
    EXPECT_NEAR(drills[i].diameter_mm, static_cast<double>(i + 1) * 25.4 / 64, kRoundingMm);
  }
}

struct Named {
  const char* name;
  double diameter_mm;
};

TEST(InchDrills, BearTheirNames) {
  // Source: 25.4 mm to the inch, worked by hand.
  for (const Named& drill :
       {Named{"1/64 in", 0.396875}, Named{"13/16 in", 20.6375}, Named{"7/8 in", 22.225},
        Named{"1 1/16 in", 26.9875}, Named{"1 63/64 in", 50.403125}, Named{"2 in", 50.8}}) {
    const Drill* found = named(DrillUnit::kInch, drill.name);
    ASSERT_NE(found, nullptr) << drill.name;
    EXPECT_NEAR(found->diameter_mm, drill.diameter_mm, kRoundingMm);
  }
}

TEST(MetricDrills, RunInTheStepsCommonlyStocked) {
  // From memory, like the list itself: 0.05 mm steps to 3, 0.1 to 14, 0.25 to 32, 0.5 to 50.
  const auto drills = drill_list(DrillUnit::kMetric);
  EXPECT_EQ(drills.front().name, "0.2 mm");
  EXPECT_EQ(drills.back().name, "50 mm");
  constexpr double kDecimalMm = 1e-9;
  for (std::size_t i = 1; i < drills.size(); ++i) {
    const double size_mm = drills[i].diameter_mm;
    const double step_mm = size_mm <= 3.0 ? 0.05 : size_mm <= 14.0 ? 0.1 : size_mm <= 32.0 ? 0.25 : 0.5;
    EXPECT_NEAR(size_mm - drills[i - 1].diameter_mm, step_mm, kDecimalMm) << drills[i].name;
  }
  EXPECT_NE(named(DrillUnit::kMetric, "20.5 mm"), nullptr);
  EXPECT_NE(named(DrillUnit::kMetric, "10.2 mm"), nullptr);
}

TEST(AnyDrills, AreBothListsInOrder) {
  const auto drills = drill_list(DrillUnit::kAny);
  EXPECT_EQ(drills.size(), drill_list(DrillUnit::kInch).size() + drill_list(DrillUnit::kMetric).size());
  EXPECT_TRUE(std::is_sorted(drills.begin(), drills.end(),
                             [](const Drill& a, const Drill& b) { return a.diameter_mm < b.diameter_mm; }));
}

}  // namespace
}  // namespace fairhole

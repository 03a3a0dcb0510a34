// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/angle.h"

#include <gtest/gtest.h>

#include <type_traits>

namespace fairhole {
namespace {

// Degrees must never pass for radians, nor an angle for a bare number.
static_assert(!std::is_convertible_v<double, Angle>);
static_assert(!std::is_constructible_v<Angle, double>);
static_assert(!std::is_convertible_v<Angle, double>);
static_assert(!std::is_constructible_v<double, Angle>);

TEST(Angle, DegreesAndRadiansAreTheSameAngle) {
  EXPECT_DOUBLE_EQ(Angle::degrees(180.0).radians(), std::numbers::pi);
  EXPECT_DOUBLE_EQ(Angle::radians(std::numbers::pi / 2).degrees(), 90.0);
  EXPECT_EQ(Angle().radians(), 0.0);
}

TEST(Angle, AddsSubtractsTurnsRoundAndCompares) {
  const Angle a = Angle::degrees(30.0);
  const Angle b = Angle::degrees(45.0);
  EXPECT_DOUBLE_EQ((a + b).degrees(), 75.0);
  EXPECT_DOUBLE_EQ((a - b).degrees(), -15.0);
  EXPECT_DOUBLE_EQ((-a).degrees(), -30.0);
  EXPECT_LT(a, b);
  EXPECT_EQ(a, Angle::degrees(30.0));
}

}  // namespace
}  // namespace fairhole

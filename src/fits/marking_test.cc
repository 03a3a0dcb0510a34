// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/marking.h"

#include <gtest/gtest.h>

namespace fairhole {
namespace {

TEST(PunchMarks, OfKnownHoles) {
  EXPECT_EQ(punch_marks(22.225, 3.2).witness_mm, 29.0);
  EXPECT_EQ(punch_marks(22.0, 3.2).witness_mm, 28.0);
  EXPECT_EQ(punch_marks(12.0, 3.2).witness_mm, 15.0);
  EXPECT_EQ(punch_marks(3.0, 3.0).witness_mm, 6.0);
  EXPECT_EQ(punch_marks(22.0, 3.2).pop_mm, 1.0);
  EXPECT_EQ(punch_marks(22.0, 6.0).pop_mm, 1.5);
  EXPECT_EQ(punch_marks(22.0, 18.75).pop_mm, 3.0);
}

TEST(PunchMarks, TheWitnessCircleOutlivesTheHole) {
  for (double finish_mm = 3.0; finish_mm <= 50.0; finish_mm += 0.1) {
    const double over_mm = punch_marks(finish_mm, 3.2).witness_mm - finish_mm;
    ASSERT_GE(over_mm, 3.0) << finish_mm;
    ASSERT_LE(over_mm, 7.0) << finish_mm;
  }
}

}  // namespace
}  // namespace fairhole

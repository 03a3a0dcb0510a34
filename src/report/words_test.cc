// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "words.h"

#include <gtest/gtest.h>

#include <cmath>

namespace fairhole::report {
namespace {

TEST(Words, FiguresCarryNoMoreDigitsThanTheirSigma) {
  EXPECT_EQ(decimals_for(1.2), 0);
  EXPECT_EQ(decimals_for(0.25), 1);
  EXPECT_EQ(decimals_for(0.04), 2);
  EXPECT_EQ(decimals_for(0.0), 2);
  for (double sigma = 0.02; sigma < 4.0; sigma *= 1.07) {
    // One unit of the last digit is at least a fifth of 1 sigma: a digit further would be noise.
    EXPECT_GE(std::pow(10.0, -decimals_for(sigma)), 0.2 * sigma) << sigma;
  }
}

TEST(Words, MarksHaveTheDigitsOfTheirStep) {
  EXPECT_EQ(mark_decimals({0.5, false}), 1);
  EXPECT_EQ(mark_decimals({1.0, false}), 0);
  EXPECT_EQ(mark_decimals({0.25, false}), 2);
  EXPECT_EQ(mark_decimals({25.4 / 64, true}), 1);
  EXPECT_EQ(mark_text(412.5, {0.5, false}), "412.5");
  EXPECT_EQ(mark_text(412.75, {25.4 / 64, true}), "412.8 (16 1/4)");
}

TEST(Words, SizesDropTrailingNoughts) {
  EXPECT_EQ(size_mm(22.0), "22");
  EXPECT_EQ(size_mm(22.5), "22.5");
  EXPECT_EQ(size_mm(20.6375), "20.64");
}

TEST(Words, NothingIsMinusNought) {
  EXPECT_EQ(signed_mm(-0.01, 1), "+0.0");
  EXPECT_EQ(signed_mm(-0.6, 1), "-0.6");
}

TEST(Words, ListsReadAsSpoken) {
  EXPECT_EQ(list_words({}), "");
  EXPECT_EQ(list_words({"A1"}), "A1");
  EXPECT_EQ(list_words({"A1", "A2", "A3"}), "A1, A2 and A3");
}

TEST(Words, SizesAsTheirToolsAreStamped) {
  EXPECT_EQ(tool_size(23.8125), "15/16 in (23.81 mm)");
  EXPECT_EQ(tool_size(22.0), "22 mm");
  EXPECT_EQ(tool_size(63.5), "63.5 mm");  // 2 1/2 in too, but a whole half millimetre
  EXPECT_EQ(tool_size(20.695), "20.7 mm");
}

TEST(Words, RowsAsRanges) {
  EXPECT_EQ(rows_words({5}), "row 5");
  EXPECT_EQ(rows_words({2, 3}), "rows 2 and 3");
  EXPECT_EQ(rows_words({2, 4, 15, 16, 17, 18}), "rows 2, 4 and 15 to 18");
}

TEST(Words, OddsAsFigures) {
  EXPECT_EQ(odds_figure(0.9996), "over 99");
  EXPECT_EQ(odds_figure(0.0004), "under 1");
  EXPECT_EQ(odds_figure(0.966), "97");
}

}  // namespace
}  // namespace fairhole::report

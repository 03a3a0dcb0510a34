// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/odds_words.h"

#include <gtest/gtest.h>

namespace fairhole {
namespace {

TEST(OddsWords, NeverClaimCertainty) {
  EXPECT_EQ(odds_words(0.97), "97 in 100");
  EXPECT_EQ(odds_words(0.9949), "99 in 100");
  EXPECT_EQ(odds_words(0.9951), "over 99 in 100");
  EXPECT_EQ(odds_words(1.0), "over 99 in 100");
  EXPECT_EQ(odds_words(0.0), "under 1 in 100");
  EXPECT_EQ(odds_figure(0.0), "under 1");
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "text.h"

#include <gtest/gtest.h>

namespace fairhole::drawing {
namespace {
TEST(Text, x) { EXPECT_EQ(short_number(1), "1"); }
}  // namespace
}  // namespace fairhole::drawing

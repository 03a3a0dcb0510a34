// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "table.h"

#include <gtest/gtest.h>

namespace fairhole::fits {
namespace {

TEST(Table, ReadsQuotedCellsNumbersAndLengths) {
  const Table table(
      "name,ratio,size_in,size_mm,source\nedge,1.5,1-1/2,2.5,\"a book, \"\"old\"\"\"\nlast,-2,3/64,1/8 "
      "in,\n");
  ASSERT_EQ(table.rows(), 2U);
  EXPECT_EQ(table.text(0, "source"), "a book, \"old\"");
  EXPECT_EQ(table.text(1, "source"), "");
  EXPECT_EQ(table.number(0, "ratio"), 1.5);
  EXPECT_EQ(table.number(1, "ratio"), -2.0);
  EXPECT_DOUBLE_EQ(table.length_mm(0, "size_in"), 38.1);
  EXPECT_DOUBLE_EQ(table.length_mm(0, "size_mm"), 2.5);
  EXPECT_DOUBLE_EQ(table.length_mm(1, "size_mm"), 3.175);
}

TEST(Table, EveryRowOfTheDataNamesItsSource) {
  for (const std::string_view csv :
       {embedded::allowances_csv, embedded::clearance_holes_csv, embedded::drills_fractional_inch_csv,
        embedded::drills_metric_csv, embedded::drills_number_letter_csv, embedded::en1090_holes_csv,
        embedded::inch_practice_csv, embedded::iso286_shafts_csv, embedded::iso286_steps_csv,
        embedded::metals_csv, embedded::spacing_rules_csv}) {
    const Table table(csv);
    ASSERT_GT(table.rows(), 0U);
    for (std::size_t row = 0; row < table.rows(); ++row) EXPECT_FALSE(table.text(row, "source").empty());
  }
}

TEST(Allowances, AreThoseOfTheBooks) {
  // Source: UFGS-05 05 5A p. 18 (hole 1/16 in over the rivet; sub-size at least 1/8 in under);
  // Applied Science for Metal Workers, section 313 (leave 1/64 in, or 0.010 in, never more than 1/32 in).
  EXPECT_DOUBLE_EQ(allowance_mm("rivet hole over cold rivet"), 1.5875);
  EXPECT_DOUBLE_EQ(allowance_mm("pilot under reamed in place"), 3.175);
  EXPECT_DOUBLE_EQ(allowance_mm("left for reaming"), 0.396875);
  EXPECT_DOUBLE_EQ(allowance_mm("least left for reaming"), 0.254);
  EXPECT_DOUBLE_EQ(allowance_mm("most left for reaming"), 0.79375);
}

}  // namespace
}  // namespace fairhole::fits

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "table.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numeric>

#include "pen.h"
#include "test_marks.h"

namespace fairhole::report {
namespace {

using ::testing::IsEmpty;

Table numbered_rows(int count, const std::string& note) {
  Table table{{{.head = "hole", .bold = true},
               {.head = "x, mm", .align = drawing::Align::kRight},
               {.head = "note", .wraps = true}},
              {}};
  for (int i = 1; i <= count; ++i)
    table.rows.push_back({"H" + std::to_string(i), std::to_string(i * 100), note});
  return table;
}

TEST(Table, BreaksOverPagesWithoutLosingARow) {
  const Table table = numbered_rows(50, "take care");
  std::size_t row = 0;
  std::size_t pages = 0;
  std::string words;
  while (row < table.rows.size()) {
    drawing::Page page = blank_page(200.0, 120.0);
    const TableEnd end = draw_table(page.drawing, table, row, {{10.0, 10.0}, {190.0, 110.0}});
    ASSERT_GT(end.next_row, row);
    EXPECT_GE(end.y_mm, 10.0);
    EXPECT_THAT(test::overlaps_of(page), IsEmpty());
    words += test::all_words(page);
    row = end.next_row;
    ++pages;
  }
  EXPECT_GT(pages, 1U);
  for (const auto& texts : table.rows) EXPECT_NE(words.find(texts[0] + "\n"), std::string::npos) << texts[0];
}

TEST(Table, LongNotesWrapInsideTheirColumn) {
  const Table table =
      numbered_rows(3, std::string(30, 'w') + " and then a great many more words that go on and on " +
                           std::string(90, 'x'));
  const std::vector<double> widths = column_widths_mm(table, 100.0);
  constexpr double kRoundingMm = 1e-9;
  EXPECT_LE(std::accumulate(widths.begin(), widths.end(), 0.0), 100.0 + kRoundingMm);
  drawing::Page page = blank_page(120.0, 200.0);
  draw_table(page.drawing, table, 0, {{10.0, 10.0}, {110.0, 190.0}});
  EXPECT_THAT(test::overlaps_of(page), IsEmpty());
  for (const auto& text : test::texts_of(page))
    EXPECT_LE(text.box.high_mm.x(), 110.0 + kRoundingMm) << text.text.text;
}

TEST(Table, DrawsNothingWhereNoRowFits) {
  drawing::Page page = blank_page(100.0, 20.0);
  const TableEnd end = draw_table(page.drawing, numbered_rows(2, ""), 0, {{0.0, 0.0}, {100.0, 6.0}});
  EXPECT_EQ(end.next_row, 0U);
  EXPECT_TRUE(page.drawing.marks.empty());
}

TEST(Wrapped, KeepsEveryCharacterAndBreaksLongWords) {
  const std::string text = "Take \u00BE in and " + std::string(60, 'm') + " on";
  std::string joined;
  for (const std::string& row : wrapped(text, 30.0, 2.5)) {
    EXPECT_LE(drawing::text_width_mm(row, 2.5), 30.0);
    joined += row;
  }
  std::string wanted = text;
  std::erase(wanted, ' ');
  std::erase(joined, ' ');
  EXPECT_EQ(joined, wanted);
}

TEST(Fitted, CutsShortOnlyWhatIsTooWide) {
  EXPECT_EQ(fitted("toe plate", 100.0, 3.0), "toe plate");
  const std::string cut = fitted(std::string(100, 'w'), 40.0, 3.0);
  EXPECT_LE(drawing::text_width_mm(cut, 3.0), 40.0);
  EXPECT_EQ(cut.substr(cut.size() - 3), "...");
}

}  // namespace
}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "placement.h"

/// A ruled table that breaks over pages.
namespace fairhole::report {

struct Column {
  std::string head;  ///< with its unit: "x, mm"
  drawing::Align align = drawing::Align::kLeft;
  bool wraps = false;  ///< takes what width is left and breaks its text into lines
  bool bold = false;
  double least_mm = 0.0;  ///< width at the least, for figures to be written in by hand
};

struct Table {
  std::vector<Column> columns;
  std::vector<std::vector<std::string>> rows;  ///< one text a column
  double height_mm = 2.3;                      ///< of the capitals
};

/// Widths of the columns in a table at most `width_mm` wide: each as wide as its widest text, those that wrap
/// sharing what is left by their need. When even that is too wide, all shrink alike and every text is
/// wrapped.
std::vector<double> column_widths_mm(const Table& table, double width_mm);

/// Height of head and all rows when set `width_mm` wide.
double table_height_mm(const Table& table, double width_mm);

struct TableEnd {
  std::size_t next_row = 0;  ///< first row that found no room
  double y_mm = 0.0;         ///< foot of what was drawn
};

/// Draws the head and the rows from `first_row` on, as many as fit into `room` from its top. When not even
/// one row fits, nothing is drawn and next_row is first_row.
TableEnd draw_table(drawing::Drawing& on, const Table& table, std::size_t first_row, const Box& room);

}  // namespace fairhole::report

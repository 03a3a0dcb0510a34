// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "table.h"

#include <algorithm>
#include <numeric>

#include "pen.h"

namespace fairhole::report {
namespace {

constexpr double kCellPadMm = 1.3;
constexpr double kLeastWrapMm = 24.0;

struct Row {
  std::vector<std::vector<std::string>> cells;  ///< lines of each cell
  double height_mm = 0.0;
};

double line_step_mm(const Table& table) { return 1.75 * table.height_mm; }

Row set_row(const Table& table, const std::vector<std::string>& texts, const std::vector<double>& widths_mm,
            bool head) {
  Row row;
  std::size_t lines = 1;
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    const bool bold = head || table.columns[c].bold;
    row.cells.push_back(wrapped(texts[c], widths_mm[c] - 2.0 * kCellPadMm, table.height_mm, bold));
    lines = std::max(lines, row.cells.back().size());
  }
  row.height_mm = static_cast<double>(lines - 1) * line_step_mm(table) + 2.3 * table.height_mm;
  return row;
}

void draw_row(drawing::Drawing& on, const Table& table, const Row& row, const std::vector<double>& widths_mm,
              double left_mm, double top_mm, bool head) {
  double x = left_mm;
  for (std::size_t c = 0; c < table.columns.size(); ++c) {
    const drawing::Align align = table.columns[c].align;
    const double at = align == drawing::Align::kLeft    ? x + kCellPadMm
                      : align == drawing::Align::kRight ? x + widths_mm[c] - kCellPadMm
                                                        : x + 0.5 * widths_mm[c];
    double base = top_mm - 1.6 * table.height_mm;
    for (const std::string& text : row.cells[c]) {
      write(on, {at, base}, text,
            {.height_mm = table.height_mm, .bold = head || table.columns[c].bold, .align = align});
      base -= line_step_mm(table);
    }
    x += widths_mm[c];
  }
}

std::vector<std::string> heads(const Table& table) {
  std::vector<std::string> texts;
  for (const Column& column : table.columns) texts.push_back(column.head);
  return texts;
}

}  // namespace

std::vector<double> column_widths_mm(const Table& table, double width_mm) {
  const std::size_t n = table.columns.size();
  std::vector<double> natural(n);
  double fixed = 0.0;
  double wrapping = 0.0;
  for (std::size_t c = 0; c < n; ++c) {
    natural[c] = drawing::text_width_mm(table.columns[c].head, table.height_mm, true);
    for (const auto& row : table.rows) {
      natural[c] =
          std::max(natural[c], drawing::text_width_mm(row[c], table.height_mm, table.columns[c].bold));
    }
    natural[c] = std::max(natural[c], table.columns[c].least_mm);
    natural[c] += 2.0 * kCellPadMm + 0.1;  // a hair more, so that rounding never wraps the widest text
    (table.columns[c].wraps ? wrapping : fixed) += natural[c];
  }
  if (fixed + wrapping <= width_mm) return natural;
  std::vector<double> widths = natural;
  for (std::size_t c = 0; c < n; ++c) {
    if (table.columns[c].wraps) {
      widths[c] = std::min(natural[c], std::max(kLeastWrapMm, (width_mm - fixed) * natural[c] / wrapping));
    }
  }
  const double total = std::accumulate(widths.begin(), widths.end(), 0.0);
  for (double& width : widths) width *= std::min(1.0, width_mm / total);
  return widths;
}

double table_height_mm(const Table& table, double width_mm) {
  const std::vector<double> widths = column_widths_mm(table, width_mm);
  double height = set_row(table, heads(table), widths, true).height_mm;
  for (const auto& texts : table.rows) height += set_row(table, texts, widths, false).height_mm;
  return height;
}

TableEnd draw_table(drawing::Drawing& on, const Table& table, std::size_t first_row, const Box& room) {
  const std::vector<double> widths = column_widths_mm(table, room.width_mm());
  const double left = room.low_mm.x();
  const double right = left + std::accumulate(widths.begin(), widths.end(), 0.0);
  const Row head = set_row(table, heads(table), widths, true);
  double y = room.high_mm.y();
  std::size_t next = first_row;
  for (; next < table.rows.size(); ++next) {
    const Row row = set_row(table, table.rows[next], widths, false);
    const double above = next == first_row ? head.height_mm : 0.0;
    if (y - above - row.height_mm < room.low_mm.y()) break;
    if (next == first_row) {
      draw_row(on, table, head, widths, left, y, true);
      line(on, {left, y}, {right, y}, kMedium);
      y -= head.height_mm;
      line(on, {left, y}, {right, y}, kMedium);
    }
    draw_row(on, table, row, widths, left, y, false);
    y -= row.height_mm;
    line(on, {left, y}, {right, y}, kFine);
  }
  return {next, y};
}

}  // namespace fairhole::report

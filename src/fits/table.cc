// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "table.h"

#include <algorithm>
#include <cassert>
#include <charconv>

#include "fairhole/base/length.h"

namespace fairhole::fits {

std::vector<std::string> split_row(std::string_view line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool quote = line[i] == '"';
    if (quote && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      cells.back() += line[i++];
    } else if (quote) {
      quoted = !quoted;
    } else if (line[i] == ',' && !quoted) {
      cells.emplace_back();
    } else {
      cells.back() += line[i];
    }
  }
  return cells;
}

Table::Table(std::string_view csv) {
  while (!csv.empty()) {
    const std::size_t end = std::min(csv.find('\n'), csv.size());
    if (end > 0) cells_.push_back(split_row(csv.substr(0, end)));
    csv.remove_prefix(std::min(end + 1, csv.size()));
  }
  assert(!cells_.empty());
  assert(std::all_of(cells_.begin(), cells_.end(),
                     [this](const auto& row) { return row.size() == cells_.front().size(); }));
}

const std::string& Table::text(std::size_t row, std::string_view column) const {
  const auto found = std::find(cells_.front().begin(), cells_.front().end(), column);
  assert(row < rows() && found != cells_.front().end());
  return cells_[row + 1][static_cast<std::size_t>(found - cells_.front().begin())];
}

double Table::number(std::size_t row, std::string_view column) const {
  const std::string& cell = text(row, column);
  double value = 0.0;
  [[maybe_unused]] const auto read = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  assert(read.ec == std::errc{} && read.ptr == cell.data() + cell.size());
  return value;
}

double Table::length_mm(std::size_t row, std::string_view column) const {
  const Result<double> read =
      parse_length_mm(text(row, column), column.ends_with("_in") ? Unit::kInch : Unit::kMm);
  assert(read.ok());
  return *read;
}

double allowance_mm(std::string_view name) {
  const Table table(embedded::allowances_csv);
  std::size_t row = 0;
  while (row + 1 < table.rows() && table.text(row, "name") != name) ++row;
  assert(table.text(row, "name") == name);
  return table.length_mm(row, "size");
}

}  // namespace fairhole::fits

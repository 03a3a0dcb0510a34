// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

/// The module's own data tables (src/fits/data/*.csv), compiled in as text.
namespace fairhole::fits {

/// The cells of one CSV line: comma, "quoted, cells", doubled quotes inside quotes.
std::vector<std::string> split_row(std::string_view line);

/// A CSV text with a header row: comma, "quoted, cells", doubled quotes inside quotes.
class Table {
 public:
  /// Requires a header row and as many cells in every row (asserted: the tables are ours).
  explicit Table(std::string_view csv);

  std::size_t rows() const { return cells_.size() - 1; }
  /// Requires row < rows() and a column of that name (asserted).
  const std::string& text(std::size_t row, std::string_view column) const;
  double number(std::size_t row, std::string_view column) const;
  /// A length cell, in mm: "13/64" where `column` ends in _in, "5.5" where it ends in _mm, or with its own
  /// unit.
  double length_mm(std::size_t row, std::string_view column) const;

 private:
  std::vector<std::vector<std::string>> cells_;
};

}  // namespace fairhole::fits

namespace fairhole::embedded {
extern const std::string_view allowances_csv;
extern const std::string_view bars_csv;
extern const std::string_view clearance_holes_csv;
extern const std::string_view drills_fractional_inch_csv;
extern const std::string_view drills_metric_csv;
extern const std::string_view drills_number_letter_csv;
extern const std::string_view en1090_holes_csv;
extern const std::string_view hexagons_csv;
extern const std::string_view inch_practice_csv;
extern const std::string_view iso286_shafts_csv;
extern const std::string_view iso286_steps_csv;
extern const std::string_view metals_csv;
extern const std::string_view reamers_csv;
extern const std::string_view rivet_heads_csv;
extern const std::string_view rivets_csv;
extern const std::string_view spacing_rules_csv;
extern const std::string_view threads_csv;
extern const std::string_view washers_csv;
}  // namespace fairhole::embedded

namespace fairhole::fits {

/// A length of allowances.csv by its name, in mm. Requires that it is there (asserted).
double allowance_mm(std::string_view name);

}  // namespace fairhole::fits

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "csv.h"
#include "fairhole/survey/readings.h"

namespace fairhole::survey_detail {

/// What holds for the rows to come while a file is read from top to bottom.
struct ReadingState {
  Readings readings;
  Problems problems;
  char separator = ',';
  double resolution_mm = 0.0;  // 0: not said, the unit's default
  double centring_mm = kDefaultCentringMm;
  std::map<std::string, int> columns;  // empty until the header row was seen
  std::size_t column_count = 0;

  void problem(Code code, int line, std::string what, std::string remedy);
  std::string where(int line) const;
  double tape_sigma_mm() const;
  /// A length of this file: a decimal comma is turned into a point in a semicolon file.
  Result<double> length(std::string_view text, int line) const;
};

/// Takes up a `#` line if it is a header line of ours; any other is a comment.
void read_header_line(std::string_view comment, int line, ReadingState& state);

/// Reads one data row; what is wrong with it goes into the state's problems.
void read_row(const TextLine& line, ReadingState& state);

/// A plain finite number, with the file's decimal mark.
std::optional<double> plain_number(std::string_view text, char separator);

}  // namespace fairhole::survey_detail

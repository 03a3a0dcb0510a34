// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/survey/readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "fairhole/survey/limits.h"
#include "reader.h"

namespace fairhole {
namespace {

using survey_detail::Fields;
using survey_detail::ReadingState;
using survey_detail::split_fields;
using survey_detail::TextLine;
using survey_detail::trim;

constexpr const char* kHeaderRow = "kind,from,to,reading,sigma,note";

/// The text of a `#` line, also where a spreadsheet has quoted it; empty for any other line.
std::string comment_of(std::string_view line) {
  const std::string_view text = trim(line);
  if (text.starts_with('#')) return std::string(text);
  if (!text.starts_with("\"#")) return {};
  const Fields fields = split_fields(text, ',');
  return fields.fields.front();
}

/// The header row's separator: a semicolon if it holds one.
char find_separator(const std::vector<TextLine>& lines) {
  for (const TextLine& line : lines) {
    if (trim(line.text).empty() || !comment_of(line.text).empty()) continue;
    return line.text.find(';') != std::string_view::npos ? ';' : ',';
  }
  return ',';
}

void read_header_row(const TextLine& line, ReadingState& state) {
  const Fields row = split_fields(line.text, state.separator);
  for (std::size_t i = 0; i < row.fields.size(); ++i) {
    if (!row.fields[i].empty()) state.columns.emplace(row.fields[i], static_cast<int>(i));
  }
  state.column_count = row.fields.size();
  for (const char* name : {"kind", "from", "to", "reading"}) {
    if (state.columns.contains(name)) continue;
    state.problem(codes::kReadingsNoHeader, line.number,
                  fmt::format("the header row has no column `{}`", name),
                  fmt::format("begin the table with the row {}", kHeaderRow));
    break;
  }
}

bool is_too_long(const ReadingState& state) {
  return state.readings.rows.size() + state.problems.size() > kMostReadings;
}

void check_held_twice(ReadingState& state) {
  std::map<std::pair<HoleId, ReadingKind>, const Reading*> held;
  for (const Reading& r : state.readings.rows) {
    const bool known = r.kind == ReadingKind::kKnownX || r.kind == ReadingKind::kKnownY;
    if (!known || r.sigma_mm > 0.0) continue;
    const auto [at, fresh] = held.emplace(std::pair(r.from, r.kind), &r);
    if (fresh || at->second->value_mm == r.value_mm) continue;
    state.problem(codes::kReadingsHeldTwice, r.line,
                  fmt::format("{} of hole {} is held at {} here and at {} in line {}", kind_name(r.kind),
                              r.from, r.text, at->second->text, at->second->line),
                  "hold it at one value, or give both a sigma above 0");
  }
}

}  // namespace

Result<Readings> parse_readings(std::string_view text, const std::string& source) {
  ReadingState state;
  state.readings.source = source;
  state.readings.caliper_sigma_mm = kDefaultCaliperSigmaMm;
  if (!survey_detail::is_utf8(text)) {
    return Problem{codes::kReadingsNotUtf8, source, "not a UTF-8 text file",
                   "save it from the spreadsheet as CSV, UTF-8"};
  }
  const std::vector<TextLine> lines = survey_detail::split_lines(text);
  state.separator = find_separator(lines);
  bool header_seen = false;
  for (const TextLine& line : lines) {
    const std::string comment = comment_of(line.text);
    if (!comment.empty()) {
      survey_detail::read_header_line(comment, line.number, state);
    } else if (!trim(line.text).empty()) {
      if (header_seen) {
        survey_detail::read_row(line, state);
        if (is_too_long(state)) {
          state.problem(codes::kReadingsTooMany, line.number,
                        fmt::format("more than {} readings or faults up to here", kMostReadings),
                        "this cannot be one face; name another file");
          return state.problems;
        }
      } else {
        read_header_row(line, state);
        header_seen = true;
        if (!state.problems.empty() && state.problems.back().code == codes::kReadingsNoHeader) {
          return state.problems;  // no row can be read without knowing the columns
        }
      }
    }
  }
  if (!header_seen || (state.readings.rows.empty() && state.problems.empty())) {
    state.problems.push_back(
        {codes::kReadingsNothing, source, "no readings in this file",
         fmt::format("write a header row {} and one reading in each row below", kHeaderRow)});
  }
  check_held_twice(state);
  if (!state.problems.empty()) return state.problems;
  state.readings.tape_sigma_mm = state.tape_sigma_mm();
  return state.readings;
}

}  // namespace fairhole

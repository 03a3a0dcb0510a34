// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <numbers>

#include "reader.h"

namespace fairhole::survey_detail {
namespace {

constexpr const char* kKinds =
    "along, across, along-near, along-far, across-near, across-far, run, run-across, centres, near-edges, "
    "far-edges, same-edges, off-line, dia, known-x or known-y";

enum class ToIs { kEmpty, kHole, kLine, kSetUp, kDirection };

ToIs what_to_is(ReadingKind kind) {
  switch (kind) {
    case ReadingKind::kCentres:
    case ReadingKind::kNearEdges:
    case ReadingKind::kFarEdges:
    case ReadingKind::kSameEdges:
      return ToIs::kHole;
    case ReadingKind::kOffLine:
      return ToIs::kLine;
    case ReadingKind::kRun:
    case ReadingKind::kRunAcross:
      return ToIs::kSetUp;
    case ReadingKind::kDia:
      return ToIs::kDirection;
    default:
      return ToIs::kEmpty;
  }
}

bool is_known(ReadingKind kind) { return kind == ReadingKind::kKnownX || kind == ReadingKind::kKnownY; }
bool is_size(ReadingKind kind) { return what_to_is(kind) == ToIs::kHole || kind == ReadingKind::kDia; }

/// Puts the field `to` where it belongs for this kind. False after a problem.
bool read_to(const std::string& to, Reading& r, ReadingState& state) {
  const auto fail = [&](Code code, std::string what, std::string remedy) {
    state.problem(code, r.line, std::move(what), std::move(remedy));
    return false;
  };
  const char* name = kind_name(r.kind);
  switch (what_to_is(r.kind)) {
    case ToIs::kEmpty:
      if (to.empty()) return true;
      return fail(codes::kReadingsBadTo, fmt::format("`{}` has no second hole, but `to` says `{}`", name, to),
                  "leave `to` empty, or use `centres` for a reading from hole to hole");
    case ToIs::kHole:
      r.to = to;
      if (to.empty()) {
        return fail(codes::kReadingsHoleMissing,
                    fmt::format("`{}` from {} to no hole: `to` is empty", name, r.from),
                    "name the second hole in `to`");
      }
      if (to != r.from) return true;
      return fail(codes::kReadingsSameHole, fmt::format("hole {} is measured to itself", to),
                  "name two different holes in `from` and `to`");
    case ToIs::kSetUp:
      r.set_up = to;
      if (!to.empty()) return true;
      return fail(codes::kReadingsBadTo, fmt::format("`{}` without the name of its tape set-up", name),
                  "name the set-up in `to`: the same name for all readings taken without moving the tape");
    case ToIs::kLine: {
      const auto bar = to.find('|');
      if (bar != std::string::npos) {
        r.to = trim(std::string_view(to).substr(0, bar));
        r.line_end = trim(std::string_view(to).substr(bar + 1));
      }
      if (r.to.empty() || r.line_end.empty()) {
        return fail(codes::kReadingsBadTo,
                    fmt::format("`off-line` needs the two holes of the line, but `to` is `{}`", to),
                    "write them with a bar between: H1|H8");
      }
      if (r.to != r.line_end && r.to != r.from && r.line_end != r.from) return true;
      return fail(codes::kReadingsSameHole,
                  fmt::format("`off-line` of {} from the line {}: a hole stands twice", r.from, to),
                  "name three different holes");
    }
    case ToIs::kDirection: {
      if (to.empty()) return true;
      const auto degrees = plain_number(to, state.separator);
      if (degrees && std::abs(*degrees) <= 360.0) {
        r.direction_rad = *degrees * std::numbers::pi / 180.0;
        return true;
      }
      return fail(codes::kReadingsBadTo, fmt::format("`{}` is no direction of the caliper", to),
                  "write degrees from x in `to`, as 0 or 90, or leave it empty");
    }
  }
  return false;
}

bool read_value(Reading& r, ReadingState& state) {
  if (r.text.empty()) {
    state.problem(codes::kReadingsBadValue, r.line, "the reading is empty",
                  "write the length read, or leave out the row");
    return false;
  }
  if (state.separator == ',' && r.text.find(',') != std::string::npos) {
    state.problem(codes::kReadingsBadValue, r.line,
                  fmt::format("`{}` has a decimal comma in a comma file", r.text),
                  "write a decimal point, or save the file with semicolons");
    return false;
  }
  const auto length = state.length(r.text, r.line);
  if (!length) {
    for (const Problem& p : length.problems()) state.problems.push_back(p);
    return false;
  }
  r.value_mm = *length;
  if (!is_size(r.kind) || r.value_mm > 0.0) return true;
  state.problem(codes::kReadingsBadValue, r.line,
                fmt::format("`{}` reads {}, which is not above 0", kind_name(r.kind), r.text),
                "write the distance as a positive length");
  return false;
}

bool read_sigma(const std::string& text, Reading& r, ReadingState& state) {
  if (text.empty()) {
    r.sigma_mm = is_known(r.kind)              ? 0.0
                 : r.kind == ReadingKind::kDia ? state.readings.caliper_sigma_mm
                                               : state.tape_sigma_mm();
    return true;
  }
  const bool comma = state.separator == ',' && text.find(',') != std::string::npos;
  const auto sigma = state.length(text, r.line);
  if (!comma && sigma && (*sigma > 0.0 || (*sigma == 0.0 && is_known(r.kind)))) {
    r.sigma_mm = *sigma;
    return true;
  }
  state.problem(codes::kReadingsBadSigma, r.line, fmt::format("sigma `{}` is no length above 0", text),
                is_known(r.kind) ? "write the sigma as a length, 0 to hold the coordinate exactly"
                                 : "write the sigma as a length above 0, or leave it empty");
  return false;
}

std::string field(const Fields& row, const ReadingState& state, const char* column) {
  const auto at = state.columns.find(column);
  if (at == state.columns.end() || static_cast<std::size_t>(at->second) >= row.fields.size()) return {};
  return row.fields[static_cast<std::size_t>(at->second)];
}

/// False when the line has not the fields a row must have.
bool check_fields(const Fields& row, const TextLine& line, ReadingState& state) {
  if (row.open_quote) {
    state.problem(codes::kReadingsQuote, line.number, "a quoted field is not closed",
                  "close it with a double quote before the separator; two quotes inside stand for one");
    return false;
  }
  const auto reading_at = static_cast<std::size_t>(state.columns.at("reading"));
  const bool cut = !line.ended && row.fields.size() < state.column_count && state.column_count > 4;
  if (row.fields.size() <= reading_at || cut) {
    state.problem(codes::kReadingsFieldCount, line.number,
                  fmt::format("the row has {} fields of {}{}", row.fields.size(), state.column_count,
                              line.ended ? "" : ": the last line seems to be cut off"),
                  "complete the row");
    return false;
  }
  if (row.fields.size() > state.column_count) {
    for (std::size_t i = state.column_count; i < row.fields.size(); ++i) {
      if (row.fields[i].empty()) continue;
      state.problem(
          codes::kReadingsFieldCount, line.number,
          fmt::format("the row has {} fields, the header row {}", row.fields.size(), state.column_count),
          "write a decimal point, and put a note that holds the separator between double quotes");
      return false;
    }
  }
  return true;
}

}  // namespace

void read_row(const TextLine& line, ReadingState& state) {
  const Fields row = split_fields(line.text, state.separator);
  bool blank = true;
  for (const std::string& f : row.fields) blank = blank && f.empty();
  if (blank && !row.open_quote) return;
  Reading r;
  r.row = static_cast<int>(state.readings.rows.size()) + 1;
  r.line = line.number;
  if (!check_fields(row, line, state)) return;

  const std::string kind = field(row, state, "kind");
  const auto known_kind = kind_from_name(kind);
  if (!known_kind) {
    state.problem(codes::kReadingsUnknownKind, line.number, fmt::format("`{}` is no kind of reading", kind),
                  fmt::format("use one of {}", kKinds));
    return;
  }
  r.kind = *known_kind;
  r.from = field(row, state, "from");
  r.text = field(row, state, "reading");
  r.note = field(row, state, "note");
  r.unit = state.readings.unit;
  bool good = true;
  if (r.from.empty()) {
    state.problem(codes::kReadingsHoleMissing, line.number,
                  fmt::format("`{}` of no hole: `from` is empty", kind), "name the hole in `from`");
    good = false;
  }
  good = read_to(field(row, state, "to"), r, state) && good;
  good = read_value(r, state) && good;
  good = read_sigma(field(row, state, "sigma"), r, state) && good;
  if (!is_known(r.kind) && r.kind != ReadingKind::kDia && !state.readings.tapes.empty()) {
    r.tape = static_cast<int>(state.readings.tapes.size()) - 1;
  }
  if (good) state.readings.rows.push_back(std::move(r));
}

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <functional>
#include <numbers>

#include "reader.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

std::string with_decimal_point(std::string_view text, char separator) {
  std::string out(text);
  if (separator == ';') {
    for (char& c : out) {
      if (c == ',') c = '.';
    }
  }
  return out;
}

void bad(ReadingState& state, int line, std::string_view name, std::string_view value, std::string remedy) {
  state.problem(codes::kReadingsBadHeaderLine, line, fmt::format("`# {}: {}` cannot be used", name, value),
                std::move(remedy));
}

void read_unit(std::string_view value, int line, ReadingState& state) {
  if (value != "mm" && value != "in") {
    return bad(state, line, "unit", value, "write `# unit: mm` or `# unit: in`");
  }
  const Unit unit = value == "in" ? Unit::kInch : Unit::kMm;
  if (!state.columns.empty() && unit != state.readings.unit) {
    return bad(state, line, "unit", value, "one file has one unit, said before the header row");
  }
  state.readings.unit = unit;
}

void read_tape(std::string_view value, int line, ReadingState& state) {
  const auto blank = value.find(' ');
  const std::string_view class_name = value.substr(0, blank);
  const auto limits = tape_class(class_name);
  if (!limits)
    return bad(state, line, "tape", value, "write the tape's accuracy class: `# tape: I`, `II` or `III`");
  std::string name(blank == std::string_view::npos ? "" : trim(value.substr(blank)));
  if (name.empty()) name = fmt::format("tape {}", state.readings.tapes.size() + 1);
  state.readings.tapes.push_back({name, std::string(class_name), *limits});
}

/// A length above 0 (or from 0 on) into `target_mm`.
void read_length(std::string_view name, std::string_view value, int line, bool zero_too, double& target_mm,
                 ReadingState& state) {
  const auto length = state.length(value, line);
  if (length && (*length > 0.0 || (zero_too && *length == 0.0))) {
    target_mm = *length;
    return;
  }
  bad(state, line, name, value, fmt::format("write a length above 0, as `# {}: 0.5`", name));
}

void read_square(std::string_view value, int line, ReadingState& state) {
  for (const std::string_view sign : {"+-", "+/-", "\u00B1"}) {
    const auto at = value.find(sign);
    if (at == std::string_view::npos) continue;
    const auto mean = plain_number(trim(value.substr(0, at)), state.separator);
    const auto sigma = plain_number(trim(value.substr(at + sign.size())), state.separator);
    if (mean && sigma && *sigma > 0.0 && std::abs(*mean) < 45.0 && *sigma < 45.0) {
      state.readings.corner = CornerPrior{*mean * kDegree, *sigma * kDegree};
      return;
    }
  }
  bad(state, line, "square", value, "write degrees beyond 90 and their sigma, as `# square: 0 +- 0.2`");
}

void read_near(std::string_view value, int line, ReadingState& state) {
  std::vector<std::string_view> words;
  for (std::string_view rest = trim(value); !rest.empty();) {
    const auto end = std::min(rest.find_first_of(" \t"), rest.size());
    words.push_back(rest.substr(0, end));
    rest = trim(rest.substr(end));
  }
  if (words.size() == 3) {
    const auto x = state.length(words[1], line);
    const auto y = state.length(words[2], line);
    if (x && y) {
      state.readings.near_places.push_back({std::string(words[0]), Eigen::Vector2d(*x, *y)});
      return;
    }
  }
  bad(state, line, "near", value, "write a hole, its x and its y, as `# near: H1 170 270`");
}

}  // namespace

std::optional<double> plain_number(std::string_view text, char separator) {
  const std::string number = with_decimal_point(text, separator);
  const char* first = number.data();
  const char* const last = first + number.size();
  if (first != last && *first == '+') ++first;
  double value = 0.0;
  const auto [end, error] = std::from_chars(first, last, value);
  if (error != std::errc() || end != last || !std::isfinite(value)) return std::nullopt;
  return value;
}

void ReadingState::problem(Code code, int line, std::string what, std::string remedy) {
  problems.push_back({code, where(line), std::move(what), std::move(remedy)});
}

std::string ReadingState::where(int line) const { return fmt::format("{}: line {}", readings.source, line); }

double ReadingState::tape_sigma_mm() const {
  const double unit_default = readings.unit == Unit::kInch ? kDefaultResolutionInchMm : kDefaultResolutionMm;
  const double step_mm = resolution_mm > 0.0 ? resolution_mm : unit_default;
  return std::hypot(step_mm / std::sqrt(12.0), centring_mm);
}

Result<double> ReadingState::length(std::string_view text, int line) const {
  return parse_length_mm(with_decimal_point(text, separator), readings.unit, where(line));
}

void read_header_line(std::string_view comment, int line, ReadingState& state) {
  std::string_view text = trim(comment.substr(1));
  while (!text.empty() && (text.back() == ',' || text.back() == ';'))
    text = trim(text.substr(0, text.size() - 1));
  const auto colon = text.find(':');
  if (colon == std::string_view::npos) return;
  const std::string_view name = trim(text.substr(0, colon));
  const std::string_view value = trim(text.substr(colon + 1));
  if (name == "unit") return read_unit(value, line, state);
  if (name == "tape") return read_tape(value, line, state);
  if (name == "resolution") return read_length(name, value, line, false, state.resolution_mm, state);
  if (name == "centring") return read_length(name, value, line, true, state.centring_mm, state);
  if (name == "caliper") return read_length(name, value, line, false, state.readings.caliper_sigma_mm, state);
  if (name == "square") return read_square(value, line, state);
  if (name == "near") return read_near(value, line, state);
}

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"

namespace fairhole::report {
namespace {

constexpr double kInchStepMm = 25.4 / 64.0;
constexpr double kMmStep = 0.5;

bool is_whole(double diameter_mm, double unit_mm) {
  constexpr double kSame = 1e-6;  // sizes are typed or converted, never measured
  const double count = diameter_mm / unit_mm;
  return std::abs(count - std::round(count)) < kSame;
}

bool is_inch_size(double diameter_mm) {
  return is_whole(diameter_mm, kInchStepMm) && !is_whole(diameter_mm, kMmStep);
}

}  // namespace

bool is_bought_size(double diameter_mm) {
  return is_whole(diameter_mm, kInchStepMm) || is_whole(diameter_mm, kMmStep);
}

int decimals_for(double sigma_mm) {
  if (!(sigma_mm > 0.0)) return 2;
  return std::clamp(static_cast<int>(std::ceil(-std::log10(2.0 * sigma_mm))), 0, 2);
}

std::string signed_mm(double value_mm, int decimals) {
  const std::string text = format_mm(value_mm, decimals);
  return text.front() == '-' ? text : "+" + text;
}

std::string size_mm(double diameter_mm) {
  std::string text = format_mm(diameter_mm, 2);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string tool_size(double diameter_mm) {
  const std::string mm = size_mm(diameter_mm) + " mm";
  return is_inch_size(diameter_mm) ? fmt::format("{} in ({})", inch_figure(diameter_mm), mm) : mm;
}

std::string rows_words(const std::vector<int>& ascending) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < ascending.size();) {
    std::size_t last = i;
    while (last + 1 < ascending.size() && ascending[last + 1] == ascending[last] + 1) ++last;
    if (last - i >= 2) {
      parts.push_back(fmt::format("{} to {}", ascending[i], ascending[last]));
    } else {
      for (std::size_t k = i; k <= last; ++k) parts.push_back(fmt::format("{}", ascending[k]));
    }
    i = last + 1;
  }
  return (ascending.size() == 1 ? "row " : "rows ") + list_words(parts);
}

std::string found_mm(double diameter_mm) { return format_mm(diameter_mm, 1); }

std::string range_words(const std::string& least, const std::string& most, const std::string& unit) {
  return least == most ? least + unit : fmt::format("{} to {}{}", least, most, unit);
}

int mark_decimals(const MarkOptions& marks) {
  constexpr double kWhole = 1e-6;  // a step this close to a multiple is one: steps are typed by people
  const auto multiple_of = [&](double unit_mm) {
    const double share = marks.step_mm / unit_mm;
    return share > 0.5 && std::abs(share - std::round(share)) < kWhole;
  };
  if (multiple_of(1.0)) return 0;
  return multiple_of(0.1) || marks.inches ? 1 : 2;
}

std::string inch_figure(double length_mm) {
  std::string text = format_inches(length_mm);
  return text.substr(0, text.rfind(" in"));
}

std::string mark_text(double mark_mm, const MarkOptions& marks) {
  const std::string mm = format_mm(mark_mm, mark_decimals(marks));
  return marks.inches ? fmt::format("{} ({})", mm, inch_figure(mark_mm)) : mm;
}

std::string finish_words(Finish finish) {
  switch (finish) {
    case Finish::kBench:
      return "on the bench";
    case Finish::kInPlace:
      return "in place";
    case Finish::kNone:
      break;
  }
  return "left as it is";
}

std::string method_words(Method method) {
  switch (method) {
    case Method::kTransfer:
      return "drill to the old hole";
    case Method::kOpenOut:
      return "open out";
    case Method::kClear:
      return "leave the old holes, the fastener passes";
    case Method::kBush:
      return "bush";
    case Method::kPlug:
      return "plug and drill afresh";
    case Method::kDrillToDrawing:
      return "drill to the drawing";
    case Method::kLeaveOut:
      return "leave out";
    case Method::kUndecided:
      break;
  }
  return "undecided";
}

std::string count_words(std::size_t count, const std::string& one, const std::string& many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string list_words(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string upper_case(std::string text) {
  for (char& c : text) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return text;
}

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> kCautions = {
      // Long sentences run over lines. NOLINTNEXTLINE(bugprone-suspicious-missing-comma)
      "Hot rivets and torches burn, smoke and set fire to what lies near. Clear the place, keep water and a "
      "watch.",
      "Presses and hung parts kill. Prop every part; never stand or reach under one.",
      "A drill that breaks through snatches: clamp the work. Swarf cuts: goggles, and a brush, not a hand.",
      "Old paint is often lead: do not burn, grind or dry-sand it without protection.",
      "This work does not prove strength. Any change of a fastener, a hole or an edge in a carrying "
      "structure, and "
      "all welding or plugging, is for a competent person under the local code, inspection body and licensed "
      "practice. Anything that holds pressure is out of its scope.",
  };
  return kCautions;
}

const char* caution_line() {
  return "Does not prove strength. Read the cautions on the last sheet before drilling.";
}

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/problem.h"

#include <fmt/format.h>

#include <algorithm>

#include "fairhole/base/shown_problems.h"

namespace fairhole {
namespace {

constexpr int kFirstDataCode =
    500;  // below it the input is at fault, from it on the data cannot give the answer

constexpr std::size_t kMostShown =
    300;  // of a place or a finding: a name of 10 kB shows nothing more than its head

/// Cut between characters (UTF-8) if it is too long to be shown.
std::string shortened(const std::string& text) {
  if (text.size() <= kMostShown) return text;
  std::size_t end = kMostShown;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  return text.substr(0, end) + "...";
}

bool is_control(char c) { return (static_cast<unsigned char>(c) < 0x20U && c != '\n') || c == '\x7f'; }

}  // namespace

Problems first_problems(const Problems& problems, std::size_t most) {
  if (problems.size() <= most) return problems;
  Problems first(problems.begin(), problems.begin() + static_cast<std::ptrdiff_t>(most));
  first.push_back({codes::kMoreProblems, "", fmt::format("{} more faults", problems.size() - most),
                   "mend the first ones and run again; the others may follow from them"});
  return first;
}

void append(Problems& all, const Problems& more) { all.insert(all.end(), more.begin(), more.end()); }

std::string code_name(Code code) { return fmt::format("E{:03}", code.number); }

std::string describe(const Problem& problem) {
  const std::size_t first_line_end = problem.what.find('\n');
  std::string text = code_name(problem.code) + ' ';
  if (!problem.where.empty()) text += shortened(problem.where) + ": ";
  text += shortened(problem.what.substr(0, first_line_end));
  if (!problem.remedy.empty()) text += "; " + problem.remedy;
  if (first_line_end != std::string::npos) text += problem.what.substr(first_line_end);
  std::replace_if(text.begin(), text.end(), is_control, ' ');
  return text;
}

int exit_status(const Problems& problems) {
  if (problems.empty()) return 0;
  const bool bad_input = std::any_of(problems.begin(), problems.end(),
                                     [](const Problem& p) { return p.code.number < kFirstDataCode; });
  return bad_input ? 2 : 1;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/problem.h"

#include <fmt/format.h>

#include <algorithm>

namespace fairhole {
namespace {

constexpr int kFirstDataCode =
    500;  // below it the input is at fault, from it on the data cannot give the answer

}  // namespace

void append(Problems& all, const Problems& more) { all.insert(all.end(), more.begin(), more.end()); }

std::string code_name(Code code) { return fmt::format("E{:03}", code.number); }

std::string describe(const Problem& problem) {
  const std::size_t first_line_end = problem.what.find('\n');
  std::string text = code_name(problem.code) + ' ';
  if (!problem.where.empty()) text += problem.where + ": ";
  text += problem.what.substr(0, first_line_end);
  if (!problem.remedy.empty()) text += "; " + problem.remedy;
  if (first_line_end != std::string::npos) text += problem.what.substr(first_line_end);
  return text;
}

int exit_status(const Problems& problems) {
  if (problems.empty()) return 0;
  const bool bad_input = std::any_of(problems.begin(), problems.end(),
                                     [](const Problem& p) { return p.code.number < kFirstDataCode; });
  return bad_input ? 2 : 1;
}

}  // namespace fairhole

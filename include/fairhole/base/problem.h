// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <compare>
#include <string>
#include <vector>

namespace fairhole {

/// The public, stable number of a problem. Each module keeps its codes as constants in its own headers;
/// docs/errors.md lists them all (a test compares). The hundreds say whose fault it is:
///   100..499  wrong use or bad input: exit status 2
///   500..899  the data cannot give the answer: exit status 1
struct Code {
  int number = 0;
  friend auto operator<=>(const Code&, const Code&) = default;
};

/// "E104".
std::string code_name(Code code);

/// Something wrong with the user's data or request, said so that a person can act on it.
struct Problem {
  Code code;
  std::string where;   ///< "job.json: parts[2].faces[0].thickness", "near.csv: line 7"; may be empty
  std::string what;    ///< what was found: "2 holes matched to the pattern"
  std::string remedy;  ///< what would be right: "measure one more hole on this part"
};

using Problems = std::vector<Problem>;

/// Adds `more` at the end of `all`.
void append(Problems& all, const Problems& more);

/// One line of text: "E104 near.csv: line 7: what; remedy". When `what` has further lines (a faulty text and
/// the caret under the place), they follow the remedy on lines of their own.
std::string describe(const Problem& problem);

/// 2 if any problem is wrong use or bad input (codes 100..499), else 1. 0 for none.
int exit_status(const Problems& problems);

/// Files and text that could not be read at all.
namespace codes {
inline constexpr Code kBadLength{101};          ///< text that is no length
inline constexpr Code kLengthNotSensible{103};  ///< beyond +-100 m: surely a wrong unit
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/odds_words.h"
#include "fairhole/layout/layout.h"

/// How figures and decisions are said on paper: one place, so that sheet and report say the same.
namespace fairhole::report {

/// Decimals (0..2) of a figure whose 1-sigma is `sigma_mm`: the last one stands in the decade of 2 sigma, so
/// no digit is printed that the uncertainty makes mere noise. 0.25 mm gives 1, 0.04 mm gives 2, 1.2 mm gives
/// 0.
int decimals_for(double sigma_mm);

/// A signed millimetre figure with the decimals of its sigma, "+0.0" never "-0.0".
std::string signed_mm(double value_mm, int decimals);

/// A tool's or a hole's diameter in mm: up to two decimals, trailing noughts cut ("22", "22.5", "22.23").
std::string size_mm(double diameter_mm);

/// A size as its tool is stamped: "15/16 in (23.81 mm)" where it is a whole 1/64 in and no half millimetre,
/// else "22.5 mm".
std::string tool_size(double diameter_mm);

/// Reamers are bought in whole 1/64 in or 0.5 mm; any other size is an old hole's as found.
bool is_bought_size(double diameter_mm);

/// "rows 2, 4 and 15 to 22": three or more in a row as a range.
std::string rows_words(const std::vector<int>& ascending);

/// The diameter of a hole as a caliper found it: no hundredths.
std::string found_mm(double diameter_mm);
/// "20.7 to 22.6 mm"; one figure where both read the same.
std::string range_words(const std::string& least, const std::string& most, const std::string& unit);

/// Decimals that a mark rounded to `marks.step_mm` needs: 0.5 gives 1, 1 gives 0, 1/64 in gives 1.
int mark_decimals(const MarkOptions& marks);

/// An ordinate as it is written on paper: "412.5", or with inches asked for "412.5 (16 15/64)".
/// The unit stands in the head of the figures.
std::string mark_text(double mark_mm, const MarkOptions& marks);

/// "16 15/64": inches to the nearest 1/64 without their unit.
std::string inch_figure(double length_mm);

/// "drilled on the bench", "finished in place", "left as it is".
std::string finish_words(Finish finish);
/// The decision as a fitter says it: "drill to the old hole", "open out", "plug and drill afresh".
std::string method_words(Method method);

/// "3 holes", "1 hole".
std::string count_words(std::size_t count, const std::string& one, const std::string& many);
/// "A1, A2 and A3"; empty for none.
std::string list_words(const std::vector<std::string>& items);

std::string upper_case(std::string text);  ///< ASCII letters only

/// What every sheet and report says once about danger and about strength.
const std::vector<std::string>& cautions();

/// The cautions in one line, for the title strip.
const char* caution_line();

}  // namespace fairhole::report

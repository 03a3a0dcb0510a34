// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "fairhole/base/result.h"

namespace fairhole {

inline constexpr double kMmPerInch = 25.4;  ///< exact: Weights and Measures, international inch of 1959

/// The unit a bare number stands for.
enum class Unit { kMm, kInch };

/// Reads a length as a fitter writes it, in mm:
///   `101.6`, `101.6 mm`;  `4 3/16 in`, `4-3/16"`, `4.1875"`, `3/16 in`, `1' 4-3/16"`, `1 ft 4 in`, `-0.5`.
/// A bare number is in `file_unit`. A bare fraction or a foot without inches' unit is accepted only when
/// `file_unit` is inch; in a mm file it is a problem that asks for `3/16 in`. The prime characters U+2032 and
/// U+2033, two apostrophes, and the typographic quotes U+2019 and U+201D read as ' and ". Decimals may carry
/// an exponent, as programs write small numbers (`1e-05`). A sign goes with the whole length: `-1' 4"` is 16
/// inches below zero. `17/16 in` is taken as it stands, but the fraction of a mixed number is less than one
/// and the inches after feet are less than 12: `4 17/16 in` and `1' 12"` are slips of the pen, and problems.
/// `where` goes into the problem, together with the text and a caret line that shows the place.
/// Problems: kBadLength; kLengthNotSensible beyond +-100 m.
Result<double> parse_length_mm(std::string_view text, Unit file_unit, std::string_view where = {});

/// A length in feet, inches and the nearest 1/64 in, and what the fraction leaves over.
struct InchFraction {
  bool negative = false;
  int inches = 0;             ///< whole inches
  int numerator = 0;          ///< in lowest terms; 0 for none
  int denominator = 1;        ///< 1, 2, 4, ... 64
  double remainder_mm = 0.0;  ///< length minus fraction, signed; |remainder| <= 25.4/128 mm
};

/// Nearest fraction with a denominator up to `denominator` (a power of two, 1..64). Ties go to the larger
/// magnitude.
InchFraction to_inch_fraction(double length_mm, int denominator = 64);

/// "4 3/16 in", "0 in", "-3/8 in". With `with_remainder` and a remainder of 0.0005 in or more: "4 3/16 in +
/// 0.004". Reads back through parse_length_mm (without the remainder) to the same fraction.
std::string format_inches(double length_mm, int denominator = 64, bool with_remainder = false);

/// Fixed decimals without a trailing "-0.00": "101.6", locale never looked at.
std::string format_mm(double length_mm, int decimals = 1);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "fairhole/base/result.h"

/// Limits of size of ISO 286-1 and -2, 3 to 180 mm, grades IT5 to IT11, shafts f g h js k m n p r s
/// and holes F G H JS K M N P R S. The tables (src/fits/data/iso286_*.csv) hold the standard tolerances, the
/// shafts' fundamental deviations and delta; the holes follow from the shafts by the standard's rules.
/// Nothing comes from the standard's formulas: after rounding they miss its tables in 17 of 191 places, and
/// the tables govern.
namespace fairhole {

/// "H7", "js6". Capitals are holes, small letters shafts.
struct ToleranceClass {
  std::string letter;
  int grade = 0;  ///< 7 for IT7
  bool is_hole() const { return !letter.empty() && letter.front() >= 'A' && letter.front() <= 'Z'; }
  std::string name() const { return letter + std::to_string(grade); }
};

/// Exact: whole nanometres, because js halves odd micrometres and 1/64 in is 396 875 nm.
struct Deviations {
  int upper_nm = 0;
  int lower_nm = 0;
};

struct SizeLimits {
  std::int64_t min_nm = 0;
  std::int64_t max_nm = 0;
  double min_mm() const { return static_cast<double>(min_nm) / 1e6; }
  double max_mm() const { return static_cast<double>(max_nm) / 1e6; }
};

/// The size to the nearest nanometre. Requires |size| < 1e9 mm.
std::int64_t nanometres(double size_mm);

/// Standard tolerance in micrometres. Steps run "over a, up to and including b": 18 mm lies in 10 to 18.
/// Problems: kFitSize outside the steps, kFitClass for a grade outside 5 to 11.
Result<int> standard_tolerance_um(int grade, double nominal_mm);

/// Upper and lower deviation of a class at a nominal size:
///   f g h: es = the table's; js: half the tolerance either way (the standard lets js7 to js11 be rounded
///   down to a whole micrometre; we keep the half); k: ei = the table's for IT4 to IT7, else 0; m n p r s: ei
///   = the table's. F G H: EI = -es of f g h. K M N up to IT8 and P R S up to IT7: ES = -ei + delta; above: M
///   P R S: ES = -ei, N: ES = 0 (up to 3 mm: -ei), K: not defined over 3 mm.
/// Problems: kFitSize, kFitClass (letter or grade not in the tables, K above IT8).
Result<Deviations> deviations(const ToleranceClass& wanted, double nominal_mm);

/// Nominal size and class to limits of size. Problems as deviations().
Result<SizeLimits> limits_of(const ToleranceClass& wanted, double nominal_mm);

namespace codes {
inline constexpr Code kFitClass{441};  ///< a tolerance class that the tables do not hold
inline constexpr Code kFitSize{442};   ///< a nominal size outside the steps of the tables
}  // namespace codes

}  // namespace fairhole

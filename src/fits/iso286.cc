// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/iso286.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "table.h"

namespace fairhole {
namespace {

constexpr int kNmPerUm = 1000;
constexpr int kFinestGrade = 5;
constexpr int kCoarsestGrade = 11;
constexpr double kSmallestMm = 3.0;  // the last size of its step; we go no lower
constexpr std::array<std::string_view, 10> kShaftLetters{"f", "g", "h", "js", "k", "m", "n", "p", "r", "s"};

/// The row whose step "over a, up to and including b" holds the size; Table::rows() when none does.
std::size_t step_of(const fits::Table& table, double nominal_mm) {
  const std::int64_t nominal_nm = nanometres(nominal_mm);
  std::size_t row = 0;
  for (; row < table.rows(); ++row) {
    if (nominal_nm > nanometres(table.number(row, "over_mm")) &&
        nominal_nm <= nanometres(table.number(row, "up_to_mm")))
      break;
  }
  return row;
}

const fits::Table& steps() {
  static const fits::Table table(embedded::iso286_steps_csv);
  return table;
}

const fits::Table& shafts() {
  static const fits::Table table(embedded::iso286_shafts_csv);
  return table;
}

int whole_um(const fits::Table& table, std::size_t row, const std::string& column) {
  return static_cast<int>(std::lround(table.number(row, column)));
}

std::string shaft_letter(const ToleranceClass& wanted) {
  std::string letter = wanted.letter;
  std::transform(letter.begin(), letter.end(), letter.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return letter;
}

/// Fundamental deviation of the shaft letter: es of f g h, ei of the others.
int shaft_deviation_um(const std::string& letter, int grade, double nominal_mm) {
  if (letter == "k" && grade > 7) return 0;
  return whole_um(shafts(), step_of(shafts(), nominal_mm), letter + "_um");
}

int delta_um(int grade, double nominal_mm) {
  return whole_um(steps(), step_of(steps(), nominal_mm), fmt::format("delta{}_um", grade));
}

/// ES of the holes K to S.
int upper_of_tight_hole_um(const std::string& letter, int grade, double nominal_mm) {
  const bool up_to_8 = letter == "k" || letter == "m" || letter == "n";
  if (grade <= (up_to_8 ? 8 : 7)) {
    // The shaft's value for IT4 to IT7 also where the grade is IT8: delta makes good the difference.
    return -shaft_deviation_um(letter, std::min(grade, 7), nominal_mm) + delta_um(grade, nominal_mm);
  }
  const bool up_to_3 = nanometres(nominal_mm) <= nanometres(kSmallestMm);
  return letter == "n" && !up_to_3 ? 0 : -shaft_deviation_um(letter, grade, nominal_mm);
}

Problem bad_class(const ToleranceClass& wanted, const std::string& what) {
  return {codes::kFitClass, "", fmt::format("tolerance class {}: {}", wanted.name(), what),
          "use F G H JS K M N P R S (holes) or f g h js k m n p r s (shafts) with grades 5 to 11, K up to 8"};
}

}  // namespace

std::int64_t nanometres(double size_mm) { return std::llround(size_mm * 1e6); }

Result<int> standard_tolerance_um(int grade, double nominal_mm) {
  if (grade < kFinestGrade || grade > kCoarsestGrade) {
    return Problem{codes::kFitClass, "", fmt::format("grade IT{} is not in the tables", grade),
                   "use grades 5 to 11"};
  }
  const bool in_range = std::isfinite(nominal_mm) && nanometres(nominal_mm) >= nanometres(kSmallestMm);
  const std::size_t row = in_range ? step_of(steps(), nominal_mm) : steps().rows();
  if (row == steps().rows()) {
    return Problem{codes::kFitSize, "", fmt::format("the tables hold no size of {} mm", nominal_mm),
                   "give a nominal size of 3 mm or more, up to and including 180 mm"};
  }
  return whole_um(steps(), row, fmt::format("IT{}_um", grade));
}

Result<Deviations> deviations(const ToleranceClass& wanted, double nominal_mm) {
  const std::string letter = shaft_letter(wanted);
  const bool mixed = wanted.letter != letter && std::any_of(wanted.letter.begin(), wanted.letter.end(),
                                                            [](char c) { return c >= 'a' && c <= 'z'; });
  if (mixed || std::find(kShaftLetters.begin(), kShaftLetters.end(), letter) == kShaftLetters.end())
    return bad_class(wanted, "the tables hold no such letter");
  if (wanted.grade < kFinestGrade || wanted.grade > kCoarsestGrade)
    return bad_class(wanted, "the tables hold grades 5 to 11 only");
  if (wanted.letter == "K" && wanted.grade > 8 && nanometres(nominal_mm) > nanometres(kSmallestMm))
    return bad_class(wanted, "the standard defines K up to grade 8 only");
  const Result<int> tolerance_um = standard_tolerance_um(wanted.grade, nominal_mm);
  if (!tolerance_um) return tolerance_um.problems();

  const int it_nm = *tolerance_um * kNmPerUm;
  if (letter == "js") return Deviations{it_nm / 2, -it_nm / 2};
  const bool loose = letter == "f" || letter == "g" || letter == "h";
  if (!wanted.is_hole()) {
    const int fundamental_nm = shaft_deviation_um(letter, wanted.grade, nominal_mm) * kNmPerUm;
    return loose ? Deviations{fundamental_nm, fundamental_nm - it_nm}
                 : Deviations{fundamental_nm + it_nm, fundamental_nm};
  }
  if (loose) {
    const int lower_nm = -shaft_deviation_um(letter, wanted.grade, nominal_mm) * kNmPerUm;
    return Deviations{lower_nm + it_nm, lower_nm};
  }
  const int upper_nm = upper_of_tight_hole_um(letter, wanted.grade, nominal_mm) * kNmPerUm;
  return Deviations{upper_nm, upper_nm - it_nm};
}

Result<SizeLimits> limits_of(const ToleranceClass& wanted, double nominal_mm) {
  const Result<Deviations> found = deviations(wanted, nominal_mm);
  if (!found) return found.problems();
  const std::int64_t nominal_nm = nanometres(nominal_mm);
  return SizeLimits{nominal_nm + found->lower_nm, nominal_nm + found->upper_nm};
}

}  // namespace fairhole

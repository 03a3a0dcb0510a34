// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/fit.h"

#include <fmt/format.h>

#include <cassert>
#include <cmath>

#include "fairhole/base/length.h"
#include "table.h"

namespace fairhole {
namespace {

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

/// One or two letters and one or two digits: "js6".
std::optional<ToleranceClass> read_class(std::string_view text) {
  std::size_t letters = 0, digits = 0;
  while (letters < text.size() && is_letter(text[letters])) ++letters;
  while (letters + digits < text.size() && is_digit(text[letters + digits])) ++digits;
  if (letters < 1 || letters > 2 || digits < 1 || digits > 2 || letters + digits != text.size())
    return std::nullopt;
  int grade = 0;
  for (const char digit : text.substr(letters)) grade = 10 * grade + (digit - '0');
  return ToleranceClass{std::string(text.substr(0, letters)), grade};
}

/// "H7", "H7/k6"; none when the text is not one or two classes.
std::vector<ToleranceClass> read_classes(std::string_view text) {
  const std::size_t slash = text.find('/');
  const auto first = read_class(trimmed(text.substr(0, slash)));
  if (!first) return {};
  if (slash == std::string_view::npos) return {*first};
  const auto second = read_class(trimmed(text.substr(slash + 1)));
  if (!second) return {};
  return {*first, *second};
}

Problem no_fit(std::string_view text, const std::string& what) {
  return {codes::kFitText, "", fmt::format("\"{}\" {}", text, what),
          "write a size, a hole class and a shaft class, or one class alone: \"22 H7/k6\", \"7/8 in k6\""};
}

}  // namespace

Result<FitRequest> parse_fit(std::string_view text) {
  std::vector<ToleranceClass> classes;
  std::size_t at = 0;
  for (; at < text.size() && classes.empty(); ++at) {
    if (is_letter(text[at]) && (at == 0 || (!is_letter(text[at - 1]) && text[at - 1] != '/')))
      classes = read_classes(trimmed(text.substr(at)));
  }
  if (classes.empty()) return no_fit(text, "is no fit");
  const std::string_view size = trimmed(text.substr(0, at - 1));
  if (size.empty()) return no_fit(text, "states no size");
  const Result<double> nominal_mm = parse_length_mm(size, Unit::kMm, "nominal size");
  if (!nominal_mm) return nominal_mm.problems();

  FitRequest request{*nominal_mm, std::string(size), std::nullopt, std::nullopt};
  for (const ToleranceClass& part : classes) (part.is_hole() ? request.hole : request.shaft) = part;
  if (classes.size() == 2 && !(classes[0].is_hole() && !classes[1].is_hole()))
    return no_fit(text, "is not a hole class (capital) before a shaft class (small letter)");
  return request;
}

Result<FitLimits> fit_limits(const FitRequest& request) {
  FitLimits fit{request, std::nullopt, std::nullopt};
  Problems problems;
  const auto resolve = [&](const std::optional<ToleranceClass>& wanted, std::optional<SizeLimits>& limits) {
    if (!wanted) return;
    if (const Result<SizeLimits> found = limits_of(*wanted, request.nominal_mm)) {
      limits = *found;
    } else {
      append(problems, found.problems());
    }
  };
  resolve(request.hole, fit.hole);
  resolve(request.shaft, fit.shaft);
  if (problems.size() == 2 && problems[0].code == codes::kFitSize)
    problems.pop_back();  // the same size twice
  if (!problems.empty()) return problems;
  return fit;
}

SizeLimits clearance_of(const FitLimits& fit) {
  assert(fit.hole && fit.shaft);
  return {fit.hole->min_nm - fit.shaft->max_nm, fit.hole->max_nm - fit.shaft->min_nm};
}

const char* fit_character_name(FitCharacter character) {
  switch (character) {
    case FitCharacter::kClearance:
      return "clearance fit";
    case FitCharacter::kTransition:
      return "transition fit";
    case FitCharacter::kInterference:
      break;
  }
  return "interference fit";
}

FitCharacter character_of(const SizeLimits& clearance) {
  if (clearance.min_nm >= 0) return FitCharacter::kClearance;
  return clearance.max_nm <= 0 ? FitCharacter::kInterference : FitCharacter::kTransition;
}

Result<SizeLimits> shank_for_bore(const FitRequest& request, double bore_mm, double bore_sigma_mm) {
  constexpr double kFarFromNominal = 0.1;
  if (!request.shaft) {
    return Problem{codes::kFitNoShaft, "", "a shank for a bore needs a shaft class",
                   fmt::format("write it behind the hole class: \"{} H7/k6\"", request.nominal_text)};
  }
  if (!std::isfinite(bore_mm) ||
      std::abs(bore_mm - request.nominal_mm) > kFarFromNominal * request.nominal_mm) {
    return Problem{codes::kFitBadBore, "bore",
                   fmt::format("{} mm, and the nominal size is {} mm", bore_mm, request.nominal_mm),
                   "measure again, or state the nominal size nearest to the bore"};
  }
  if (!std::isfinite(bore_sigma_mm) || bore_sigma_mm < 0.0) {
    return Problem{codes::kFitBadBore, "sigma", fmt::format("{} mm", bore_sigma_mm),
                   "a sigma is a number, 0 or above"};
  }
  const Result<Deviations> found = deviations(*request.shaft, request.nominal_mm);
  if (!found) return found.problems();
  const std::int64_t bore_nm = nanometres(bore_mm), narrowed_nm = nanometres(2.0 * bore_sigma_mm);
  const SizeLimits shank{bore_nm + found->lower_nm + narrowed_nm, bore_nm + found->upper_nm - narrowed_nm};
  if (shank.min_nm > shank.max_nm) {
    return Problem{codes::kFitNoShankLeft, "bore",
                   fmt::format("known to {} mm at 2 sigma, and {} is only {} mm wide", 2.0 * bore_sigma_mm,
                               request.shaft->name(), (found->upper_nm - found->lower_nm) / 1e6),
                   "measure the bore more closely, or choose a wider class"};
  }
  return shank;
}

std::vector<InchAllowance> inch_allowances(double nominal_mm) {
  static const fits::Table table(embedded::inch_practice_csv);
  std::vector<InchAllowance> allowances;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    allowances.push_back({table.text(row, "fit"), table.number(row, "least_per_inch") * nominal_mm,
                          table.number(row, "most_per_inch") * nominal_mm});
  }
  return allowances;
}

}  // namespace fairhole

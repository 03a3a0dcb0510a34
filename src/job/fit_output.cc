// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/fit_output.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "fairhole/base/length.h"

namespace fairhole::job {
namespace {

using FitJson = nlohmann::ordered_json;

FitJson size_limits_json(const SizeLimits& limits) {
  return {{"min", limits.min_mm()}, {"max", limits.max_mm()}};
}

/// To the micrometre, and further only where js halves one.
std::string size_text(std::int64_t size_nm) {
  constexpr std::int64_t kNmPerUm = 1000;
  return fmt::format("{:.{}f}", static_cast<double>(size_nm) / 1e6, size_nm % kNmPerUm == 0 ? 3 : 4);
}

std::string range_text(const SizeLimits& limits, bool inches) {
  std::string text = fmt::format("{} to {} mm", size_text(limits.min_nm), size_text(limits.max_nm));
  if (inches)
    text += fmt::format(" ({:.5f} to {:.5f} in)", limits.min_mm() / kMmPerInch, limits.max_mm() / kMmPerInch);
  return text;
}

bool written_in_inches(const FitRequest& request) {
  return request.nominal_text.find_first_of("\"'") != std::string::npos ||
         request.nominal_text.find("in") != std::string::npos ||
         request.nominal_text.find("ft") != std::string::npos;
}

std::string signed_um(int deviation_nm) {
  return deviation_nm == 0 ? "0" : fmt::format("{:+.4g}", deviation_nm / 1000.0);
}

std::string part_line(const char* name, const ToleranceClass& wanted, const SizeLimits& limits,
                      const FitRequest& request) {
  const Result<Deviations> found = deviations(wanted, request.nominal_mm);
  const std::string signs =
      found ? fmt::format("   {} / {} um", signed_um(found->upper_nm), signed_um(found->lower_nm)) : "";
  return fmt::format("  {:<6}{:<5}{}{}\n", name, wanted.name(),
                     range_text(limits, written_in_inches(request)), signs);
}

/// How it goes in at its tightest and halfway between its limits; interference on diameter.
std::string driving_lines(double tightest_mm, double middle_mm, double diameter_mm, const FitPlace& place) {
  const PressedPair pair{diameter_mm, place.outside_mm.value_or(3.0 * diameter_mm),
                         0.0,         place.length_mm.value_or(diameter_mm),
                         place.shaft, place.hub};
  const DrivingVerdict tightest = driving(pair, tightest_mm), middle = driving(pair, middle_mm);
  if (tightest.kind == Driving::kByHand) return "It goes in by hand.\n";
  std::string text = fmt::format("At its tightest it {}:\n  {}.\n", tightest.words, tightest.basis);
  text += fmt::format("Halfway between the limits it {}", middle.words);
  if (middle.kind != Driving::kByHand)
    text += fmt::format(": {:.1f} kN", press(pair, middle_mm).force_n / 1000.0);
  text += fmt::format(".\n  {} in {}", place.shaft.name, place.hub.name);
  if (!place.length_mm) text += "; length not stated, one diameter taken (--length)";
  if (!place.outside_mm) text += "; metal round the hole not stated, three diameters taken (--outside)";
  return text + "\n";
}

std::string inch_practice_line(double nominal_mm) {
  std::string text = "Old inch practice for this size, shaft over hole in mm, from memory:\n  ";
  bool first = true;
  for (const InchAllowance& allowance : inch_allowances(nominal_mm)) {
    text += fmt::format("{}{} {:+.3f} to {:+.3f}", first ? "" : ", ", allowance.name, allowance.least_mm,
                        allowance.most_mm);
    first = false;
  }
  return text + ".\n";
}

}  // namespace

std::string fit_json(const FitLimits& fit) {
  FitJson json = FitJson::object();
  if (fit.hole) json["hole"] = size_limits_json(*fit.hole);
  if (fit.shaft) json["shaft"] = size_limits_json(*fit.shaft);
  if (fit.hole && fit.shaft) json["clearance"] = size_limits_json(clearance_of(fit));
  return json.dump() + "\n";
}

std::string fit_text(const FitLimits& fit, const FitPlace& place) {
  const FitRequest& request = fit.request;
  std::string text =
      fmt::format("{} {}{}{} (ISO 286)\n", request.nominal_text, request.hole ? request.hole->name() : "",
                  request.hole && request.shaft ? "/" : "", request.shaft ? request.shaft->name() : "");
  if (fit.hole) text += part_line("hole", *request.hole, *fit.hole, request);
  if (fit.shaft) text += part_line("shaft", *request.shaft, *fit.shaft, request);
  if (!fit.hole || !fit.shaft) return text;
  const SizeLimits clearance = clearance_of(fit);
  text += fmt::format("  clearance  {}: {}{}\n", range_text(clearance, written_in_inches(request)),
                      fit_character_name(character_of(clearance)),
                      clearance.min_nm < 0 ? " (negative: the shaft is the larger)" : "");
  return text +
         driving_lines(-clearance.min_mm(), -(clearance.min_mm() + clearance.max_mm()) / 2.0,
                       request.nominal_mm, place) +
         inch_practice_line(request.nominal_mm);
}

std::string shank_json(const BoreAndShank& found) {
  return FitJson{{"bore", found.bore_mm}, {"shank", size_limits_json(found.shank)}}.dump() + "\n";
}

std::string shank_text(const BoreAndShank& found, const FitPlace& place) {
  const FitRequest& request = found.request;
  std::string text = fmt::format(
      "Shank for a bore of {} mm{}, {} at {}: {}\n", size_text(nanometres(found.bore_mm)),
      found.sigma_mm > 0.0 ? fmt::format(" +- {:.2g} mm (1 sigma)", found.sigma_mm) : "",
      request.shaft->name(), request.nominal_text, range_text(found.shank, written_in_inches(request)));
  if (request.hole) {
    if (const Result<SizeLimits> hole = limits_of(*request.hole, request.nominal_mm)) {
      const std::int64_t bore_nm = nanometres(found.bore_mm);
      const std::int64_t off_nm = bore_nm > hole->max_nm   ? bore_nm - hole->max_nm
                                  : bore_nm < hole->min_nm ? bore_nm - hole->min_nm
                                                           : 0;
      text += off_nm == 0 ? fmt::format("The bore is within {}.\n", request.hole->name())
                          : fmt::format("The bore is {} mm {} {} ({}): the shank follows the bore.\n",
                                        size_text(std::abs(off_nm)), off_nm > 0 ? "over" : "under",
                                        request.hole->name(), range_text(*hole, written_in_inches(request)));
    }
  }
  const double tightest_mm = found.shank.max_mm() - (found.bore_mm - 2.0 * found.sigma_mm);
  const double middle_mm = (found.shank.min_mm() + found.shank.max_mm()) / 2.0 - found.bore_mm;
  return text + driving_lines(tightest_mm, middle_mm, found.bore_mm, place);
}

}  // namespace fairhole::job

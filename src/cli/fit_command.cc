// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>
#include <optional>

#include "commands.h"
#include "fairhole/base/length.h"
#include "fairhole/job/fit_output.h"
#include "fairhole/job/run.h"

namespace fairhole::cli {
namespace {

struct FitArguments {
  std::string fit, bore, sigma, length, outside;
  std::string shaft = "steel";
  std::string hub = "steel";
  bool json = false;
};

/// A length of an option above 0 (a sigma: 0 or above), or none where it is not given.
std::optional<double> length_option(const char* name, const std::string& text, double least_mm,
                                    Problems& problems) {
  if (text.empty()) return std::nullopt;
  const Result<double> length_mm = parse_length_mm(text, Unit::kMm, name);
  if (!length_mm) {
    append(problems, length_mm.problems());
    return std::nullopt;
  }
  if (*length_mm < least_mm) {
    problems.push_back({codes::kUsage, name, fmt::format("{} mm", *length_mm), "give a length above 0"});
    return std::nullopt;
  }
  return *length_mm;
}

Metal metal_option(const std::string& name, Problems& problems) {
  const Result<Metal> metal = metal_named(name);
  if (metal) return *metal;
  append(problems, metal.problems());
  return {};
}

int fit(const FitArguments& given) {
  constexpr double kLeastMm = 1e-6;
  Problems problems;
  job::FitPlace place{length_option("--length", given.length, kLeastMm, problems),
                      length_option("--outside", given.outside, kLeastMm, problems),
                      metal_option(given.shaft, problems), metal_option(given.hub, problems)};
  const std::optional<double> bore_mm = length_option("--bore", given.bore, kLeastMm, problems);
  const double sigma_mm = length_option("--sigma", given.sigma, 0.0, problems).value_or(0.0);
  const Result<FitRequest> request = parse_fit(given.fit);
  if (!request) append(problems, request.problems());
  if (!problems.empty()) return complain(problems);
  const double diameter_mm = bore_mm.value_or(request->nominal_mm);
  if (place.outside_mm && *place.outside_mm <= diameter_mm) {
    return complain({{codes::kUsage, "--outside",
                      fmt::format("{} mm across, and the hole is {} mm", *place.outside_mm, diameter_mm),
                      "give the diameter of the metal round the hole"}});
  }
  if (bore_mm) {
    const Result<SizeLimits> shank = shank_for_bore(*request, *bore_mm, sigma_mm);
    if (!shank) return complain(shank.problems());
    const job::BoreAndShank found{*request, *bore_mm, sigma_mm, *shank};
    return say(given.json ? job::shank_json(found) : job::shank_text(found, place));
  }
  const Result<FitLimits> found = fit_limits(*request);
  if (!found) return complain(found.problems());
  return say(given.json ? job::fit_json(*found) : job::fit_text(*found, place));
}

}  // namespace

void add_fit(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand(
      "fit", "Limits of a fit, and of the shank for one bore: \"22 H7/k6\", \"7/8 in H7/k6\"");
  auto given = std::make_shared<FitArguments>();
  command->add_option("FIT", given->fit, "Nominal size, hole class and shaft class, or one class alone")
      ->required();
  CLI::Option* bore =
      command->add_option("--bore", given->bore, "The hole as measured: limits of the shank for it");
  command
      ->add_option("--sigma", given->sigma,
                   "How well the bore is known (1 sigma); narrows the shank's limits")
      ->needs(bore);
  command->add_option("--length", given->length,
                      "Length of hole the shank is driven through; default one diameter");
  command->add_option(
      "--outside", given->outside,
      "Diameter of the metal round the hole, twice the edge distance; default three diameters");
  command->add_option("--shaft", given->shaft, "Metal of the shank: steel, wrought iron, cast iron, bronze");
  command->add_option("--hub", given->hub, "Metal round the hole");
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = fit(*given); });
}

}  // namespace fairhole::cli

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "fairhole/base/length.h"
#include "fairhole/fits/catalogue.h"
#include "fairhole/fits/fit.h"
#include "fairhole/job/survey_json.h"
#include "fairhole/job/survey_text.h"
#include "fairhole/survey/survey.h"
#include "targets.h"

namespace fairhole::fuzz {

void must(bool holds, std::string_view promise) {
  if (holds) return;
  fmt::print(stderr, "broken promise: {}\n", promise);
  std::abort();
}

void must_be_clear(const Problems& problems) {
  must(!problems.empty(), "a refusal says why");
  for (const Problem& problem : problems) {
    must(problem.code.number >= 100 && problem.code.number < 900, "codes lie in 100..899");
    must(!problem.what.empty() && !problem.remedy.empty(), "what was found, and what would be right");
    must(!describe(problem).empty(), "a problem can be said");
  }
}

namespace {

void one_length(std::string_view text, Unit unit) {
  const Result<double> length_mm = parse_length_mm(text, unit, "here");
  if (!length_mm) return must_be_clear(length_mm.problems());
  must(std::isfinite(*length_mm) && std::abs(*length_mm) <= 100'000.0, "a length is finite and within 100 m");
  const InchFraction fraction = to_inch_fraction(*length_mm);
  must(std::abs(fraction.remainder_mm) <= kMmPerInch / 128.0 + 1e-9, "a remainder is at most half a step");
  if (std::abs(*length_mm) > 99'999.0) return;  // the nearest fraction may lie beyond what is read
  const Result<double> back_mm = parse_length_mm(format_inches(*length_mm), Unit::kMm);
  must(back_mm.ok() && std::abs(*back_mm + fraction.remainder_mm - *length_mm) < 1e-6,
       "inches as written read back to the same fraction");
  must(!format_mm(*length_mm).starts_with("-0.0") || *length_mm < -0.05, "no negative nought");
}

}  // namespace

void lengths(std::string_view bytes) {
  for (const Unit unit : {Unit::kMm, Unit::kInch}) one_length(bytes, unit);
  const Result<FitRequest> fit = parse_fit(bytes);
  if (!fit) return must_be_clear(fit.problems());
  const Result<FitLimits> limits = fit_limits(*fit);
  if (!limits) must_be_clear(limits.problems());
}

void readings(std::string_view bytes) {
  constexpr std::size_t kMostRows = 60;  // adjusting grows with the cube; what goes wrong does so with few
  const Result<Readings> read = parse_readings(bytes, "foot.csv");
  if (!read) return must_be_clear(read.problems());
  for (const Reading& r : read->rows) {
    must(std::isfinite(r.value_mm) && std::isfinite(r.sigma_mm) && r.sigma_mm >= 0.0, "a reading is finite");
    must(!r.from.empty(), "a reading is of a hole");
  }
  if (read->rows.size() > kMostRows) return;
  const Result<SurveyResult> survey = adjust(*read);
  if (!survey) return must_be_clear(survey.problems());
  for (const auto& hole : survey->face.holes) must(hole.centre_mm.allFinite(), "an adjusted place is finite");
  must(nlohmann::json::accept(survey_json(*survey)), "what is told as JSON is JSON");
  must(!survey_text(*survey, *read).empty(), "the survey can be said");
}

void catalogues(std::string_view bytes) {
  const Result<Catalogue> own = parse_catalogue(bytes, "shop.csv");
  if (!own) return must_be_clear(own.problems());
  merged(*own, standard_catalogue());
}

}  // namespace fairhole::fuzz

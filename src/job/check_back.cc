// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/check_back.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <nlohmann/json.hpp>

#include "check_back_json.h"
#include "fairhole/base/length.h"
#include "fairhole/job/load.h"
#include "fairhole/job/register_json.h"
#include "fairhole/survey/survey.h"
#include "json_text.h"
#include "planned_plate.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

/// What was measured, where it stands, and its readings.
struct Measured {
  MeasuredFace face;
  MeasuredIn in = MeasuredIn::kDatum;
  std::vector<ReadingKept> readings;
};

bool looks_like_json(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n\xEF\xBB\xBF");
  return first != std::string::npos && (text[first] == '{' || text[first] == '[');
}

/// The data rows as they stand in the file, row 1 first: comments, blank lines and the header left out.
std::vector<std::string> data_rows(const std::string& text) {
  std::vector<std::string> rows;
  std::size_t at = 0;
  bool header = true;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    std::string line = text.substr(at, end - at);
    at = end + 1;
    if (!line.empty() && line.back() == '\r') line.pop_back();
    const std::size_t first = line.find_first_not_of(" \t\xEF\xBB\xBF");
    if (first == std::string::npos || line[first] == '#') continue;
    if (!header) rows.push_back(line);
    header = false;
  }
  return rows;
}

Result<Measured> from_readings(const NamedText& file) {
  const Result<Readings> readings = parse_readings(file.text, file.name);
  if (!readings) return readings.problems();
  const Result<SurveyResult> survey = adjust(*readings);
  if (!survey) return survey.problems();
  Measured measured{
      survey->face, survey->shape_only || survey->partly_free ? MeasuredIn::kFree : MeasuredIn::kDatum, {}};
  const std::vector<std::string> rows = data_rows(file.text);
  for (const ReadingVerdict& reading : survey->readings) {
    const std::size_t row = static_cast<std::size_t>(reading.row);
    measured.readings.push_back({reading.row, row >= 1 && row <= rows.size() ? rows[row - 1] : "",
                                 reading.residual_mm, reading.rejected,
                                 reading.slip ? reading.slip->name : ""});
  }
  return measured;
}

Result<Measured> from_measured(const NamedText& file) {
  Result<MeasuredFace> face = parse_measured(file.text, file.name);
  if (!face) return face.problems();
  const Result<Json> json = parse_json(file.text, file.name);
  const bool free = json->contains("frame") || json->value("shape_only", Json(false)) == true;
  return Measured{*std::move(face), free ? MeasuredIn::kFree : MeasuredIn::kDatum, {}};
}

}  // namespace

Result<CheckBack> check_back(const CheckBackRequest& request) {
  const Result<PlanRead> plan = read_plan(request.plan, request.plate);
  const Result<Measured> measured = looks_like_json(request.measured.text) ? from_measured(request.measured)
                                                                           : from_readings(request.measured);
  Problems problems;
  if (!request.date.empty() && !is_iso_date(request.date)) {
    problems.push_back({codes::kJobBadDate, "--date", fmt::format("\"{}\" is no date", request.date),
                        "write it as 2026-11-25"});
  }
  if (!plan) append(problems, plan.problems());
  if (!measured) append(problems, measured.problems());
  if (!problems.empty()) return problems;
  InspectionOptions options{request.stage, request.measured_in.value_or(measured->in), plan->turning_mm};
  Result<Inspection> inspection = inspect(plan->plate, measured->face, options);
  if (!inspection) return inspection.problems();
  return CheckBack{request, plan->job, plan->date, *std::move(inspection), measured->readings};
}

std::string check_back_json(const CheckBack& checked) { return outcome_json(checked).dump(1) + "\n"; }

std::string check_back_text(const CheckBack& checked) {
  const Inspection& found = checked.inspection;
  std::string text =
      fmt::format("{}, {}, checked at stage {}\n", checked.job, found.plate, stage_name(found.stage));
  std::size_t width = 0;
  for (const HoleVerdict& hole : found.holes) width = std::max(width, hole.id.size());
  for (const HoleVerdict& hole : found.holes) {
    const std::string off = hole.offset_mm ? fmt::format("off {:>6} {:>6}", format_mm(hole.offset_mm->x(), 2),
                                                         format_mm(hole.offset_mm->y(), 2))
                                           : std::string(17, ' ');
    const std::string diameter = hole.diameter_mm ? format_mm(*hole.diameter_mm, 2) : "";
    text += fmt::format("  {:<{}}  {:<14}  {}  dia {:>6}  {}\n", hole.id, width, verdict_name(hole.verdict),
                        off, diameter, hole.remedy);
  }
  for (const FinalShank& shank : found.shanks) {
    text += fmt::format("  shank {} {} to {} mm: {}\n", shank.mark, format_mm(shank.shank.max_mm(), 3),
                        format_mm(shank.shank.min_mm(), 3), fmt::join(shank.holes, ", "));
  }
  for (const ReadingKept& reading : checked.readings) {
    if (reading.rejected)
      text += fmt::format("  reading {} set aside: {}{}{}\n", reading.row, reading.text,
                          reading.slip.empty() ? "" : "; ", reading.slip);
  }
  if (!found.unknown.empty())
    text += fmt::format("  measured, and not in the plan: {}\n", fmt::join(found.unknown, ", "));
  for (const std::string& note : found.notes) text += "  " + note + "\n";
  return text;
}

}  // namespace fairhole::job

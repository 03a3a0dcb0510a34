// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "fair_stage.h"
#include "fairhole/job/sha256.h"
#include "join_stage.h"
#include "layout_stage.h"
#include "outputs_stage.h"
#include "plan_json.h"
#include "result_set.h"
#include "schedule_csv.h"
#include "survey_stage.h"

namespace fairhole::job {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kHashDigits = 12;  // as the sheets print it

TappedHoles tapped_holes(const Job& job) {
  TappedHoles tapped;
  for (const Part& part : job.parts) {
    for (const Face& face : part.faces) {
      for (const auto& [id, note] : face.holes) {
        if (note.tapped) tapped[{part.id, face.name, id}] = *note.tapped;
      }
    }
  }
  return tapped;
}

}  // namespace

Result<RunResult> run(const Job& job, const RunOptions& options) {
  const Result<Outputs> outputs = wanted_outputs(job.outputs, options);
  Problems problems = outputs ? Problems{} : outputs.problems();
  append(problems, check_seats(job));
  const Surveyed surveyed = survey_faces(job);
  append(problems, surveyed.problems);
  if (exit_status(problems) == 2) return problems;

  const Joined joined = join_faces(job, surveyed);
  append(problems, joined.problems);
  Faired faired = fair(job, joined);
  append(problems, faired.problems);
  if (exit_status(problems) == 2) return problems;

  RunResult result;
  ReportInput& report = result.report;
  report.title = {job.title, run_date(job, options), ""};
  report.plan = std::move(faired.plan);
  report.faces = surveyed.findings;
  report.joints = joined.findings;
  report.problems = problems;
  report.warnings = surveyed.warnings;
  report.warnings.insert(report.warnings.end(), joined.warnings.begin(), joined.warnings.end());
  report.warnings.insert(report.warnings.end(), faired.warnings.begin(), faired.warnings.end());
  report.together = std::move(faired.together);
  report.movers = std::move(faired.movers);
  report.open_loops = std::move(faired.open_loops);
  report.contact_slack_mm = job.contact_slack_mm;
  report.way_of_drilling =
      drilling_way_name(job.plates.empty() ? DrillingWay::kMarkedOut : job.plates.front().drilled);
  report.not_to_be_drilled = !problems.empty();
  if (faired.problems.empty()) {
    const Result<std::vector<PlateLayout>> layouts =
        lay_out_plates(job, joined.spoiled, faired.assembly, report.plan, *outputs);
    if (!layouts) return layouts.problems();
    report.layouts = *layouts;
    const Catalogue catalogue = merged(job.own_catalogue, standard_catalogue());
    report.schedule = schedule_fasteners(faired.assembly, report.plan,
                                         {job.making, job.thickness_within_mm, job.turning_mm, &catalogue,
                                          job.rules.bush_wall_mm, tapped_holes(job)});
    report.sense = check_sense(faired.assembly, report.plan, report.schedule);
  }
  const std::string plan = plan_json(job, report);
  report.title.plan_hash = sha256_hex(plan, kHashDigits);
  const Result<std::vector<ResultFile>> drawings =
      draw_plates(report.layouts, report.plan.seats, report.title, *outputs, report.way_of_drilling);
  if (!drawings) return drawings.problems();

  result.files = *drawings;
  for (const ResultFile& program : drill_programs(job, report)) result.files.push_back(program);
  result.files.push_back({"plan.json", "the plan, for other programs", plan});
  const Result<std::vector<ResultFile>> pictures = face_pictures(report.faces);
  if (!pictures) return pictures.problems();
  result.files.insert(result.files.end(), pictures->begin(), pictures->end());
  result.files.push_back({"holes.csv", "the holes, for a spreadsheet", holes_csv(report)});
  result.files.push_back(
      {"fasteners.csv", "the fasteners, for a spreadsheet", fasteners_csv(report.schedule)});
  if (!report.schedule.stacks.empty()) {
    const Result<std::vector<ResultFile>> paper = fastener_files(report, *outputs);
    if (!paper) return paper.problems();
    result.files.insert(result.files.end(), paper->begin(), paper->end());
  }
  for (const ResultFile& file : result.files)
    if (!file.aside) report.files.push_back({file.name, file.purpose});
  Result<std::string> html = report_html(report);
  if (!html) return html.problems();
  result.files.push_back({"report.html", "the report", *std::move(html)});
  return result;
}

Problems write_results(const std::string& folder, const std::vector<ResultFile>& files, const Job& job) {
  std::error_code error;
  fs::path out = fs::weakly_canonical(fs::absolute(folder), error);
  if (!out.has_filename()) out = out.parent_path();  // "out/", not there yet
  std::vector<fs::path> inputs{fs::path(job.file)};
  for (const auto* named : {&job.pattern_files, &job.catalogue_files}) {
    for (const std::string& file : *named) inputs.push_back(fs::path(job.folder) / file);
  }
  for (const Part& part : job.parts) {
    for (const Face& face : part.faces) {
      for (const std::string& file : face.readings) inputs.push_back(fs::path(job.folder) / file);
      for (const PhotoSet& set : face.photos) {
        for (const std::string& file : set.files) inputs.push_back(fs::path(job.folder) / file);
        for (const std::string& file : set.boards) inputs.push_back(fs::path(job.folder) / file);
      }
    }
  }
  for (const fs::path& input : inputs) {
    if (fs::weakly_canonical(fs::absolute(input), error).parent_path() != out) continue;
    return {{codes::kOutHoldsInput, folder, fmt::format("this folder holds {}", input.string()),
             "name another folder for the results"}};
  }
  NamedBytes named;
  for (const ResultFile& file : files) named.emplace_back(file.name, file.bytes);
  return put_result_set(folder, named);
}

}  // namespace fairhole::job

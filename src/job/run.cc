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

/// What the stages found, without layouts and fasteners. Takes the plan out of `faired`.
ReportInput found_so_far(const Job& job, const RunOptions& options, const Surveyed& surveyed,
                         const Joined& joined, Faired& faired) {
  ReportInput report;
  report.title = {job.title, run_date(job, options), ""};
  report.plan = std::move(faired.plan);
  report.faces = surveyed.findings;
  report.joints = joined.findings;
  const auto warn = [&report](const std::vector<std::string>& warnings) {
    report.warnings.insert(report.warnings.end(), warnings.begin(), warnings.end());
  };
  warn(surveyed.warnings);
  warn(joined.warnings);
  warn(faired.warnings);
  report.together = std::move(faired.together);
  report.movers = std::move(faired.movers);
  report.open_loops = std::move(faired.open_loops);
  report.contact_slack_mm = job.contact_slack_mm;
  report.way_of_drilling =
      drilling_way_name(job.plates.empty() ? DrillingWay::kMarkedOut : job.plates.front().drilled);
  return report;
}

Problems add_layouts(const Job& job, const Joined& joined, const Faired& faired, const Outputs& outputs,
                     ReportInput& report) {
  const Result<std::vector<PlateLayout>> layouts =
      lay_out_plates(job, joined.spoiled, faired.assembly, report.plan, outputs);
  if (!layouts) return layouts.problems();
  report.layouts = *layouts;
  const Catalogue catalogue = merged(job.own_catalogue, standard_catalogue());
  report.schedule = schedule_fasteners(faired.assembly, report.plan,
                                       {job.making, job.thickness_within_mm, job.turning_mm, &catalogue,
                                        job.rules.bush_wall_mm, tapped_holes(job)});
  report.sense = check_sense(faired.assembly, report.plan, report.schedule);
  return {};
}

/// All files; the report comes last and lists the others. Names the plan's hash in the report.
Result<std::vector<ResultFile>> files_of(const Job& job, const Outputs& outputs, ReportInput& report) {
  const std::string plan = plan_json(job, report);
  report.title.plan_hash = sha256_hex(plan, kHashDigits);
  Result<std::vector<ResultFile>> files =
      draw_plates(report.layouts, report.plan.seats, report.title, outputs, report.way_of_drilling);
  if (!files) return files;
  const auto add = [&files](const std::vector<ResultFile>& more) {
    files->insert(files->end(), more.begin(), more.end());
  };
  add(drill_programs(job, report));
  add({{"plan.json", "the plan, for other programs", plan}});
  const Result<std::vector<ResultFile>> pictures = face_pictures(report.faces);
  if (!pictures) return pictures.problems();
  add(*pictures);
  add({{"holes.csv", "the holes, for a spreadsheet", holes_csv(report)},
       {"fasteners.csv", "the fasteners, for a spreadsheet", fasteners_csv(report.schedule)}});
  if (!report.schedule.stacks.empty()) {
    const Result<std::vector<ResultFile>> paper = fastener_files(report, outputs);
    if (!paper) return paper.problems();
    add(*paper);
  }
  for (const ResultFile& file : *files)
    if (!file.aside) report.files.push_back({file.name, file.purpose});
  Result<std::string> html = report_html(report);
  if (!html) return html.problems();
  add({{"report.html", "the report", *std::move(html)}});
  return files;
}

std::vector<fs::path> input_files(const Job& job) {
  std::vector<fs::path> inputs{fs::path(job.file)};
  const auto add = [&](const std::vector<std::string>& names) {
    for (const std::string& name : names) inputs.push_back(fs::path(job.folder) / name);
  };
  add(job.pattern_files);
  add(job.catalogue_files);
  for (const Part& part : job.parts) {
    for (const Face& face : part.faces) {
      add(face.readings);
      for (const PhotoSet& set : face.photos) {
        add(set.files);
        add(set.boards);
      }
    }
  }
  return inputs;
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

  RunResult result{{}, found_so_far(job, options, surveyed, joined, faired)};
  result.report.problems = problems;
  result.report.not_to_be_drilled = !problems.empty();
  if (faired.problems.empty()) {
    if (Problems wrong = add_layouts(job, joined, faired, *outputs, result.report); !wrong.empty())
      return wrong;
  }
  Result<std::vector<ResultFile>> files = files_of(job, *outputs, result.report);
  if (!files) return files.problems();
  result.files = *std::move(files);
  return result;
}

Problems write_results(const std::string& folder, const std::vector<ResultFile>& files, const Job& job) {
  std::error_code error;
  fs::path out = fs::weakly_canonical(fs::absolute(folder), error);
  if (!out.has_filename()) out = out.parent_path();  // "out/", not there yet
  for (const fs::path& input : input_files(job)) {
    if (fs::weakly_canonical(fs::absolute(input), error).parent_path() != out) continue;
    return {{codes::kOutHoldsInput, folder, fmt::format("this folder holds {}", input.string()),
             "name another folder for the results"}};
  }
  NamedBytes named;
  for (const ResultFile& file : files) named.emplace_back(file.name, file.bytes);
  return put_result_set(folder, named);
}

}  // namespace fairhole::job

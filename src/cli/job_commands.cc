// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <charconv>
#include <cstdlib>
#include <memory>
#include <string_view>

#include "commands.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"
#include "fairhole/job/summary.h"

namespace fairhole::cli {
namespace {

struct RunArguments {
  std::string job, out;
  job::RunOptions options;
};

int run(RunArguments& given) {
  const auto epoch = source_date_epoch();
  if (!epoch) return complain(epoch.problems());
  given.options.source_date_epoch = *epoch;
  const Result<job::Job> job = job::load_job(given.job);
  if (!job) return complain(job.problems());
  const Result<job::RunResult> result = job::run(*job, given.options);
  if (!result) return complain(result.problems());
  if (const Problems problems = job::write_results(given.out, result->files, *job); !problems.empty())
    return complain(problems);
  const int said = say(job::run_summary(*result, given.out));
  const int status = complain(result->report.problems);
  return said != 0 ? said : status;
}

}  // namespace

Result<std::optional<long long>> source_date_epoch() {
  const char* text = std::getenv("SOURCE_DATE_EPOCH");
  if (text == nullptr || *text == '\0') return std::optional<long long>();
  long long seconds = 0;
  const std::string_view all(text);
  const auto [end, error] = std::from_chars(all.data(), all.data() + all.size(), seconds);
  if (error != std::errc() || end != all.data() + all.size() || seconds < 0) {
    return Problem{codes::kBadEpoch, "SOURCE_DATE_EPOCH",
                   "\"" + std::string(all) + "\" is no number of seconds",
                   "set it to seconds since 1970, or unset it"};
  }
  return std::optional(seconds);
}

void add_run(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("run", "The main job: readings in, drilling layout out");
  auto given = std::make_shared<RunArguments>();
  command->add_option("JOB", given->job, "Job folder, or its job.json")->required();
  command->add_option("--out", given->out, "Folder for the results; replaced as one set")->required();
  job::RunOptions& options = given->options;
  command->add_option("--template-check-x", options.template_check_x_mm,
                      "What the check bar along x measured on an uncorrected print of the template, mm");
  command->add_option("--template-check-y", options.template_check_y_mm, "The same along y, mm");
  command->add_option("--paper", options.paper, "Paper of template and sheet: A4, A3 or Letter");
  command->add_flag("--single-sheet", options.single_sheet, "Template on one long sheet");
  command->add_flag("--mirrored-template", options.mirrored_template,
                    "Template for marking from the other side");
  command->add_flag("--dxf-r12", options.dxf_r12, "DXF R12 for old machines instead of R2000");
  command->add_flag("--dxf-pilots", options.dxf_pilots,
                    "DXF holes at pilot diameters instead of finish diameters");
  command->add_flag("--page-pictures", options.page_pictures, "Every page of every PDF as an SVG too");
  command->callback([given, &status] { status = run(*given); });
}

void add_new(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("new", "A new job folder from a worked example");
  auto folder = std::make_shared<std::string>();
  command->add_option("DIR", *folder, "Folder to make; absent or empty")->required();
  command->callback([folder, &status] {
    status = complain(job::write_example(*folder));
    if (status == 0)
      status = say("A worked example lies in " + *folder + ": read its README.md, then\n  fairhole run " +
                   *folder + " --out " + *folder + "-out\n");
  });
}

}  // namespace fairhole::cli

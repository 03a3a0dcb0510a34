// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "commands.h"
#include "fairhole/job/check_back.h"
#include "fairhole/job/files.h"
#include "fairhole/job/run.h"

namespace fairhole::cli {
namespace {

struct CheckBackArguments {
  std::string plan, measured, plate, stage, date, record, verify;
  bool json = false, free = false, datum = false;
};

std::optional<job::NamedText> read(const std::string& path, Problems& problems) {
  if (path.empty()) return std::nullopt;
  const Result<std::string> text = job::read_file(path, path);
  if (text) return job::NamedText{path, *text};
  append(problems, text.problems());
  return std::nullopt;
}

Result<job::CheckBackRequest> request_of(const CheckBackArguments& given) {
  Problems problems;
  const auto plan = read(given.plan, problems);
  const auto measured = read(given.measured, problems);
  if (given.plan.empty() || given.measured.empty())
    problems.push_back({codes::kUsage, "check-back", "a plan and a measurement are needed",
                        "write fairhole check-back PLAN.json MEASURED, or --verify RECORD.json"});
  if (!given.stage.empty() && given.stage != "pilot" && given.stage != "finished")
    problems.push_back({codes::kUsage, "--stage", fmt::format("\"{}\" is no stage", given.stage),
                        "write pilot or finished, or leave it out"});
  if (given.free && given.datum)
    problems.push_back({codes::kUsage, "--free", "measured free and from the datum edges at once",
                        "write one of --free and --datum"});
  const auto epoch = source_date_epoch();
  if (!epoch) append(problems, epoch.problems());
  if (!problems.empty()) return problems;
  job::CheckBackRequest request{*plan, *measured, given.plate, {}, {}, given.date};
  if (request.date.empty() && *epoch) request.date = job::date_of_seconds(**epoch);
  if (!given.stage.empty()) request.stage = given.stage == "pilot" ? Stage::kPilot : Stage::kFinished;
  if (given.free) request.measured_in = MeasuredIn::kFree;
  if (given.datum) request.measured_in = MeasuredIn::kDatum;
  return request;
}

int verify(const CheckBackArguments& given) {
  Problems problems;
  const auto record = read(given.verify, problems);
  const auto plan = read(given.plan, problems);
  const auto measured = read(given.measured, problems);
  if (!problems.empty()) return complain(problems);
  const Result<job::CheckBack> again = job::verify_record(*record, plan, measured);
  if (!again) return complain(again.problems());
  return say(fmt::format("{}: the record agrees with itself{}; seal {}\n", given.verify,
                         plan || measured ? " and with the files given" : "", job::record_seal(*again)));
}

int check_back(const CheckBackArguments& given) {
  if (!given.verify.empty()) return verify(given);
  const Result<job::CheckBackRequest> request = request_of(given);
  if (!request) return complain(request.problems());
  const Result<job::CheckBack> checked = job::check_back(*request);
  if (!checked) return complain(checked.problems());
  if (!given.record.empty()) {
    const Result<std::string> pdf = job::record_pdf(*checked);
    if (!pdf) return complain(pdf.problems());
    const Problems problems = job::write_new_files(
        {{given.record + ".json", job::record_json(*checked)}, {given.record + ".pdf", *pdf}});
    if (!problems.empty()) return complain(problems);
  }
  return say(given.json ? job::check_back_json(*checked) : job::check_back_text(*checked));
}

}  // namespace

void add_check_back(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("check-back", "The drilled plate, measured again, against the plan");
  auto given = std::make_shared<CheckBackArguments>();
  command->add_option("PLAN", given->plan, "plan.json of the run");
  command->add_option("MEASURED", given->measured,
                      "Readings file (CSV), or holes from survey or photo (JSON)");
  command->add_option("--plate", given->plate, "Which plate, where the plan has several");
  command->add_option("--stage", given->stage, "pilot or finished; told from the diameters if left out");
  command->add_flag("--free", given->free, "Measured without the datum edges: judged among each other");
  command->add_flag("--datum", given->datum, "Measured in the plate's own frame");
  command->add_option("--record", given->record, "Write NAME.json and NAME.pdf: the record to sign and keep");
  command->add_option("--date", given->date, "Date of the record, as 2026-11-25");
  command->add_option("--verify", given->verify,
                      "Check a record: does it agree with itself, and with the files?");
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = check_back(*given); });
}

}  // namespace fairhole::cli

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <memory>

#include "commands.h"
#include "fairhole/job/fair_case.h"
#include "fairhole/job/files.h"

namespace fairhole::cli {
namespace {

struct FairArguments {
  std::string file;
  bool json = false;
};

int fair(const FairArguments& given) {
  const Result<std::string> text = job::read_file(given.file, given.file);
  if (!text) return complain(text.problems());
  const Result<job::FairCase> fair_case = job::parse_fair_case(*text, given.file);
  if (!fair_case) return complain(fair_case.problems());
  const job::FairAnswer answer = job::solve_fair_case(*fair_case);
  return say(given.json ? job::fair_json(*fair_case, answer) : job::fair_text(*fair_case, answer));
}

}  // namespace

void add_fair(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("fair", "All seats of a bare fairing case at once");
  auto given = std::make_shared<FairArguments>();
  command->add_option("CASE", given->file, "Fairing case (JSON)")->required();
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = fair(*given); });
}

}  // namespace fairhole::cli

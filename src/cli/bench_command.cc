// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "commands.h"
#include "fairhole/bench/serve.h"

namespace fairhole::cli {
namespace {

struct BenchArguments {
  std::string job;
  int port = 0;
};

int bench(const BenchArguments& given) {
  std::error_code error;
  const std::string program = std::filesystem::read_symlink("/proc/self/exe", error).string();
  return complain(bench::serve(
      {given.job, program, given.port, [](const std::string& address) {
         say(fmt::format("Open {} in a browser on this machine; Ctrl+C here ends the bench.\n", address));
       }}));
}

}  // namespace

void add_bench(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("bench", "The job as a page in the browser, on this machine alone");
  auto given = std::make_shared<BenchArguments>();
  command->add_option("JOB", given->job, "Job folder")->required();
  command->add_option("--port", given->port, "Port of the page; any that is free if nothing is said")
      ->check(CLI::Range(1, 65535));
  command->callback([given, &status] { status = bench(*given); });
}

}  // namespace fairhole::cli

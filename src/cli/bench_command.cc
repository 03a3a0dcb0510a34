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
  bool lan = false;
};

/// A folder that is not there yet is made, where its own folder is.
void make_folder(const std::string& job) {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::path path = fs::absolute(fs::path(job), error).lexically_normal();
  const fs::path parent = path.has_filename() ? path.parent_path() : path.parent_path().parent_path();
  if (error || fs::exists(path, error) || !fs::is_directory(parent, error)) return;
  if (fs::create_directory(path, error))
    say(fmt::format("{} was not there: a new folder for a new job was made.\n", job));
}

int bench(const BenchArguments& given) {
  std::error_code error;
  const std::string program = std::filesystem::read_symlink("/proc/self/exe", error).string();
  make_folder(given.job);
  bench::ServeOptions options;
  options.job = given.job;
  options.program = program;
  options.port = given.port;
  options.lan = given.lan;
  options.ready = [&given](const std::string& address) {
    say(fmt::format("Open {} in a browser {}; Ctrl+C here ends the bench.\n", address,
                    given.lan ? "on a device of this network, and type the code" : "on this machine"));
  };
  options.say_code = [](const std::string& code) {
    say(fmt::format("Code for the next device: {}\n", code));
  };
  return complain(bench::serve(options));
}

}  // namespace

void add_bench(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("bench", "The job as a page in the browser");
  auto given = std::make_shared<BenchArguments>();
  command->add_option("JOB", given->job, "Job folder; one that is not there is made")->required();
  command->add_option("--port", given->port, "Port of the page; any that is free if nothing is said")
      ->check(CLI::Range(1, 65535));
  command->add_flag(
      "--lan", given->lan,
      "Other devices of this network too (a tablet), each let in by a code; the network must be "
      "your own: nothing is encrypted");
  command->callback([given, &status] { status = bench(*given); });
}

}  // namespace fairhole::cli

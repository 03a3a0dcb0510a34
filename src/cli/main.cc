// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cstdio>
#include <new>

#include "commands.h"
#include "fairhole/base/shown_problems.h"
#include "fairhole/job/run.h"

namespace fairhole::cli {

int complain(const Problems& problems) {
  for (const Problem& problem : first_problems(problems))
    fmt::print(stderr, "fairhole: {}\n", describe(problem));
  return exit_status(problems);
}

void warn_if_independent(const MeasuredFace& face, const std::string& file) {
  if (face.covariance_mm2.size() != 0) return;
  fmt::print(stderr, "fairhole: {}: no \"covariance\" over all holes; they are taken as independent\n", file);
}

int say(const std::string& text) {
  const bool written =
      std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (written) return 0;
  return complain({{codes::kOutCannotWrite, "standard output", "it cannot be written",
                    "free the disk or the pipe behind it"}});
}

}  // namespace fairhole::cli

int main(int argc, char** argv) {
  using namespace fairhole;  // NOLINT(google-build-using-namespace): the program itself
  CLI::App app("Seats old riveted parts on new plate, decides every hole, and lays out the drilling.",
               "fairhole");
  app.set_version_flag("--version", "fairhole " FAIRHOLE_VERSION);
  app.require_subcommand(1);
  app.footer(
      "It does not prove strength: any change of fastener, hole or edge in a carrying structure is for a\n"
      "competent person under the local code.");
  int status = 0;
  cli::add_run(app, status);
  cli::add_check_back(app, status);
  cli::add_new(app, status);
  cli::add_survey(app, status);
  cli::add_register(app, status);
  cli::add_infer(app, status);
  cli::add_fair(app, status);
  cli::add_fit(app, status);
  cli::add_board(app, status);
  cli::add_photo(app, status);
  cli::add_bench(app, status);
  cli::add_manual(app, status);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked);
  } catch (const CLI::ParseError& error) {
    return cli::complain({{codes::kUsage, "command line", error.what(), "see fairhole --help"}});
  } catch (const std::bad_alloc&) {
    return cli::complain({{codes::kNoMemory, "", "the memory of this machine does not suffice",
                           "end other programs, or give smaller input: fewer holes, smaller pictures"}});
  }
  return status;
}

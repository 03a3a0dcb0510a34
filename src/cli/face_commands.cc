// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <array>
#include <charconv>
#include <memory>

#include "commands.h"
#include "fairhole/job/files.h"
#include "fairhole/job/register_json.h"
#include "fairhole/job/run.h"
#include "fairhole/job/survey_json.h"
#include "fairhole/job/survey_text.h"

namespace fairhole::cli {
namespace {

struct SurveyArguments {
  std::string readings;
  bool json = false;
};

int survey(const SurveyArguments& given) {
  const Result<std::string> text = job::read_file(given.readings, given.readings);
  if (!text) return complain(text.problems());
  const Result<Readings> readings = parse_readings(*text, given.readings);
  if (!readings) return complain(readings.problems());
  const Result<SurveyResult> result = adjust(*readings);
  if (!result) return complain(result.problems());
  return say(given.json ? survey_json(*result) : survey_text(*result, *readings));
}

struct RegisterArguments {
  std::string pattern, measured, near;
  bool json = false;
};

/// "x,y,turn" in mm and degrees.
Result<Motion> parse_near(const std::string& text) {
  Motion pose;
  if (text.empty()) return pose;
  std::array<double, 3> numbers{};
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const auto [stop, error] = std::from_chars(at, end, numbers[i]);
    const bool last = i + 1 == numbers.size();
    if (error != std::errc() || (last ? stop != end : stop == end || *stop != ',')) {
      return Problem{codes::kUsage, "--near", fmt::format("\"{}\" is no place", text),
                     "write x,y,turn in mm and degrees: --near 12.5,0,-90"};
    }
    at = stop + 1;
  }
  pose.shift_mm = {numbers[0], numbers[1]};
  pose.turn = Angle::degrees(numbers[2]);
  return pose;
}

int register_face(const RegisterArguments& given) {
  const Result<std::string> pattern_text = job::read_file(given.pattern, given.pattern);
  const Result<std::string> measured_text = job::read_file(given.measured, given.measured);
  Problems problems;
  const auto collect = [&problems](const auto& result) {
    if (!result) append(problems, result.problems());
  };
  collect(pattern_text);
  collect(measured_text);
  if (!problems.empty()) return complain(problems);
  const Result<Pattern> pattern = job::parse_pattern(*pattern_text, given.pattern);
  const Result<MeasuredFace> face = job::parse_measured(*measured_text, given.measured);
  const Result<Motion> near = parse_near(given.near);
  collect(pattern);
  collect(face);
  collect(near);
  if (!problems.empty()) return complain(problems);
  if (face->covariance_mm2.size() == 0) {
    fmt::print(stderr, "fairhole: {}: no \"covariance\" over all holes; they are taken as independent\n",
               given.measured);
  }
  const Result<Registration> result = Registrar{}(*pattern, *face, PosePrior{{*near}});
  if (!result) return complain(result.problems());
  const int said = say(given.json ? job::register_json(*result) : job::register_text(*result));
  if (said != 0 || job::is_settled(*result)) return said;
  return complain({{codes::kRegisterRivals, given.measured, "another pose fits about as well",
                    "measure the end distance, or say where the pattern lies: --near x,y,turn"}});
}

}  // namespace

void add_survey(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("survey", "Adjusts the readings of one face and tests them");
  auto given = std::make_shared<SurveyArguments>();
  command->add_option("READINGS", given->readings, "Readings file (CSV)")->required();
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = survey(*given); });
}

void add_register(CLI::App& app, int& status) {
  CLI::App* command =
      app.add_subcommand("register", "Which hole is which: one measured face against its pattern");
  auto given = std::make_shared<RegisterArguments>();
  command->add_option("PATTERN", given->pattern, "Pattern (JSON)")->required();
  command->add_option("MEASURED", given->measured, "Measured holes (JSON of survey)")->required();
  command->add_option(
      "--near", given->near,
      "Where the pattern's origin lies in the measured frame and its turn: x,y,degrees; 0,0,0 if not given");
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = register_face(*given); });
}

}  // namespace fairhole::cli

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <memory>

#include "commands.h"
#include "fairhole/drawing/writers.h"
#include "fairhole/job/files.h"
#include "fairhole/job/register_json.h"
#include "fairhole/job/run.h"
#include "fairhole/job/survey_json.h"
#include "fairhole/job/survey_text.h"
#include "fairhole/registration/distortion.h"
#include "fairhole/report/registration_picture.h"

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
  std::string pattern, measured, near, hand, svg;
  std::vector<std::string> pins;
  bool json = false;
};

/// "x,y,turn" in mm and degrees: this one of the rivals. Wide sigmas of our own, and one such statement in
/// ten is taken to be quite wrong, so that it chooses between poses that fit and cannot force one that does
/// not.
Result<PosePrior> parse_near(const std::string& text) {
  constexpr double kSigmaMm = 10.0;
  constexpr double kSigmaDeg = 3.0;
  constexpr double kDoubt = 0.1;
  std::array<double, 3> numbers{};
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const auto [stop, error] = std::from_chars(at, end, numbers[i]);
    const bool last = i + 1 == numbers.size();
    if (error != std::errc() || !std::isfinite(numbers[i]) ||
        (last ? stop != end : stop == end || *stop != ',')) {
      return Problem{codes::kUsage, "--near", fmt::format("\"{}\" is no place", text),
                     "write x,y,turn in mm and degrees: --near 12.5,0,-90"};
    }
    at = stop + 1;
  }
  PosePrior near;
  near.pose.motion = {{numbers[0], numbers[1]}, Angle::degrees(numbers[2]), false};
  near.sigma = {kSigmaMm, kSigmaMm, Angle::degrees(kSigmaDeg).radians()};
  near.doubt = kDoubt;
  return near;
}

Result<RegistrationKnown> parse_known(const RegisterArguments& given) {
  RegistrationKnown known;
  Problems problems;
  if (!given.near.empty()) {
    if (Result<PosePrior> near = parse_near(given.near)) {
      known.place = *near;
    } else {
      append(problems, near.problems());
    }
  }
  if (given.hand == "mirrored" || given.hand == "as-drawn") {
    known.mirrored = given.hand == "mirrored";
  } else if (!given.hand.empty()) {
    problems.push_back({codes::kUsage, "--hand", fmt::format("\"{}\" is no hand", given.hand),
                        "write --hand as-drawn or --hand mirrored, or leave it out"});
  }
  for (const std::string& pin : given.pins) {
    const std::size_t equals = pin.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == pin.size()) {
      problems.push_back({codes::kUsage, "--pin", fmt::format("\"{}\" pins nothing", pin),
                          "write a drawn hole and the measured one it is: --pin A3=H7"});
      continue;
    }
    known.pins.push_back({pin.substr(0, equals), pin.substr(equals + 1)});
  }
  if (!problems.empty()) return problems;
  return known;
}

Problems draw_registration(const RegistrationPicture& picture, const std::string& file) {
  const Result<std::string> svg = drawing::write_svg(registration_picture(picture));
  return svg ? job::write_new_file(file, *svg) : svg.problems();
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
  const Result<RegistrationKnown> known = parse_known(given);
  collect(pattern);
  collect(face);
  collect(known);
  if (!problems.empty()) return complain(problems);
  warn_if_independent(*face, given.measured);
  const Result<Registration> result = Registrar{}(*pattern, *face, *known);
  if (!result) return complain(result.problems());
  const Distortion distortion =
      DistortionFinder{}(matched_points(*result, *pattern, *face), result->face_from_pattern);
  if (!given.svg.empty()) {
    const Problems faults = draw_registration({*pattern, *face, *result, &distortion}, given.svg);
    if (!faults.empty()) return complain(faults);
  }
  const int said =
      say(given.json ? job::register_json(*result, distortion) : job::register_text(*result, distortion));
  if (said != 0 || job::is_settled(*result)) return said;
  const std::string tell_apart =
      result->rivals.empty() ? "measure more holes" : result->rivals.front().tell_apart;
  return complain(
      {{codes::kRegisterRivals, given.measured, job::rivals_words(*result),
        fmt::format("{}: --near x,y,turn, --pin DRAWN=MEASURED, --hand as-drawn or mirrored", tell_apart)}});
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
      "Which of the places that fit: where the pattern's origin lies in the measured frame, and its turn: "
      "x,y,degrees");
  command
      ->add_option("--pin", given->pins, "This measured hole is that drawn one: DRAWN=MEASURED; repeatable")
      ->expected(1)
      ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  command->add_option("--hand", given->hand,
                      "as-drawn or mirrored (measured from its other side); both are tried if not given");
  command->add_flag("--json", given->json, "Result as JSON");
  command->add_option("--svg", given->svg,
                      "Draws the pattern over the part, rivals and distortion, to this new file");
  command->callback([given, &status] { status = register_face(*given); });
}

}  // namespace fairhole::cli

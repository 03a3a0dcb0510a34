// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <nlohmann/json.hpp>

#include "fairhole/job/board_json.h"
#include "fairhole/job/check_back.h"
#include "fairhole/job/fair_case.h"
#include "fairhole/job/infer_json.h"
#include "fairhole/job/load.h"
#include "fairhole/job/register_json.h"
#include "targets.h"

namespace fairhole::fuzz {
namespace {

// What follows the reading grows fast with the holes; what goes wrong in it does so with few.
constexpr std::size_t kMostHoles = 8;

const Pattern& drawn_square() {
  static const Pattern holes = [] {
    Pattern square;
    for (const auto& [id, x_mm, y_mm] : {std::tuple("A", 0.0, 0.0), std::tuple("B", 76.2, 0.0),
                                         std::tuple("C", 76.2, 50.8), std::tuple("D", 0.0, 63.5)})
      square.push_back({id, {x_mm, y_mm}, std::nullopt});
    return square;
  }();
  return holes;
}

void must_be_json(const std::string& text) {
  must(nlohmann::json::accept(text), "what is told as JSON is JSON");
}

void register_and_infer(const MeasuredFace& face) {
  const Result<Registration> registration = Registrar{}(drawn_square(), face);
  if (registration) {
    const Distortion distortion = DistortionFinder{}(matched_points(*registration, drawn_square(), face),
                                                     registration->face_from_pattern);
    must_be_json(job::register_json(*registration, distortion));
  } else {
    must_be_clear(registration.problems());
  }
  const Result<Inference> inference = PatternInference{}(face, "measured.json");
  if (!inference) return must_be_clear(inference.problems());
  must_be_json(job::infer_json(*inference));
}

}  // namespace

void jobs(std::string_view bytes) {
  // A folder that cannot be: files that the job names are not there, wherever their names lead.
  const Result<job::Job> read = job::parse_job(bytes, "job.json", "/dev/null/job");
  if (!read) must_be_clear(read.problems());
}

void measured(std::string_view bytes) {
  const Result<MeasuredFace> face = job::parse_measured(bytes, "measured.json");
  if (!face) return must_be_clear(face.problems());
  for (const auto& hole : face->holes) must(hole.centre_mm.allFinite(), "a measured place is finite");
  if (face->holes.size() <= kMostHoles) register_and_infer(*face);
}

void patterns(std::string_view bytes) {
  const Result<Pattern> pattern = job::parse_pattern(bytes, "pattern.json");
  if (!pattern) return must_be_clear(pattern.problems());
  for (const NominalHole& hole : *pattern) must(hole.centre_mm.allFinite(), "a drawn place is finite");
}

void fair_cases(std::string_view bytes) {
  const Result<job::FairCase> read = job::parse_fair_case(bytes, "case.json");
  if (!read) return must_be_clear(read.problems());
  if (read->parts.size() > 3 || read->stacks.size() > 4) return;
  must_be_json(job::fair_json(*read, job::solve_fair_case(*read)));
}

void plans(std::string_view bytes) {
  const std::string text(bytes);
  const char* const readings =
      "kind,from,to,reading\nalong,A,,10\nacross,A,,10\nalong,B,,110\nacross,B,,10\nalong,C,,10\nacross,C,,"
      "60\n";
  job::CheckBackRequest request;
  request.plan = {"plan.json", text};
  request.measured = {"holes.csv", readings};
  const Result<job::CheckBack> checked = job::check_back(request);
  if (checked)
    must_be_json(job::check_back_json(*checked));
  else
    must_be_clear(checked.problems());
  const Result<job::CheckBack> verified =
      job::verify_record({"record.json", text}, std::nullopt, std::nullopt);
  if (!verified) must_be_clear(verified.problems());
}

void boards(std::string_view bytes) {
  const auto read = job::parse_boards(bytes, "board.json");
  if (!read) return must_be_clear(read.problems());
  if (const Problems alike = job::check_boards_differ(*read); !alike.empty()) must_be_clear(alike);
  for (const photo::Board& board : *read)
    must(job::parse_boards(job::board_json(board), "again").ok(), "a board as written can be read");
}

}  // namespace fairhole::fuzz

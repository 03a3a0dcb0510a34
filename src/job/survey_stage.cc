// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "survey_stage.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include "fairhole/job/files.h"
#include "fairhole/job/run.h"
#include "fairhole/job/survey_findings.h"
#include "photo_stage.h"

namespace fairhole::job {
namespace {

std::set<FaceKey> wanted_faces(const Job& job) {
  std::set<FaceKey> wanted;
  const auto want_carrier = [&](const std::string& on) {
    if (job.carrying_face(on) != nullptr)
      wanted.insert({on.substr(0, on.find('/')), on.substr(on.find('/') + 1)});
  };
  for (const Joint& joint : job.joints) {
    wanted.insert({joint.part, joint.face});
    want_carrier(joint.on);
  }
  for (const HoleGroup& group : job.groups) want_carrier(group.on);
  return wanted;
}

Problem same_readings(const Job& job, const FaceKey& key, const std::string& first,
                      const std::string& second) {
  const std::string what =
      first == second
          ? fmt::format("\"readings\" names {} twice, which would count as two measurements", first)
          : fmt::format("{} and {} hold the same text, which would count as two measurements", first, second);
  return {codes::kReadingsTwice, fmt::format("{}: part \"{}\", face \"{}\"", job.file, key.first, key.second),
          what, "name each readings file once"};
}

Result<Readings> read_days(const Job& job, const FaceKey& key, const Face& face) {
  std::vector<Readings> days;
  std::map<std::string, std::string> file_of_text;
  Problems problems;
  for (const std::string& file : face.readings) {
    const std::string path = (std::filesystem::path(job.folder) / file).string();
    const Result<std::string> text = read_file(path, path);
    if (!text) {
      append(problems, text.problems());
      continue;
    }
    const auto [earlier, is_new] = file_of_text.emplace(*text, file);
    if (!is_new) {
      problems.push_back(same_readings(job, key, earlier->second, file));
      continue;
    }
    Result<Readings> day = parse_readings(*text, path);
    if (day)
      days.push_back(*std::move(day));
    else
      append(problems, day.problems());
  }
  if (!problems.empty()) return problems;
  return joined_readings(std::move(days));
}

/// What the job says of single holes goes with them; a note on a hole nobody measured is a slip.
Problems note_holes(const Job& job, const FaceKey& key, const Face& face, MeasuredFace& measured,
                    std::set<HoleId> known) {
  Problems problems;
  const auto unknown = [&](const char* where, const HoleId& id) {
    problems.push_back(
        {codes::kJobNoSuchHole, fmt::format("{}: part \"{}\", face \"{}\"", job.file, key.first, key.second),
         face.photos.empty()
             ? fmt::format("\"{}\" speaks of {}, which no reading has", where, id)
             : fmt::format("\"{}\" speaks of {}, which no reading or photograph has", where, id),
         face.photos.empty() ? "use the id that stands in the readings"
                             : "use the id that stands in the readings or in the report's picture"});
  };
  for (MeasuredHole& hole : measured.holes) {
    known.insert(hole.id);
    const auto note = face.holes.find(hole.id);
    if (note != face.holes.end() && note->second.form) hole.form = *note->second.form;
  }
  for (const auto& [id, note] : face.holes) {
    if (!known.contains(id)) unknown("holes", id);
  }
  const auto check_pins = [&](const std::vector<PinnedPair>& pins) {
    for (const PinnedPair& pin : pins) {
      if (!known.contains(pin.measured)) unknown("pins", pin.measured);
    }
  };
  check_pins(face.pins);
  for (const Joint& joint : job.joints) {
    if (joint.part == key.first && joint.face == key.second) check_pins(joint.pins);
  }
  return problems;
}

Problem no_place(const Job& job, const FaceKey& key) {
  return {codes::kJobShapeOnly, fmt::format("{}: part \"{}\", face \"{}\"", job.file, key.first, key.second),
          "its readings give the holes' shape, and not where they lie on the face",
          "take readings from both datum edges: along and across to two holes at least"};
}

std::string contradiction(const FaceKey& key, const HoleId& id) {
  return fmt::format(
      "{}, {}: readings of {} contradict each other and nothing says which is wrong; measure it again.",
      key.first, key.second, id);
}

FaceFindings findings_of(const FaceKey& key, const Face& face, const Readings& readings,
                         const SurveyResult& survey) {
  FaceFindings findings = survey_findings(readings, survey);
  findings.part = key.first;
  findings.face = key.second;
  findings.source = fmt::format("{}", fmt::join(face.readings, ", "));
  return findings;
}

}  // namespace

FaceFindings survey_findings(const Readings& readings, const SurveyResult& survey) {
  FaceFindings findings;
  findings.measured = survey.face;
  findings.dof = survey.dof;
  findings.chi2_p = survey.chi2_p;
  findings.shape_only = survey.shape_only;
  findings.remarks = survey.notes;
  for (std::size_t i = 0; i < survey.readings.size(); ++i) {
    const ReadingVerdict& verdict = survey.readings[i];
    ReadingFinding finding;
    finding.row = verdict.row;
    finding.text = reading_words(readings.rows[i]);
    finding.residual_mm = verdict.residual_mm;
    finding.w = verdict.w;
    finding.redundancy = verdict.redundancy;
    finding.mdb_mm = verdict.mdb_mm;
    finding.rejected = verdict.rejected;
    if (verdict.slip) {
      finding.slip = verdict.slip->name;
      finding.slip_odds = verdict.slip->odds;
    }
    findings.readings.push_back(std::move(finding));
  }
  for (const NextReading& next : survey.next) findings.next.push_back({next_words(next), next.gain_mm});
  return findings;
}

std::string reading_words(const Reading& reading) {
  const bool has_unit = reading.text.find_first_of("'\"abcdefghijklmnopqrstuvwxyz") != std::string::npos;
  const std::string value = reading.text + (has_unit ? "" : reading.unit == Unit::kInch ? " in" : " mm");
  switch (reading.kind) {
    case ReadingKind::kCentres:
    case ReadingKind::kNearEdges:
    case ReadingKind::kFarEdges:
    case ReadingKind::kSameEdges:
      return fmt::format("{} {} to {}, {}", kind_name(reading.kind), reading.from, reading.to, value);
    case ReadingKind::kOffLine:
      return fmt::format("{} off the line {} to {}, {}", reading.from, reading.to, reading.line_end, value);
    case ReadingKind::kDia:
      return fmt::format("diameter of {}, {}", reading.from, value);
    case ReadingKind::kKnownX:
    case ReadingKind::kKnownY:
      return fmt::format("{} of {}, {}", kind_name(reading.kind), reading.from, value);
    default:
      return fmt::format("{} to {}, {}", kind_name(reading.kind), reading.from, value);
  }
}

std::string next_words(const fairhole::NextReading& next) {
  return next.to.empty() ? fmt::format("{} to {}", kind_name(next.kind), next.from)
                         : fmt::format("{} {} to {}", kind_name(next.kind), next.from, next.to);
}

std::set<HoleId> doubtful_holes(const Readings& readings, const SurveyResult& survey) {
  std::set<HoleId> holes;
  const auto verdict = [&](int row) -> const ReadingVerdict& {
    return survey.readings[static_cast<std::size_t>(row) - 1];
  };
  for (const std::vector<int>& rows : survey.suspect_groups) {
    // Left out together, they no longer bear on any hole.
    const bool all_out =
        std::all_of(rows.begin(), rows.end(), [&](int row) { return verdict(row).rejected; });
    if (all_out) continue;
    for (const int row : rows) holes.insert(readings.rows[static_cast<std::size_t>(row) - 1].from);
  }
  return holes;
}

MeasuredFace without_holes(const MeasuredFace& face, const std::set<HoleId>& left_out) {
  std::vector<Eigen::Index> kept;  // rows of the covariance
  MeasuredFace rest;
  for (std::size_t i = 0; i < face.holes.size(); ++i) {
    if (left_out.contains(face.holes[i].id)) continue;
    rest.holes.push_back(face.holes[i]);
    kept.push_back(2 * static_cast<Eigen::Index>(i));
    kept.push_back(2 * static_cast<Eigen::Index>(i) + 1);
  }
  if (face.covariance_mm2.size() > 0) rest.covariance_mm2 = face.covariance_mm2(kept, kept);
  for (DoubtfulReading reading : face.doubtful) {
    reading.per_mm = reading.per_mm(kept).eval();
    rest.doubtful.push_back(std::move(reading));
  }
  return rest;
}

Readings joined_readings(std::vector<Readings> days) {
  if (days.size() == 1) return std::move(days.front());
  Readings all;
  for (std::size_t day = 0; day < days.size(); ++day) {
    const int rows_before = static_cast<int>(all.rows.size());
    const int tapes_before = static_cast<int>(all.tapes.size());
    for (Reading& reading : days[day].rows) {
      reading.row += rows_before;
      if (reading.tape) *reading.tape += tapes_before;
      if (!reading.set_up.empty()) reading.set_up += fmt::format(" (file {})", day + 1);
      all.rows.push_back(std::move(reading));
    }
    for (Tape& tape : days[day].tapes) {
      tape.name += fmt::format(" (file {})", day + 1);
      all.tapes.push_back(std::move(tape));
    }
    all.source += (day == 0 ? "" : ", ") + days[day].source;
    if (!all.corner) all.corner = days[day].corner;
    all.near_places.insert(all.near_places.end(), days[day].near_places.begin(), days[day].near_places.end());
  }
  all.unit = days.front().unit;
  all.tape_sigma_mm = days.front().tape_sigma_mm;
  all.caliper_sigma_mm = days.front().caliper_sigma_mm;
  return all;
}

namespace {

/// One face from its readings, its photographs or both.
class FaceSurvey {
 public:
  FaceSurvey(const Job& job, PhotoShelf& shelf, Surveyed& surveyed)
      : job_(job), shelf_(shelf), surveyed_(surveyed) {}

  void run(const FaceKey& key, const Face& face) {
    FaceFindings findings;
    findings.part = key.first;
    findings.face = key.second;
    MeasuredFace measured;
    std::set<HoleId> known;  // those in doubt too
    if (!face.readings.empty() && !by_readings(key, face, findings, measured, known)) return;
    bool sound = true;
    for (const PhotoSet& set : face.photos) {
      const Problems problems =
          PhotoStage{job_, key, face, findings, surveyed_.warnings}.add(set, shelf_, measured);
      sound = sound && problems.empty();
      append(surveyed_.problems, problems);
      findings.source +=
          (findings.source.empty() ? "" : ", ") + fmt::format("{}", fmt::join(set.files, ", "));
    }
    if (!sound) return;
    if (!face.photos.empty()) measured.doubtful.clear();  // what they say of a slip is said already
    for (const MeasuredHole& hole : measured.holes) known.insert(hole.id);
    append(surveyed_.problems, note_holes(job_, key, face, measured, known));
    if (!face.photos.empty()) findings.measured = measured;
    surveyed_.findings.push_back(std::move(findings));
    surveyed_.faces.emplace(key, std::move(measured));
  }

 private:
  /// False where the readings give no place; their findings then stand as they are.
  bool by_readings(const FaceKey& key, const Face& face, FaceFindings& findings, MeasuredFace& measured,
                   std::set<HoleId>& known) {
    const Result<Readings> readings = read_days(job_, key, face);
    if (!readings) {
      append(surveyed_.problems, readings.problems());
      return false;
    }
    const Result<SurveyResult> survey = adjust(*readings);
    if (!survey) {
      append(surveyed_.problems, survey.problems());
      return false;
    }
    findings = findings_of(key, face, *readings, *survey);
    for (const MeasuredHole& hole : survey->face.holes) known.insert(hole.id);
    if (survey->shape_only || survey->partly_free) {
      MeasuredFace noted = survey->face;
      append(surveyed_.problems, note_holes(job_, key, face, noted, known));
      findings.measured = noted;
      surveyed_.findings.push_back(findings);
      surveyed_.problems.push_back(no_place(job_, key));
      return false;
    }
    const std::set<HoleId> doubtful = doubtful_holes(*readings, *survey);
    for (const HoleId& id : doubtful) surveyed_.warnings.push_back(contradiction(key, id));
    measured = without_holes(survey->face, doubtful);
    for (DoubtfulReading& reading : measured.doubtful)
      reading.text = reading_words(readings->rows[static_cast<std::size_t>(reading.row) - 1]);
    return true;
  }

  const Job& job_;
  PhotoShelf& shelf_;
  Surveyed& surveyed_;
};

}  // namespace

Surveyed survey_faces(const Job& job) {
  Surveyed surveyed;
  PhotoShelf shelf(job);
  const std::set<FaceKey> wanted = wanted_faces(job);
  for (const Part& part : job.parts)
    for (const Face& face : part.faces)
      if (const FaceKey key{part.id, face.name}; wanted.contains(key))
        FaceSurvey(job, shelf, surveyed).run(key, face);
  return surveyed;
}

}  // namespace fairhole::job

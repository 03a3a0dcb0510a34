// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <set>
#include <string>
#include <utility>

#include "fairhole/job/job.h"
#include "fairhole/report/report_html.h"
#include "fairhole/survey/survey.h"

/// The first stage of a run: every face's readings, adjusted.
namespace fairhole::job {

using FaceKey = std::pair<std::string, std::string>;  ///< part id, face name

struct Surveyed {
  std::map<FaceKey, MeasuredFace>
      faces;                           ///< those that have a place, holes with the job's notes, none in doubt
  std::vector<FaceFindings> findings;  ///< in the order of the job
  Problems problems;                   ///< of all files and faces
  std::vector<std::string> warnings;
};

/// Reads the readings files of every face that some joint names (or that carries a hole group) and adjusts
/// them.
Surveyed survey_faces(const Job& job);

/// Several files of one face, measured from the same datum edges on different days: one net. Rows are counted
/// on through the files; each day's tape keeps its own scale and zero.
Readings joined_readings(std::vector<Readings> days);

/// Holes whose readings contradict each other with nothing to tell which is wrong. They go on as not
/// measured: a hole drilled to the wrong one of two readings is scrap.
std::set<HoleId> doubtful_holes(const Readings& readings, const SurveyResult& survey);
MeasuredFace without_holes(const MeasuredFace& face, const std::set<HoleId>& left_out);

/// A reading as a fitter says it: "along to A7, 4 3/16 in".
std::string reading_words(const Reading& reading);
std::string next_words(const NextReading& next);

}  // namespace fairhole::job

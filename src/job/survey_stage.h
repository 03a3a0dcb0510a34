// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>
#include <utility>

#include "fairhole/job/job.h"
#include "fairhole/report/report_html.h"
#include "fairhole/survey/survey.h"

/// The first stage of a run: every face's readings, adjusted.
namespace fairhole::job {

using FaceKey = std::pair<std::string, std::string>;  ///< part id, face name

struct Surveyed {
  std::map<FaceKey, MeasuredFace> faces;  ///< those that could be adjusted, holes with the job's notes
  std::vector<FaceFindings> findings;     ///< in the order of the job
  Problems problems;                      ///< of all files and faces
};

/// Reads the readings files of every face that some joint names (or that carries a hole group) and adjusts
/// them.
Surveyed survey_faces(const Job& job);

/// Several files of one face, measured from the same datum edges on different days: one net. Rows are counted
/// on through the files; each day's tape keeps its own scale and zero.
Readings joined_readings(std::vector<Readings> days);

/// A reading as a fitter says it: "along to A7, 4 3/16 in".
std::string reading_words(const Reading& reading);
std::string next_words(const NextReading& next);

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/job/files.h"
#include "fairhole/job/job.h"
#include "fairhole/layout/layout.h"
#include "fairhole/report/report_html.h"

/// The main job, from a job file to its results.
namespace fairhole::job {

/// What the command line may say; each replaces what the job says.
struct RunOptions {
  std::optional<double> template_check_x_mm;  ///< what the check bar along x measured on an uncorrected print
  std::optional<double> template_check_y_mm;
  std::optional<std::string> paper;  ///< "A4", "A3", "Letter"
  bool single_sheet = false;
  bool mirrored_template = false;
  bool dxf_r12 = false;
  bool dxf_pilots = false;
  bool page_pictures = false;  ///< every page of every PDF as an SVG of its own too
  /// Seconds since 1970 (SOURCE_DATE_EPOCH) for a job without a date; without either the date is left open.
  std::optional<long long> source_date_epoch;
};

/// "2026-11-25" of seconds since 1970 (SOURCE_DATE_EPOCH), UTC.
std::string date_of_seconds(long long seconds);

struct ResultFile {
  std::string name;     ///< "left-toe.dxf"
  std::string purpose;  ///< "drawing of plate left-toe"
  std::string bytes;
  bool aside = false;  ///< the report does not list it
};

/// All that a run found, all files in memory.
struct RunResult {
  std::vector<ResultFile> files;
  ReportInput report;  ///< what report.html was made from: plan, layouts, findings, problems
};

/// Surveys, registers, seats, fairs, lays out and draws. Reads the readings files the job names and writes
/// nothing. Bad input is the problem result: nothing may be written. Where the data cannot give the answer,
/// the result holds report.html and plan.json, both marked not to be drilled, the drawings of plates that are
/// not affected, and the problems in `report.problems`.
Result<RunResult> run(const Job& job, const RunOptions& options = {});

/// Writes all files into `folder` as one set: a new folder appears whole; in an existing one the files of an
/// earlier run (its manifest says which) are replaced and stale ones removed; when anything fails, everything
/// stays as it was. Problems: kOutNotAFolder, kOutHoldsInput (the folder holds the job or its readings),
/// kOutForeign (a file of such a name that no run wrote), kOutCannotWrite.
Problems write_results(const std::string& folder, const std::vector<ResultFile>& files, const Job& job);

/// The files of the worked example, within its folder.
std::vector<NewFile> example_files();

/// The worked example of `fairhole new`: job.json, readings, README. Problems: kNewNotEmpty, kOutCannotWrite.
Problems write_example(const std::string& folder);

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kSeatInAir{150};       ///< the part would hang in the air
inline constexpr Code kHolesOffFace{151};    ///< the drawing's holes miss the part
inline constexpr Code kJobNoSuchHole{152};   ///< the job speaks of a hole no reading has
inline constexpr Code kReadingsTwice{153};   ///< one readings file counted as two measurements
inline constexpr Code kOutNotAFolder{160};   ///< the place for results is no folder
inline constexpr Code kOutHoldsInput{161};   ///< the results would lie among the input
inline constexpr Code kOutForeign{162};      ///< a file of that name is not ours
inline constexpr Code kOutCannotWrite{163};  ///< disk full, read-only, no permission
inline constexpr Code kNewNotEmpty{164};     ///< a new job goes into an empty folder
inline constexpr Code kBadEpoch{165};        ///< SOURCE_DATE_EPOCH is no number
inline constexpr Code kJobShapeOnly{571};    ///< a face whose readings tie it to no datum edge
inline constexpr Code kPlanPartTorn{575};    ///< seats that no rigid part in contact can take at once
inline constexpr Code kNoMemory{185};        ///< the machine's memory does not suffice
inline constexpr Code kUsage{170};           ///< a command line that cannot be
}  // namespace fairhole::codes

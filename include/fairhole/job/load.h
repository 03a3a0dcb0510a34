// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "fairhole/base/result.h"
#include "fairhole/job/job.h"

namespace fairhole::job {

/// Reads a job: a folder that holds job.json, or the file itself. Every problem of the file is reported, not
/// the first alone; a file that is no JSON at all is one problem with its line and column.
Result<Job> load_job(const std::string& path);

/// The same from text; `file` names it in messages and `folder` is where its relative file names start
/// (pattern files are read from there).
Result<Job> parse_job(std::string_view text, const std::string& file, const std::string& folder);

/// "2026-11-25", a day of the calendar.
bool is_iso_date(const std::string& text);

/// More stacks than any machine has: surely a slip in a count.
inline constexpr std::size_t kMostHolesOfAJob = 20000;

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kJobMissing{120};       ///< no such job
inline constexpr Code kFileUnreadable{121};   ///< a file that cannot be read
inline constexpr Code kJobNotJson{122};       ///< not JSON
inline constexpr Code kJobTooDeep{123};       ///< JSON nested beyond any job
inline constexpr Code kJobTooWide{183};       ///< an object or list beyond any job
inline constexpr Code kJobKeyTwice{124};      ///< a key twice in one object
inline constexpr Code kJobFormat{125};        ///< not "fairhole job 1"
inline constexpr Code kJobKeyMissing{126};    ///< a key that must be there
inline constexpr Code kJobKeyUnknown{127};    ///< a key nobody knows
inline constexpr Code kJobWrongType{128};     ///< text for a list, a number for text ...
inline constexpr Code kJobOutOfRange{129};    ///< a number that cannot be
inline constexpr Code kJobWord{130};          ///< a word that is none of the known ones
inline constexpr Code kJobNameTwice{131};     ///< one name for two things
inline constexpr Code kJobNameUnknown{132};   ///< a name nothing has
inline constexpr Code kJobTooLarge{133};      ///< too many holes
inline constexpr Code kJobBadDate{134};       ///< not YYYY-MM-DD
inline constexpr Code kJobOutline{135};       ///< an outline that encloses nothing, or crosses itself
inline constexpr Code kJobBadName{136};       ///< a name that cannot name a file
inline constexpr Code kJobFaceShape{137};     ///< neither length and width nor an outline, or both
inline constexpr Code kJobCarrierCycle{138};  ///< faces that carry each other in a ring
inline constexpr Code kJobFaceTwice{139};     ///< one face twice on one carrier
inline constexpr Code kJobGroupNotHere{140};  ///< a joint's group lies on another carrier
inline constexpr Code kJobHoleOffPlate{141};  ///< a hole of the drawing outside its plate
inline constexpr Code kJobSizes{142};         ///< a fastener's sizes do not suit it
inline constexpr Code kJobFit{456};           ///< a fit that is none
inline constexpr Code kJobThread{457};        ///< a thread that no table holds
inline constexpr Code kJobTapped{461};        ///< a thread in a hole that has none
inline constexpr Code kJobPair{147};          ///< two plates that cannot be drilled together
inline constexpr Code kJobNoPull{
    143};  ///< a part across a joint line welded after drilling, without an allowance
}  // namespace fairhole::codes

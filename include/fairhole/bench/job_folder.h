// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"

/// The job on disk as the bench page edits it: the folder is the truth, every change is saved at once and can
/// be taken back.
namespace fairhole::bench {

/// SHA-256 of a file's bytes when somebody looked at it; empty: there was no such file.
using Stamp = std::string;

struct StampedFile {
  std::string name;  ///< within the folder, "readings/foot.csv"
  Stamp stamp;
};

struct FileView {
  std::string name;
  Stamp stamp;
  std::string bytes;
};

/// A job folder held open by one program. Only job.json and files that are named like readings, patterns or
/// boards
/// (.csv, .json) in it can be read and saved: nothing hidden, nothing outside, no link.
///
/// A change is written down first (both states of the file and a line in the history, in the hidden folder
/// `.fairhole`) and flushed to the disk; then the file is replaced as a whole. A program killed in between
/// finds the line when it opens the folder again, and finishes. Not for several threads at once.
class JobFolder {
 public:
  /// Problems: kJobMissing (no such folder), kBenchInUse (another program holds it open), kOutCannotWrite.
  static Result<std::unique_ptr<JobFolder>> open(const std::string& folder);
  virtual ~JobFolder() = default;
  JobFolder(const JobFolder&) = delete;
  JobFolder& operator=(const JobFolder&) = delete;

  /// All files that can be edited, by name.
  virtual std::vector<StampedFile> files() const = 0;

  /// Problems: kBenchFileName, kFileUnreadable.
  virtual Result<FileView> read(const std::string& name) const = 0;

  /// Replaces a file, or makes it, if on disk it still is what `based_on` says. `what` tells the change in
  /// words. `joins`: it goes on with the last change, and is undone with it, if that was one of the same
  /// words to this state of the file (typing in one field). Problems: kBenchFileName, kBenchChanged (somebody
  /// else has changed it since), kOutCannotWrite.
  virtual Result<FileView> save(const std::string& name, const std::string& bytes, const Stamp& based_on,
                                const std::string& what, bool joins = false) = 0;

  /// Takes the last change back, or makes it once more. Problems: kBenchNothing, kBenchChanged,
  /// kOutCannotWrite.
  virtual Result<FileView> undo() = 0;
  virtual Result<FileView> redo() = 0;

  /// What undo() and redo() would do, in words.
  virtual std::optional<std::string> undo_words() const = 0;
  virtual std::optional<std::string> redo_words() const = 0;

 protected:
  JobFolder() = default;
};

}  // namespace fairhole::bench

namespace fairhole::codes {
inline constexpr Code kBenchInUse{190};     ///< another program holds the folder open
inline constexpr Code kBenchChanged{191};   ///< the file is no longer what the change was made to
inline constexpr Code kBenchFileName{192};  ///< a name that is none of the job's files
inline constexpr Code kBenchNothing{193};   ///< nothing to take back, or to make once more
}  // namespace fairhole::codes

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/bench/job_folder.h"

/// What was changed in a job folder, kept on disk so that it outlives the program.
namespace fairhole::bench {

/// One change of one file.
struct Change {
  std::string file;
  Stamp before, after;
  std::string what;    ///< in words
  bool joins = false;  ///< goes on with the change before it: the two are undone as one
};

/// Changes kept when a folder is opened; older ones are forgotten.
inline constexpr std::size_t kMostChanges = 1000;

/// A list of changes and how many of them hold. Undo and redo move that place; a new change drops those
/// beyond it. On disk: `history.jsonl`, one line for each change, undo and redo, in the order they happened,
/// and each state of a file in `states`, named by its stamp.
class History {
 public:
  explicit History(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// Reads what is on disk. A last line that was cut off never happened, and is removed.
  Problems load();

  const Change* to_undo() const { return holding_ > 0 ? &changes_[holding_ - 1] : nullptr; }
  const Change* to_redo() const { return holding_ < changes_.size() ? &changes_[holding_] : nullptr; }

  /// Drops what is beyond kMostChanges, and states nothing names any more.
  Problems forget_oldest();

  /// What the last line asks a file to be; nothing at the very beginning.
  struct Wanted {
    std::string file;
    Stamp from, to;
  };
  const std::optional<Wanted>& last() const { return last_; }

  /// Keeps the bytes of a state.
  Problems keep(const Stamp& stamp, const std::string& bytes) const;
  Result<std::string> state(const Stamp& stamp) const;

  Problems add(const Change& change);
  Problems add_undo();
  Problems add_redo();

  /// Takes the last of these three back: it could not be carried out. `before` is a copy from before it.
  Problems withdraw(const History& before);

 private:
  std::filesystem::path lines_path() const { return folder_ / "history.jsonl"; }
  Problems write(const std::string& line);
  bool take(const std::string& line);
  bool take_change(Change change);
  bool take_undo();
  bool take_redo();

  std::filesystem::path folder_;
  std::vector<Change> changes_;
  std::size_t holding_ = 0;
  std::optional<Wanted> last_;
  std::uintmax_t size_ = 0;  ///< of the lines on disk
};

}  // namespace fairhole::bench

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "answers.h"
#include "fairhole/bench/worker.h"
#include "fairhole/job/job.h"

namespace fairhole::bench {

/// What a picture must be sent as.
inline constexpr const char* kPictureType = "image/x-fairhole";

/// Photographs of a job: kept in it, read by `fairhole photo` in a process of its own, laid flat to look at.
/// A reading is kept in `.fairhole/photos` under a mark of all that decides it.
class PhotoDesk {
 public:
  PhotoDesk(std::string path, const std::string& program);

  /// Puts a picture into the job's folder `photos`, under this name or, where another has it, one like it:
  /// {"file"}. Needs no turn: nothing is ever replaced. Problems: kBenchFileName, kBenchTooLarge, those of
  /// decode_picture().
  Reply keep(const std::string& name, const std::string& bytes) const;

  /// {"part", "face", "set", "do": "look" | "start" | "stop"} -> {"working", "here" (whether it is this set
  /// that is worked on), "seconds", "said", "reading" (as photo --json; null until there is one), "flat"
  /// (address of the picture), "outline" of the face, "at" (board to face), "placed" (whether that is more
  /// than a guess), "by_hand"}; mm.
  Reply reading(const Request& request);

  /// The face laid flat, JPEG.
  Reply flat(const std::string& name) const;

 private:
  struct Task {
    std::string mark;
    std::vector<std::string> arguments;
  };
  Result<Task> task(const job::PhotoSet& set) const;
  Result<std::pair<job::Face, job::PhotoSet>> asked_for(const Json& asked) const;
  std::string place(const std::string& mark) const { return folder_ + "/" + mark; }
  void finish();

  std::string path_, folder_;
  Worker worker_;
  std::string at_work_;  ///< mark of the reading under way, or the last one
  std::string said_;     ///< by the last one that failed
  std::string failed_;   ///< its mark
  bool under_way_ = false;
};

}  // namespace fairhole::bench

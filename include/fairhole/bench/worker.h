// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/types.h>

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"

namespace fairhole::bench {

/// The fairhole program as a process of its own: it can be stopped at any moment, and what becomes of it
/// cannot hurt the bench. One at a time.
class Worker {
 public:
  /// `program` is the fairhole program; what it says goes to `log`.
  Worker(std::string program, std::string log);
  ~Worker();
  Worker(Worker&& other) noexcept;
  Worker& operator=(Worker&&) = delete;
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  /// Begins, with these arguments; one that is under way is stopped first. Problem: kBenchCannotWork.
  Problems start(const std::vector<std::string>& arguments);
  void stop();

  struct State {
    bool working = false;
    double seconds = 0.0;            ///< since the start, or from start to end
    std::optional<int> exit_status;  ///< of the last one that ended by itself
    std::string said;                ///< all that it printed
  };
  State state();

 private:
  void end(std::optional<int> exit_status);

  std::string program_, log_;
  pid_t process_ = -1;
  std::chrono::steady_clock::time_point began_;
  State last_;
};

}  // namespace fairhole::bench

namespace fairhole::codes {
inline constexpr Code kBenchCannotWork{196};  ///< the program could not be started
}  // namespace fairhole::codes

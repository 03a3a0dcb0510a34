// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <string>

#include "fairhole/base/result.h"

namespace fairhole::bench {

struct ServeOptions {
  std::string job;      ///< the job's folder
  std::string program;  ///< the fairhole program, which works the job out
  int port = 0;         ///< 0: any that is free
  /// Called once the page can be loaded, with its address: "http://127.0.0.1:8017/".
  std::function<void(const std::string& address)> ready;
};

/// Serves the bench page on 127.0.0.1 until the process is told to end (SIGINT, SIGTERM). Problems of
/// JobFolder::open; kBenchNoPort.
Problems serve(const ServeOptions& options);

}  // namespace fairhole::bench

namespace fairhole::codes {
inline constexpr Code kBenchNoPort{197};  ///< the port is taken
}  // namespace fairhole::codes

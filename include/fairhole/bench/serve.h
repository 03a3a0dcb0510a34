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
  bool lan = false;     ///< other devices of the network too, each let in by a code
  /// Called once the page can be loaded, with its address: "http://127.0.0.1:8017/".
  std::function<void(const std::string& address)> ready;
  std::function<void(const std::string& code)> say_code;  ///< with `lan`: told each new code
};

/// Serves the bench page on 127.0.0.1 (with `lan` on every address of this machine) until the process is told
/// to end (SIGINT, SIGTERM). Problems of JobFolder::open; kBenchNoPort, kBenchNoNetwork.
Problems serve(const ServeOptions& options);

}  // namespace fairhole::bench

namespace fairhole::codes {
inline constexpr Code kBenchNoPort{197};     ///< the port is taken
inline constexpr Code kBenchNoNetwork{786};  ///< no address that another device could ask
}  // namespace fairhole::codes

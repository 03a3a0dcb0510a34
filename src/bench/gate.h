// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/bench/requests.h"

namespace fairhole::bench {

/// Who may ask. Turns away other sites' pages and names that were made to point here (Host and Origin are set
/// by the browser, not by a page), and, where a code is asked for, every device that has not given it.
class Gate {
 public:
  explicit Gate(Access access);

  /// The answer at the door: a refusal, the page that asks for the code, or what becomes of a code given.
  /// Nothing if the request may go on.
  std::optional<Reply> at_the_door(const Request& request);

 private:
  Reply enter(const Request& request);
  void new_code();
  bool known(const Request& request) const;

  Access access_;
  std::mutex one_at_a_time_;
  std::string code_;
  int wrong_ = 0;
  std::vector<std::string> sessions_;
};

}  // namespace fairhole::bench

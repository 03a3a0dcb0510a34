// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstdlib>

/// How tests that need many trials scale themselves: the sanitizer pass sets FAIRHOLE_STATISTICS_SHARE=0.01
/// and then only runs the code, without judging frequencies; a share above 1 tries more than the ordinary
/// test.
namespace fairhole::test {

inline double statistics_share() {
  const char* text = std::getenv("FAIRHOLE_STATISTICS_SHARE");
  return text != nullptr ? std::max(std::atof(text), 0.0) : 1.0;
}
inline int trials(int full) { return std::max(1, static_cast<int>(full * statistics_share())); }
inline bool judge_frequencies() { return statistics_share() >= 1.0; }

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/odds_words.h"

#include <algorithm>
#include <cmath>

namespace fairhole {

std::string odds_figure(double odds) {
  const int in_hundred = static_cast<int>(std::lround(std::clamp(odds, 0.0, 1.0) * 100.0));
  if (in_hundred >= 100) return "over 99";
  if (in_hundred <= 0) return "under 1";
  return std::to_string(in_hundred);
}

std::string odds_words(double odds) { return odds_figure(odds) + " in 100"; }

}  // namespace fairhole

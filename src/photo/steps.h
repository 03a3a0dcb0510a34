// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace fairhole::photo {

/// from, from * ratio, ... as long as they are below the end. Requires from > 0, ratio > 1.
inline std::vector<double> steps_below(double from, double end, double ratio) {
  std::vector<double> steps;
  double next = from;
  while (next < end) {
    steps.push_back(next);
    next *= ratio;
  }
  return steps;
}

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "reading_tests.h"

namespace fairhole::survey_detail {

/// The pairs of readings that explain a disagreement best, and what leaving one out takes off chi2.
struct BestPairs {
  std::vector<std::vector<int>> pairs;
  double gain = 0.0;
};

/// The pair whose rejection takes most off chi2, by the residuals' covariance, and after it every rival
/// pair that does nearly as well. Empty if no pair pays its price. All readings active.
BestPairs best_pairs(const ReadingTests& tests, const Solution& all);

}  // namespace fairhole::survey_detail

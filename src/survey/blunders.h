// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// What the search for blunders came to. Rejected observations are those set inactive in the model.
struct BlunderSearch {
  Solution solution;                       // of the readings kept
  std::vector<std::vector<int>> together;  // observations that cannot be told apart
};

/// Looks for the set of readings S that makes chi2(without S) + kCriticalW^2 |S| least: data snooping one at
/// a time with re-adjustment, rivals of a gross error each by an adjustment of its own; where that leaves a
/// doubt, the same from a robust adjustment, from the best pair, so that two blunders which hide each other
/// are found, and from what spoils the constructed start. Readings whose w correlate above
/// kTogetherCorrelation are set aside together if the rest still fixes every hole; else all are kept.
BlunderSearch search_blunders(Model& model, const Columns& columns, const Solution& all);

}  // namespace fairhole::survey_detail

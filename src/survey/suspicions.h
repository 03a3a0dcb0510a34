// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "blunders.h"
#include "fairhole/survey/survey.h"

namespace fairhole::survey_detail {

/// One blunder: the observations it may lie in, and the slip that explains it best in each.
struct Suspicion {
  std::vector<int> observations;
  std::vector<std::optional<Slip>> slips;
};

/// Explains what the search found. Where several readings cannot be told apart but one slip of the trade
/// explains one of them with odds of kSettlingOdds or more, that reading is left out and the others are taken
/// back in: `search` and the model's active flags follow.
std::vector<Suspicion> explain_and_settle(Model& model, const Columns& columns, BlunderSearch& search);

inline constexpr double kSettlingOdds = 0.9;

}  // namespace fairhole::survey_detail

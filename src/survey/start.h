// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <set>
#include <vector>

#include "model.h"

namespace fairhole::survey_detail {

/// Start values for all parameters, found from the readings alone.
struct Start {
  Eigen::VectorXd state;
  std::vector<int> two_sided;  ///< holes placed on one of two sites that the readings allowed at that moment
  std::vector<int> guessed;    ///< holes for which no construction was found; put anywhere
};

/// Constructs hole after hole: direct ordinates, running dimensions once a set-up's zero is known, then
/// crossings of distances and offsets from holes already placed, decided ones first. Without any datum it
/// begins with two holes at their distance on the x axis (or at the `# near` places). Holes in `other_side`
/// take the rival of their two sites. `attempt` varies where guessed holes are put.
Start construct_start(const Model& model, const std::set<int>& other_side = {}, unsigned attempt = 0);

}  // namespace fairhole::survey_detail

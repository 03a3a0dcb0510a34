// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "block.h"
#include "fairhole/inference/inference.h"

namespace fairhole::inference {

/// Dimensions that hang together, their names, and the items whose odds they enter.
struct Question {
  std::vector<int> items;
  Block block;
  std::vector<std::string> names;
};

struct Answers {
  Unit unit = Unit::kMm;
  double unit_odds = 0.5;
  double scatter_mm = 0.0;
  double turn_rad = 0.0, turn_sigma_rad = 0.0;
  std::vector<std::vector<Dimension>> dimensions;  ///< one list a question; first candidates belong together
  std::vector<double> item_odds;                   ///< all dimensions of the item right together
};

/// The most probable round values, summed over turn, scatter and both units: the unit of greatest odds, in it
/// each block's most probable choice, and every dimension's other readings with odds above kLeastOdds.
/// At least one question.
Answers find_round_values(const std::vector<Question>& questions, int items, const PatternInference& rules);

inline constexpr double kLeastOdds = 0.005;

}  // namespace fairhole::inference

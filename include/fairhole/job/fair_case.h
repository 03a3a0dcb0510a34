// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fairing/joint_seats.h"

namespace fairhole::job {

/// A bare fairing case, docs/formats/fairing-case.md.
struct FairCase {
  JointCase joint;
  std::vector<std::string> parts, stacks;
  std::vector<double> bolts_mm;  ///< ascending, each once
};

Result<FairCase> parse_fair_case(std::string_view text, const std::string& file);

/// The case's goals: the least possible largest clean-up diameter, and for each bolt the least possible
/// number of stacks that exceed it.
struct FairAnswer {
  LeastWorst least;
  std::vector<LevelChoice> of_bolt;
};

FairAnswer solve_fair_case(const FairCase& fair_case);

std::string fair_json(const FairCase& fair_case, const FairAnswer& answer);
std::string fair_text(const FairCase& fair_case, const FairAnswer& answer);

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kFairCase{181};  ///< a fairing case that is not as documented
}  // namespace fairhole::codes

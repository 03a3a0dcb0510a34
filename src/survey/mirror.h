// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/survey/survey.h"
#include "model.h"

namespace fairhole::survey_detail {

/// Groups of holes that are tied to the rest by distances alone, through one or two holes: their mirror image
/// in the line of those two fits the readings just as well. Holes with a `# near` place are settled by it.
/// Found by cutting the net of distances at every pair of holes; nets with more than kMostMirrorHoles such
/// holes are only looked at as a whole.
std::vector<MirrorDoubt> find_mirror_doubts(const Model& model, const Eigen::VectorXd& state);

/// Whether the whole shape may be mirrored: nothing in the file tells left from right.
bool whole_may_be_mirrored(const Model& model);

inline constexpr int kMostMirrorHoles = 80;

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Entry (i, j) of the covariance of the normalised residuals: delta_ij - a_i Q a_j' / (sigma_i sigma_j).
double residual_covariance(const Model& model, const Columns& columns, const Solution& s, int i, int j);

/// Groups of active readings (observation numbers) whose w correlate above kTogetherCorrelation, one by one
/// or through each other: an error in any of them looks the same. In files of more than kMostPairReadings
/// only readings that share a hole are compared.
std::vector<std::vector<int>> alike_groups(const Model& model, const Columns& columns, const Solution& s);

inline constexpr int kMostPairReadings = 300;

}  // namespace fairhole::survey_detail

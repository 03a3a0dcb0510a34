// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Readings so wrong that no adjustment of all can be had, or one at a wrong site only: those without which
/// the constructed start agrees with the other readings much better. Looked for one after the other among the
/// readings of the holes that agree worst. Observation numbers, rising; every observation is active
/// afterwards.
std::vector<int> gross_suspects(Model& model);

}  // namespace fairhole::survey_detail

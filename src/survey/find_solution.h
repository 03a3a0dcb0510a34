// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "model.h"
#include "solver.h"
#include "start.h"

namespace fairhole::survey_detail {

/// Adjusts from the constructed start; where that start guessed a hole or chose between two sites and the
/// readings then disagree, tries other guesses and the other sites, and keeps what agrees best.
Solution find_solution(const Model& model, const Columns& columns, const Start& start);

}  // namespace fairhole::survey_detail

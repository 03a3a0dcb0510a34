// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "fairhole/survey/survey.h"
#include "model.h"
#include "snooping.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Which slip of the trade makes a reading that was set aside agree with the others. Every slip says what the
/// reading should have been; its likelihood is the normal density of that value about the prediction from the
/// other readings, weighed with how often such a slip happens (a stated judgement) and against "some other
/// gross error". The odds are the slip's share times the odds that the blunder sits in this reading at all.
/// Nothing when no slip has an even chance.
std::optional<Slip> explain(const Suspect& suspect, const Model& model, const Columns& columns,
                            const Solution& s);

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/job/job.h"
#include "fairhole/report/report_html.h"

namespace fairhole::job {

/// plan.json (docs/formats/plan.md): mm, degrees, probabilities 0..1; null where there is no number, never
/// NaN.
std::string plan_json(const Job& job, const ReportInput& report);

/// holes.csv (docs/formats/plan.md): one row a stack, comma separated, header row, mm.
std::string holes_csv(const ReportInput& report);

/// Layout of a stack's hole, or null when it is not laid out (carried by an old face, left out, undecided).
const LaidHole* laid_hole(const ReportInput& report, const StackPlan& stack);

}  // namespace fairhole::job

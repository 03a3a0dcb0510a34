// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/base/problem.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/job/job.h"

namespace fairhole::job {

/// Could the parts, as rigid bodies in space, stand where the plan seats their faces? Every face lies flat on
/// its carrier. Plates stay where they are, but that they move square to themselves and lean, and bend
/// towards other parts than angles. Independent of seat_movers: bodies in space, their small moves found by
/// least squares, the largest gap brought down by weights (Lawson 1961). A gap beyond what `slack_mm` allows
/// is a problem, kPlanPartTorn, at the joint where it is widest.
Problems check_contacts(const Job& job, const std::vector<SeatPlan>& seats, double slack_mm);

}  // namespace fairhole::job

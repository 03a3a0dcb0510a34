// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fairing/check_plan.h"

/// The seats' share of the independent check: rigid motions alone, no movers, no search.
namespace fairhole::detail {

/// Seats that are missing, beyond their play, or at odds with the figures to set them by. Empty: every seat
/// of the plan is the assembly's of the same index.
Problems check_plan_seats(const Assembly& registered, const Plan& plan);

/// Old holes, ovals' axes and bounds carried from where registration had them to where the plan's seats put
/// their parts. Asks for a plan without kPlanSeatMissing.
Assembly seated_as_planned(const Assembly& registered, const Plan& plan);

/// Old holes that the plan has elsewhere than their part's one seat puts them, or whose misfit is told wrong.
/// `seated`: as above; `plan` has all its stacks and layers.
Problems check_plan_holes(const Assembly& seated, const Plan& plan);

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fairing/check_plan.h"

/// The part of the check that looks from stack to stack, and what it shares with the rest.
namespace fairhole::detail {

inline constexpr double kRoundingMm = 1e-6;  // golden section leaves a centre this near its best

inline bool fitted(const FastenerSpec& spec) {
  return spec.kind == FastenerKind::kFittedBolt || spec.kind == FastenerKind::kRivetHeadedFittedBolt;
}

inline double asked_mm(const FastenerSpec& spec) {
  return spec.diameter_mm + (fitted(spec) ? 0.0 : spec.clearance_mm);
}

/// Pitches between the holes of a plate, and the shared centres of plates drilled together. `seated`: with
/// the parts at the plan's seats.
Problems check_plan_neighbours(const Assembly& seated, const Plan& plan, const FairingRules& rules);

}  // namespace fairhole::detail

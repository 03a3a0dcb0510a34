// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_choice.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

namespace fairhole {

/// All seats, centres, sizes and methods together, for the least cost. `Plan::bound` is what no seats within
/// the play and no decisions undercut; `proven` when the plan costs no more. A stack that nothing fits counts
/// as ten plugs.
struct JointFairing {
  FairingRules rules;
  SeatEffort effort = {};

  struct Result {
    Assembly assembly;  ///< the parts at their seats
    Plan plan;
  };

  /// `before`: an earlier plan of nearly the same job; its seats are tried first, which saves time.
  Result operator()(const Assembly& assembly, const Plan* before = nullptr) const;
};

}  // namespace fairhole

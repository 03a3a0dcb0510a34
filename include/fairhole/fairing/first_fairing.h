// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

namespace fairhole {

/// The first fairing: seats as the assembly has them; for each group the usual size and each stack's option
/// of the decision model that cost least together. Exact for these seats, but seats and centres are not yet
/// searched together with the sizes: `proven` is true only for a plan that costs nothing.
struct FirstFairing {
  FairingRules rules;

  Plan operator()(const Assembly& assembly) const;
};

}  // namespace fairhole

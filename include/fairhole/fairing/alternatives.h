// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

namespace fairhole {

PlanCount count_of(const Plan& plan);

/// The name of the alternative that shows what seating all parts together saves.
inline constexpr const char* kSeatedAlone = "each part seated by itself";

/// The job of `assembly` (as registered) solved again under other wishes, beside `plan`: fewest plugs; one
/// size in each group; least metal taken; nothing opened out in the old parts; each part seated by itself.
/// `pairs`: plates that could be drilled together, whether `assembly.pairs` says so or not: then the other
/// way too.
std::vector<Alternative> alternatives(const Assembly& assembly, const std::vector<PlatePair>& pairs,
                                      const FairingRules& rules, const Plan& plan);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "choice_case.h"

namespace fairhole::detail {

/// What the pitch of neighbours is told from.
struct PitchTelling {
  const Assembly& assembly;
  const std::vector<std::vector<Option>>& options;
  const FairingRules& rules;
  bool tangents = false;  ///< keep pitches by the tangent at one direction instead of the chord of all
};

/// Adds discs that keep the pitch between the pairs of `arcs` to a case that has all of their stacks: the
/// centre of either becomes a part that the other's discs follow.
void tell_neighbours(const PitchTelling& given, const PitchArcs& arcs, AssemblyChoice& out);

}  // namespace fairhole::detail

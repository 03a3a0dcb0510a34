// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "search.h"

/// What every search does once it knows the seats: each stack's options there, the cheapest together, the
/// plan.
namespace fairhole::detail {

/// Holes sound enough to hang a part on: as found, before anything is decided.
std::vector<bool> sound_holes(const Assembly& assembly);

struct Decided {
  std::vector<StackCase> cases;
  std::vector<std::vector<Option>> options;
  Chosen chosen;

  double cost() const;  ///< a stack that nothing fits included
};

/// Options (stack, index) that may not be taken, and why.
using Barred = std::map<std::pair<std::size_t, int>, std::string>;

/// The cheapest options with the seats held. `cases` refer to the stacks of `assembly`.
Decided decide(const Assembly& assembly, std::vector<StackCase> cases, const FairingRules& rules,
               const Barred& barred = {});

/// Null for an undecided stack.
const Option* chosen_option(const Decided& decided, std::size_t stack);

/// A part hangs on holes that keep their old place: plugged, left out and undecided ones do not.
std::vector<bool> serving_holes(const Decided& decided, const std::vector<bool>& sound);

/// Two stacks whose holes come nearer each other than the least pitch, though the drawing keeps it with the
/// sizes asked for; the second takes the larger hole (or seat of a bush in a part that both have). Nothing
/// where all keep it.
struct PitchConflict {
  std::size_t smaller = 0, larger = 0;
  double pitch_mm = 0.0, least_mm = 0.0;
};
std::optional<PitchConflict> pitch_conflict(const Assembly& assembly, const Decided& decided,
                                            const FairingRules& rules);

/// The plan of these decisions with its odds; `bound` and `proven` are left to the search.
Plan plan_of(const Assembly& assembly, const Decided& decided, const std::vector<LocatingPair>& locating,
             const FairingRules& rules);

}  // namespace fairhole::detail

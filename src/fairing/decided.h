// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "neighbours.h"
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
Decided decide(const Assembly& assembly, std::vector<StackCase> cases, const FairingRules& rules);

/// Of holes that come nearer each other than the least pitch the larger one's option is given up, until all
/// keep it. This is greedy.
void give_up_too_near(const Assembly& assembly, const FairingRules& rules, Decided& decided);

/// Null for an undecided stack.
const Option* chosen_option(const Decided& decided, std::size_t stack);

/// A part hangs on holes that keep their old place: plugged, left out and undecided ones do not.
std::vector<bool> serving_holes(const Decided& decided, const std::vector<bool>& sound);

/// Stacks whose holes come nearer each other than the least pitch, though the drawing keeps it with the sizes
/// asked for.
struct PitchConflict {
  NeighbourPair pair;
  std::size_t larger = 0;  ///< which of them takes the larger hole (or seat of a bush in a part of both)
  double pitch_mm = 0.0, least_mm = 0.0;
};
std::vector<PitchConflict> pitch_conflicts(const Assembly& assembly, const Decided& decided,
                                           const FairingRules& rules);

/// Locating holes that serve with what is decided, and that decision. They come first, because the doubt of
/// all other holes follows from them; when one of them turns out not to serve, others are chosen and all is
/// decided afresh.
struct Hung {
  std::vector<LocatingPair> locating;
  Decided decided;
};
Hung decide_hung(const Assembly& assembly, const FairingRules& rules);

/// The plan of these decisions with its odds; `bound` and `proven` are left to the search.
Plan plan_of(const Assembly& assembly, const Decided& decided, const std::vector<LocatingPair>& locating,
             const FairingRules& rules);

}  // namespace fairhole::detail

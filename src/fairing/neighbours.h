// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "fairhole/fairing/decision.h"
#include "fairhole/fairing/joint_seats.h"
#include "limits.h"

/// The least pitch between stacks of one plate. What an option asks of a neighbour's centre hangs on that
/// option alone: |centre - neighbour's centre| >= pitch.
namespace fairhole::detail {

/// Two stacks of one plate, a before b.
struct NeighbourPair {
  std::size_t a = 0, b = 0;
  bool operator<(const NeighbourPair& other) const { return a != other.a ? a < other.a : b < other.b; }
};

/// Directions from a's centre to b's. To keep a pitch is not convex: over a range of directions it is told
/// from outside by the chord of that range, or kept surely by the tangent at one of them.
struct PitchArc {
  std::optional<SeatRange> turned_rad;  ///< from the x axis; none: all that the stacks' holes allow
  double along_rad = 0.0;               ///< of the tangent
};
using PitchArcs = std::map<NeighbourPair, PitchArc>;

/// What `option` of `own` asks; 0: it makes no hole.
double pitch_asked_mm(const Stack& own, const Option& option, const Stack& other, const FairingRules& rules);

/// Of the sizes asked for: then no choice of sizes keeps the pitch, and it is left to whoever answers for the
/// drawing.
bool drawn_too_near(const Stack& a, const Stack& b, const FairingRules& rules);

/// What a neighbour that stays beyond its own line leaves to a hole of `hole_mm`, with a bush of
/// `bush_outside_mm` in the layers `bushed`.
Limit pitch_limit(const Stack& own, const StackCase::Neighbour& beside, double hole_mm,
                  double bush_outside_mm, const std::vector<int>& bushed, const FairingRules& rules);

/// Tells two stacks where the other's hole stands: each keeps its side of a line, the lines `pitch_mm` apart
/// or, where the centres leave more, half of what is left beyond them.
void keep_apart(StackCase& a, const Eigen::Vector2d& a_mm, StackCase& b, const Eigen::Vector2d& b_mm,
                double pitch_mm);

}  // namespace fairhole::detail

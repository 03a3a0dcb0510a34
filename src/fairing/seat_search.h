// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "seat_model.h"

namespace fairhole::detail {

/// A proof that rooms are too small, in plain numbers: whatever the seats within the proof's turns, with R_i
/// the room that disc i needs about its stack's centre,
///   sum over discs of weight_i * R_i >= floor_mm.
/// So rooms with sum of weight * room < floor_mm do not hold. Weights are not negative and sum to 1, those of
/// discs that pin apart: these have no room to exceed.
struct SeatProof {
  std::vector<double> weight;  ///< of each disc of the model
  double floor_mm = 0.0;

  /// By how much some disc at least exceeds its room; below 0 it proves nothing. A disc of no limit must
  /// have no weight.
  double excess_mm(std::span<const double> room_mm) const;
};

/// Multipliers of discs make a proof: Lagrange's bound, each part's turn taken over its whole arc in closed
/// form. `multipliers` of the discs of `model` in their order; the last two entries of each are the push on
/// the disc. Any values are sound; good ones come from the solver.
SeatProof proof_of(const SeatModel& model, const TurnBox& box, std::span<const Eigen::Vector3d> multipliers);

/// What other stacks push on a centre that they follow, its stack must take up: the multipliers of the discs
/// that pin, where any room is asked of them.
std::vector<Eigen::Vector3d> with_pins(const SeatModel& model, std::span<const double> room_mm,
                                       std::vector<Eigen::Vector3d> multipliers);

/// Least of a sin(t) + b (1 - cos(t)) for t in range.
double least_on_arc(double a, double b, const SeatRange& range);

struct SeatAim {
  double enough_mm = -kNoLimit;   ///< stop at seats this good
  double hopeless_mm = kNoLimit;  ///< stop when nothing this good is left
  double gap_mm = 1e-5;           ///< stop when the two bounds are this close
  int boxes = 1000;
};

/// Seats with the smallest largest excess over the rooms: best found, and what is proven.
struct SeatFound {
  double value_mm = kNoLimit;
  double lower_mm = -kNoLimit;
  std::vector<SeatMove> moves;
  std::vector<SeatProof> proofs;  ///< one for each box of turns; together they cover the play
};

SeatFound find_seats(const SeatModel& model, std::span<const double> room_mm, const SeatAim& aim,
                     const std::vector<SeatMove>* guess = nullptr);

}  // namespace fairhole::detail

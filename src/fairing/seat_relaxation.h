// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "seat_model.h"

namespace fairhole::detail {

/// How a part's four entries stand for its move: shifts and turn about the middle of their range, each scaled
/// so that the range is -1..1. Entries 2 and 3 stand for the turn: sine and 1 - cosine (hull), or the angle
/// alone (tangent).
struct PartScale {
  Eigen::Vector2d shift_middle_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d shift_half_mm = Eigen::Vector2d::Zero();
  double turn_middle_rad = 0.0;
  double sine_unit = 0.0;     ///< 0: does not turn
  double versine_unit = 0.0;  ///< 0: the turn is taken along its tangent
};

/// The convex problem of all seats for given rooms.
struct SeatRelaxation {
  SeatProgram program;
  std::vector<PartVector> start;
  std::vector<PartScale> scale;
  std::vector<int> disc_of_cone;  ///< -1 for a cone that is no disc
  /// Of each part the one whose entries tell where it is: its own, or where several are the centre of one
  /// stack, those of the first.
  std::vector<int> told_by;
};

/// Every turn's arc replaced by its hull: what it finds, no seats of the box come below.
SeatRelaxation hull_relaxation(const SeatModel& model, std::span<const double> room_mm, const TurnBox& box);

/// Every turn's arc replaced by its tangent at `about`, which lies in `box`.
SeatRelaxation tangent_problem(const SeatModel& model, std::span<const double> room_mm, const TurnBox& box,
                               std::span<const SeatMove> about);

/// Adds: no disc that counts farther than the worst from its stack's centre, and `room_mm` to hold whatever
/// the worst. Replaces the program's own discs.
void ask_for_misfit(const SeatModel& model, std::span<const double> room_mm, SeatRelaxation& relaxation);

/// Asks instead: seats as near to `rest` as the rooms allow (least sum of squares). For a tangent problem.
void ask_for_rest(const SeatModel& model, std::span<const SeatMove> rest, SeatRelaxation& relaxation);

/// The moves a point stands for, within the play.
std::vector<SeatMove> moves_of(const SeatModel& model, const SeatRelaxation& relaxation,
                               const SeatPoint& point, const TurnBox& box);

/// Multipliers in the order of the model's discs; 0 for those that took no part, and for those that pin
/// (see `with_pins`).
std::vector<Eigen::Vector3d> disc_multipliers(const SeatModel& model, const SeatRelaxation& relaxation,
                                              const SeatPoint& point);

}  // namespace fairhole::detail

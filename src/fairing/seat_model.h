// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "fairhole/fairing/joint_seats.h"
#include "fairhole/geometry/circle.h"
#include "seat_program.h"

namespace fairhole::detail {

/// Turns of all parts, each from least to most.
using TurnBox = std::vector<SeatRange>;

/// Where a stack's centre does best: |centre of disc i - centre| <= room_i + excess for all its discs, with
/// the least excess. A disc that pins the centre is not asked by how much.
struct HeldCentre {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double excess_mm = -kNoLimit;  ///< no disc is asked to be anywhere
};
HeldCentre best_centre(std::span<const Eigen::Vector2d> centres_mm, std::span<const double> room_mm);

/// Of each part: whether a disc that pins follows it, so that it is the centre of a stack and no metal.
std::vector<char> are_centres(const JointCase& joint);

/// The disc that pins the stack's centre with these rooms; none: the centre is free.
std::optional<std::size_t> pinning(std::span<const SeatDisc> discs, std::span<const double> room_mm);

/// A case made ready: each stack's coordinates start from its own middle, its discs side by side. Rooms are
/// given for all discs in this order; kNoLimit asks nothing of a disc.
class SeatModel {
 public:
  explicit SeatModel(const JointCase& joint);

  const JointCase& joint() const { return joint_; }
  int stacks() const { return joint_.stacks; }
  std::size_t first_disc(int stack) const { return first_[static_cast<std::size_t>(stack)]; }
  std::span<const SeatDisc> discs(int stack) const;
  bool is_centre(int part) const { return is_centre_[static_cast<std::size_t>(part)] != 0; }
  /// Pins a stack, or follows the centre of another one.
  bool is_linked(std::size_t disc) const { return is_linked_[disc] != 0; }
  /// Where the stack's own coordinates start, in the case's.
  const Eigen::Vector2d& origin_mm(int stack) const { return origin_[static_cast<std::size_t>(stack)]; }
  const TurnBox& whole_box() const { return whole_box_; }
  /// Farthest that a disc of the part goes for a turn of one radian, in the first order.
  double reach_mm(int part) const { return reach_mm_[static_cast<std::size_t>(part)]; }

  Circle clean_up(int stack, std::span<const SeatMove> moves) const;
  HeldCentre held(int stack, std::span<const SeatMove> moves, std::span<const double> stack_room_mm) const;
  /// Largest excess over the stacks.
  double worst_mm(std::span<const SeatMove> moves, std::span<const double> room_mm) const;
  std::vector<SeatMove> rest() const;  ///< as found, or as near to it as the play allows
  /// Rooms that let each stack's clean-up circle have the given radius.
  std::vector<double> clean_up_rooms(std::span<const double> limit_radius_mm) const;

 private:
  JointCase joint_;
  std::vector<std::size_t> first_;  ///< of each stack's discs, and the end
  std::vector<Eigen::Vector2d> origin_;
  TurnBox whole_box_;
  std::vector<char> is_centre_, is_linked_;
  std::vector<double> reach_mm_;
};

Eigen::Vector2d centre_at(const SeatDisc& disc, std::span<const SeatMove> moves);

/// No play at all.
bool is_fixed(const SeatPlay& play);

/// The move within the play that is nearest to `move`, each way by itself.
SeatMove within_play(const SeatPlay& play, const SeatMove& move);

/// Part of a case whose moving parts hang together through stacks, and where it came from.
struct FreePart {
  JointCase joint;
  std::vector<int> parts;  ///< of the whole case, by the part's index here
  std::vector<int> stacks;
};

/// The case with these stacks only, in this order; all parts.
JointCase joint_of(const JointCase& joint, const std::vector<int>& stacks);

/// Moving parts that share no stack, directly or through others, do not feel each other.
std::vector<FreePart> free_parts(const JointCase& joint);

/// The effort for a piece: a step costs more the more parts hang together, so beyond twelve fewer are taken.
SeatEffort effort_for(const FreePart& piece, const SeatEffort& effort);

/// Carries the pieces' moves into the whole.
void put_moves(const FreePart& piece, std::span<const SeatMove> moves, std::vector<SeatMove>& whole);

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/fairing/joint_seats.h"

/// All seats and all decisions at once, as a bare problem: of every stack one option is taken; an option says
/// how far each of the stack's discs may lie from the stack's centre, and what it costs.
namespace fairhole {

/// One way to treat a stack. It holds at a stack centre z when |centre of disc i - z| <= room_mm[i] for every
/// disc of the stack.
struct StackOption {
  double cost = 0.0;
  std::vector<double> room_mm;  ///< of the stack's discs, in the order of the case; kNoLimit asks nothing
  int size = -1;                ///< of its group's sizes, by index; none: takes no size, is never odd
};

struct StackOptions {
  int group = -1;                    ///< index of its group; none: no size is odd
  std::vector<StackOption> options;  ///< at least one, in the order of preference among equal costs
};

/// `joint.discs[i].radius_mm` play no part here: rooms say all.
struct ChoiceCase {
  JointCase joint;
  std::vector<StackOptions> stacks;  ///< joint.stacks of them
  std::vector<int> group_sizes;      ///< of each group, how many sizes there are
  double odd_cost = 0.0;             ///< for each stack whose size is not its group's usual one
  std::vector<SeatMove> rest;        ///< where parts would rather stand; empty: unmoved
};

struct ChoiceFound {
  std::vector<int> option;       ///< of each stack; empty when no seats hold any choice of options
  std::vector<int> usual;        ///< of each group: its usual size; -1 where no stack takes a size
  double cost = 0.0;             ///< of the options, odd sizes included
  double bound = 0.0;            ///< no seats within the play cost less; kNoLimit: nothing holds at all
  bool proven = false;           ///< bound is cost; or proven that nothing holds
  double margin_mm = kNoLimit;   ///< by which all rooms can hold at once, on diameter
  double worst_misfit_mm = 0.0;  ///< farthest of a disc that counts from its stack's centre, at `moves`
  std::vector<SeatMove> moves;
  /// Where nothing holds: stacks whose options cannot be had together, and any fewer of them can.
  std::vector<int> conflict;
  int sets_solved = 0;
};

/// The cheapest options that seats within the play can hold. Among choices of equal cost the one of the
/// smallest worst misfit; then the seats that are nearest to `rest`. `first`: a choice to begin with (an
/// earlier answer, when little has changed); it need not hold.
ChoiceFound cheapest_choice(const ChoiceCase& choice_case, const SeatEffort& effort = {},
                            const ChoiceFound* first = nullptr);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <set>
#include <vector>

#include "demand.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_choice.h"

/// The assembly as the bare problem of joint_choice.h, and back.
namespace fairhole::detail {

/// A stack of a pair of plates: its centre is that of the stack of its name in the other plate.
struct SharedCentre {
  int part = -1;  ///< of the bare case: moves the centre from `from_mm`, both in the first plate's frame
  Eigen::Vector2d from_mm = Eigen::Vector2d::Zero();
  Motion own_from_first;

  Eigen::Vector2d centre_mm(const std::vector<SeatMove>& moves) const {
    const SeatMove& move = moves[static_cast<std::size_t>(part)];
    return own_from_first * (from_mm + Eigen::Vector2d(move.dx_mm, move.dy_mm));
  }
};

struct AssemblyChoice {
  ChoiceCase
      bare;  ///< the assembly's stacks first, then one for each limit of a seat's play that movers share
  std::vector<std::vector<int>>
      option_of;  ///< of each stack: which of its Options each bare option is; -1: nothing fits
  std::map<std::size_t, SharedCentre> shared;  ///< by stack
};

struct ChoiceExactness {
  bool surely = false;                   ///< see Exactness
  std::set<std::size_t> sliding_stacks;  ///< whose ovals slide
};

/// `options`: of each stack, as `options_for` gives them.
AssemblyChoice choice_case(const Assembly& assembly, const std::vector<StackCase>& cases,
                           const std::vector<std::vector<Option>>& options, const FairingRules& rules,
                           const ChoiceExactness& exactness);

}  // namespace fairhole::detail

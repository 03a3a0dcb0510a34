// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <set>
#include <vector>

#include "demand.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_choice.h"
#include "neighbours.h"

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
  std::size_t given_parts = 0;  ///< movers and shared centres: the first parts, whatever else is told
  /// Neighbours that are told of each other: directions that were looked at, and the parts of the bare case
  /// that are their centres.
  struct Told {
    SeatRange turned_rad;
    int part_a = -1, part_b = -1;
  };
  std::map<NeighbourPair, Told> neighbours;
  std::map<std::size_t, CornerSides> corners;  ///< of stacks: see StackDemand
};

struct ChoiceExactness {
  bool surely = false;                       ///< see Exactness
  std::set<std::size_t> sliding_stacks;      ///< whose ovals slide
  PitchArcs neighbours;                      ///< that are told of each other
  std::map<std::size_t, CornerSides> sides;  ///< of stacks, at corners of their plate
  bool tangents = false;  ///< their pitches kept by one tangent each: surely, not in the bound
};

/// `options`: of each stack, as `options_for` gives them.
AssemblyChoice choice_case(const Assembly& assembly, const std::vector<StackCase>& cases,
                           const std::vector<std::vector<Option>>& options, const FairingRules& rules,
                           const ChoiceExactness& exactness);

}  // namespace fairhole::detail

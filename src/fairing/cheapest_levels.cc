// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "fairhole/fairing/joint_choice.h"

namespace fairhole {
namespace {

/// A level as an option: every disc of the stack has the room that a clean-up circle of that size leaves it.
StackOptions options_of(const StackLevels& levels, const std::vector<double>& radius_mm) {
  StackOptions out;
  for (std::size_t k = 0; k < levels.cost.size(); ++k) {
    StackOption& option = out.options.emplace_back();
    option.cost = levels.cost[k];
    const bool last = k == levels.limit_diameter_mm.size();
    for (const double radius : radius_mm)
      option.room_mm.push_back(last ? kNoLimit : levels.limit_diameter_mm[k] / 2.0 - radius);
  }
  return out;
}

}  // namespace

LevelChoice cheapest_levels(const JointCase& joint, std::span<const StackLevels> levels,
                            const SeatEffort& effort) {
  std::vector<std::vector<double>> radius_mm(static_cast<std::size_t>(joint.stacks));
  for (const SeatDisc& disc : joint.discs)
    radius_mm[static_cast<std::size_t>(disc.stack)].push_back(disc.radius_mm);
  ChoiceCase choice_case;
  choice_case.joint = joint;
  for (std::size_t s = 0; s < radius_mm.size(); ++s)
    choice_case.stacks.push_back(options_of(levels[s], radius_mm[s]));
  ChoiceFound found = cheapest_choice(choice_case, effort);
  LevelChoice out;
  out.level = std::move(found.option);
  out.cost = found.cost;
  out.bound = found.bound;
  out.proven = found.proven;
  out.margin_mm = found.margin_mm;
  out.worst_misfit_mm = found.worst_misfit_mm;
  out.moves = std::move(found.moves);
  out.sets_solved = found.sets_solved;
  return out;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_task.h"

#include <algorithm>

namespace fairhole::detail {
namespace {

std::vector<SeatMove> own_moves(const FreePart& piece, const std::vector<SeatMove>& whole) {
  std::vector<SeatMove> out;
  for (std::size_t p = 0; p < piece.parts.size(); ++p)
    out.push_back(within_play(piece.joint.parts[p], whole[static_cast<std::size_t>(piece.parts[p])]));
  return out;
}

}  // namespace

std::vector<SeatMove> rest_of(const ChoiceCase& choice_case) {
  std::vector<SeatMove> rest = choice_case.rest;
  rest.resize(choice_case.joint.parts.size());
  for (std::size_t p = 0; p < rest.size(); ++p) rest[p] = within_play(choice_case.joint.parts[p], rest[p]);
  return rest;
}

StackTask task_of(const ChoiceCase& choice_case, const std::vector<int>& stacks, const SeatEffort& effort,
                  const ChoiceFound* first) {
  const std::vector<SeatMove> rest = rest_of(choice_case);
  std::vector<FreePart> free = free_parts(joint_of(choice_case.joint, stacks));
  std::vector<int> given;
  std::vector<ChoicePiece> pieces;
  std::vector<StackOptions> options;
  std::vector<std::vector<SeatMove>> own_rest, own_first;
  SeatEffort least = effort;
  for (const FreePart& part : free) {
    const SeatEffort own = effort_for(part, effort);
    least.level_nodes = std::min(least.level_nodes, own.level_nodes);
    ChoicePiece& to = pieces.emplace_back(ChoicePiece{SeatModel(part.joint), {}, own.turn_boxes});
    for (const int s : part.stacks) {
      to.stacks.push_back(given.size());
      given.push_back(stacks[static_cast<std::size_t>(s)]);
      options.push_back(choice_case.stacks[static_cast<std::size_t>(given.back())]);
    }
    own_rest.push_back(own_moves(part, rest));
    if (first != nullptr && first->moves.size() == rest.size())
      own_first.push_back(own_moves(part, first->moves));
  }
  return {{std::move(pieces), ChoiceTable(options, choice_case.group_sizes, choice_case.odd_cost), least,
           std::move(own_rest), std::move(own_first)},
          std::move(given),
          std::move(free)};
}

ChoiceBlock block_of(const StackTask& whole, StackTask own) {
  ChoiceBlock block{std::move(own.task), {}};
  for (const int s : own.given) {
    const auto at = std::find(whole.given.begin(), whole.given.end(), s);
    block.stack.push_back(static_cast<std::size_t>(at - whole.given.begin()));
  }
  return block;
}

}  // namespace fairhole::detail

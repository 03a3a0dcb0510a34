// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "choice_search.h"

/// Blocks: stacks that hang together more closely than with the others. Of any partition the sum of the
/// blocks' own least costs is a lower bound, each block with its own copy of the parts it shares and, of a
/// group that spans blocks, its own usual size.
namespace fairhole::detail {

/// A partition of some stacks of a case. Parts that do not move count as one, the ground. Where the stacks
/// fall apart without one part (or the ground), they are split there, and again: a side that hangs on the
/// others by one part alone follows it wherever it goes, as far as its play allows. Sides of few stacks are
/// not split off. One block: nothing to split.
std::vector<std::vector<int>> blocks_of(const JointCase& joint, const std::vector<int>& stacks);

/// A block as a task of its own.
struct ChoiceBlock {
  ChoiceTask task;
  std::vector<std::size_t> stack;  ///< in the whole's table, by the stack's index in the block's own
};

/// The cheapest choice of a whole from its blocks: their own cheapest choices taken together, where these can
/// be had together; where not, by branching on what keeps them apart.
ChoiceSearchResult search_blocks(const ChoiceTask& whole, const std::vector<ChoiceBlock>& blocks);

}  // namespace fairhole::detail

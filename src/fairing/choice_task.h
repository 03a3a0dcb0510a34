// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "choice_blocks.h"

namespace fairhole::detail {

/// Some stacks of a case as a task of their own.
struct StackTask {
  ChoiceTask task;
  std::vector<int> given;      ///< of the case, by the stack's index in the task's table
  std::vector<FreePart> free;  ///< the task's pieces; their parts are those of the case
};

/// Where the case's parts would rather stand, within their play.
std::vector<SeatMove> rest_of(const ChoiceCase& choice_case);

/// `first`: an earlier answer to begin with, or null.
StackTask task_of(const ChoiceCase& choice_case, const std::vector<int>& stacks, const SeatEffort& effort,
                  const ChoiceFound* first);

/// `own` as a block of `whole`, which has all of its stacks.
ChoiceBlock block_of(const StackTask& whole, StackTask own);

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <set>
#include <vector>

#include "demand.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_choice.h"

/// The assembly as the bare problem of joint_choice.h, and back.
namespace fairhole::detail {

struct AssemblyChoice {
  ChoiceCase
      bare;  ///< the assembly's stacks first, then one for each limit of a seat's play that movers share
  std::vector<std::vector<int>>
      option_of;  ///< of each stack: which of its Options each bare option is; -1: nothing fits
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

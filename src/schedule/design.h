// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/schedule/schedule.h"

namespace fairhole::schedule {

inline constexpr const char* kUsualFit = "H7/k6";
inline constexpr const char* kUsualBushFit = "H7/p6";
inline constexpr const char* kUsualHead = "snap";

/// "left-toe, T1": the stack's name in lists.
std::string place_name(const HolePlace& place);

/// The stack as it was faired; null when the assembly has none of that name.
const Stack* stack_of(const Assembly& assembly, const StackPlan& plan);

/// What the fastener's shank measures across: a fitted one fills the hole, another leaves its clearance.
double shank_wanted_mm(const Stack& stack, const StackPlan& plan);

/// The fastener of one stack that takes one.
StackFastener design_fastener(const Stack& stack, const StackPlan& plan, const FastenerMaking& making,
                              const ScheduleOptions& options, const Catalogue& catalogue);

/// The bushes of a stack that is `made` already, `index` its place in the schedule.
std::vector<LayerBush> design_bushes(const StackPlan& plan, const StackFastener& made,
                                     const FastenerMaking& making, std::size_t index,
                                     const ScheduleOptions& options);

/// Bushes of one size together, and the bar for them.
void make_bush_pieces(const Catalogue& catalogue, FastenerSchedule& schedule);

/// What problems say, in sentences.
std::string sentence_of(const Problems& problems);

/// Groups the designs into pieces, works out what is turned and bought.
void make_pieces(const ScheduleOptions& options, const Catalogue& catalogue, FastenerSchedule& schedule);

}  // namespace fairhole::schedule

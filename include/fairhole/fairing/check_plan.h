// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/base/problem.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

namespace fairhole {

/// Checks a plan against the assembly as it was registered, from the geometry alone: it knows no solver, and
/// believes nothing the plan says of itself. Each part is carried as one rigid body from where registration
/// seated it to the plan's seat, and its holes are judged there. Empty when all is well. Undecided stacks are
/// no fault; a plan without one of the assembly's stacks or seats is.
Problems check_plan(const Assembly& registered, const Plan& plan, const FairingRules& rules);

namespace codes {
inline constexpr Code kPlanStackMissing{560};  ///< the plan leaves a stack out, or has one twice
inline constexpr Code kPlanNotClean{561};      ///< the finish circle does not enclose an old hole
inline constexpr Code kPlanDoesNotPass{562};   ///< the shank does not pass all holes
inline constexpr Code kPlanThinEdge{563};      ///< too near an edge, fillet or keep-out
inline constexpr Code kPlanPitch{564};         ///< two holes of a plate too near each other
inline constexpr Code kPlanTooLarge{565};    ///< beyond the largest size a layer takes, or must not be opened
inline constexpr Code kPlanFixedMoved{566};  ///< a hole that carries location is not the stack's centre
inline constexpr Code kPlanWrongSize{567};   ///< a size the shop does not have
inline constexpr Code kPlanPinNotKept{568};  ///< not what the user pinned
inline constexpr Code kPlanMethodUnfit{569};    ///< a method that the hole's form does not allow
inline constexpr Code kPlanSeatMissing{572};    ///< a joint without a seat, or with another joint's
inline constexpr Code kPlanSeatOutOfPlay{573};  ///< a seat farther from nominal than its play
inline constexpr Code kPlanPairApart{576};      ///< plates drilled together that do not share a centre
inline constexpr Code kPlanHoleOffSeat{574};    ///< a hole or a figure that is not its part's one seat's
inline constexpr Code kPlanBushWall{577};       ///< a bush of too thin a wall, or of no wall told
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <vector>

#include "fairhole/base/result.h"

namespace fairhole {

enum class ToolKind { kPilot, kStepDrill, kFinalDrill, kReamer };
const char* tool_name(ToolKind kind);  ///< "pilot", "step drill", "final drill", "reamer"

/// One pass of the drill chain.
struct DrillStep {
  ToolKind tool = ToolKind::kPilot;
  double diameter_mm = 0.0;
  std::string name;      ///< as stamped on the tool: "13/16 in", "20.5 mm"
  bool at_hand = false;  ///< a reamer that the shop's own catalogue names
};

/// Which drills the shop has: fractional inch, metric, or both.
enum class DrillUnit { kInch, kMetric, kAny };

struct Drill {
  double diameter_mm = 0.0;
  std::string name;
};

/// The drills of a list, ascending: every 1/64 in to 2 in; metric 0.2 to 50 mm in the steps commonly stocked;
/// both. Source: src/fits/data/drills_*.csv.
std::span<const Drill> drill_list(DrillUnit unit);

/// The same with the shop's own among them (any unit): a size of both bears the own name.
std::vector<Drill> drills_at_hand(DrillUnit unit, std::span<const Drill> own);

/// Number drills #80 to #1 and letter drills A to Z, ascending: for tapping sizes; no drill chain takes them.
std::span<const Drill> number_and_letter_drills();

enum class HoleFinish { kDrilled, kReamed };

/// From solid plate to the finished hole, after the pop mark, in strictly rising diameters:
/// - reamed: the reamer at `finish_mm`, before it the drill nearest to 1/64 in under, never less than 0.010
/// in nor
///   more than 1/32 in under (Applied Science for Metal Workers, section 313);
/// - drilled: the drill of this size, else the smallest not below `finish_mm`, where one 0.05 mm or less
/// below will do,
///   because a drill cuts that much over its size (common practice, no source);
/// - before a final drill over 1/2 in, step drills of at least half the next drill's size; before the first
/// drill a
///   pilot a little over its web, taken as a quarter of its diameter, and at least 1/8 in; drills up to 1/4
///   in need no pilot (common practice, no source).
/// Every drill is from the list of `unit` or the shop's `own`; a reamer is named in inches where it is a
/// whole 1/64 in, unless `unit` is metric and the size a whole 0.1 mm. Problems: kDrillBadDiameter for what
/// is not a finite number above 0; kDrillNotListed when the list ends before.
Result<std::vector<DrillStep>> drill_chain(double finish_mm, HoleFinish finish, DrillUnit unit,
                                           std::span<const Drill> own = {});

/// The same from a hole that is already there (a pilot, an old hole): the passes of the chain above
/// `existing_mm`. Empty when the hole has its size. Problem: kDrillHoleTooLarge when it is above it already.
Result<std::vector<DrillStep>> opening_chain(double existing_mm, double finish_mm, HoleFinish finish,
                                             DrillUnit unit, std::span<const Drill> own = {});

/// The hole drilled or cut on the bench where the finish comes in place, through the parts bolted together:
/// the largest drill at least 1/8 in under the finish (UFGS-05 05 5A p. 18), so that the finished hole still
/// cleans up a pilot that stands 1/16 in off; below 3/8 in the half of the finish instead (common practice,
/// no source). Of the list of `unit` or the shop's `own`.
Result<DrillStep> in_place_pilot(double finish_mm, DrillUnit unit, std::span<const Drill> own = {});

/// What a pilot may measure so that the hole still comes right.
struct PilotLimits {
  double min_mm = 0.0, max_mm = 0.0;
};
/// A pilot of `pilot_mm` that `in_place`, the passes of opening_chain(), brings to `finish_mm`. A drill cuts
/// over its size rather than under, and a smaller pilot spoils nothing, so the limits are what the next tools
/// ask for:
/// - at least half the next drill (the rule of drill_chain()), or what leaves a reamer that comes next no
///   more than 1/32 in;
/// - at most what leaves the reamer 0.010 in (Applied Science for Metal Workers, section 313), or the finish
///   where it is drilled.
/// Requires 0 < pilot_mm <= finish_mm (asserted).
PilotLimits pilot_limits(double pilot_mm, double finish_mm, std::span<const DrillStep> in_place);

namespace codes {
inline constexpr Code kDrillBadDiameter{270};   ///< no finite number above 0
inline constexpr Code kDrillNotListed{271};     ///< no drill of the list serves this size
inline constexpr Code kDrillHoleTooLarge{272};  ///< the hole to be opened out is larger than its finish
}  // namespace codes

}  // namespace fairhole

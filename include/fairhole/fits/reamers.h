// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "fairhole/base/result.h"
#include "fairhole/fits/catalogue.h"
#include "fairhole/fits/drills.h"
#include "fairhole/fits/iso286.h"

namespace fairhole {

/// Limits of a new reamer for a hole class: largest = the hole's largest less 15 % of the tolerance, smallest
/// = that less 35 %, both shares rounded up to a micrometre (the rule of ISO 522 and DIN 1420 as a tool maker
/// prints it). Requires limits in whole micrometres apart (asserted).
SizeLimits reamer_limits(const SizeLimits& hole);

/// How a reamed hole is made.
struct ReamingPlan {
  std::optional<Reamer> reamer;  ///< of the size, where the catalogue has one; hand before machine
  SizeLimits hole;
  SizeLimits reamer_limits;
  Drill drill;           ///< the last drill before it
  double left_mm = 0.0;  ///< on diameter, for the reamer to take; 0.254 to 0.794 mm
};

/// The reamer of this size that the catalogue holds: hand before machine.
std::optional<Reamer> reamer_of_size(double size_mm, const Catalogue& catalogue);

/// Drills: those of the list of `unit` and the catalogue's own. Problems: those of limits_of() and of
/// drill_chain().
Result<ReamingPlan> reaming_plan(const ToleranceClass& hole, double nominal_mm, DrillUnit unit,
                                 const Catalogue& catalogue);

}  // namespace fairhole

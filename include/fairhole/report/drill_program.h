// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fairhole/layout/layout.h"
#include "fairhole/report/sheets.h"

namespace fairhole {

/// How the plate lies on the mill. Nothing is written without it: a plate merely clamped on a table has no
/// place that a program could know.
struct DrillSetup {
  std::string fixture;           ///< in words: "on parallels in the drilling jig, stops at the datum edges"
  std::string work_offset;       ///< "G54" to "G59.3": x, y at the datum corner, z at the marked face
  double safe_height_mm = 50.0;  ///< above the face: clears clamps, between holes and at tool changes
  double clear_height_mm = 3.0;  ///< above the face: from here on at feed
  double through_mm = 2.0;       ///< by which a drill's full diameter goes beyond the plate
};

/// What is drilled and reamed on the bench, as RS-274/NGC canned cycles (NIST IR 6556, Kramer, Proctor and
/// Messina 2000, 3.5.16): spot G81, drill G81, peck G83 where deeper than three diameters, ream G85; tool by
/// tool in the order of the drill chains; mm, absolute. Speeds and feeds are for high-speed steel in mild
/// steel, common practice, no source. What is finished in place is piloted only.
std::string drill_program(const PlateLayout& layout, const SheetTitle& title, const DrillSetup& setup);

}  // namespace fairhole

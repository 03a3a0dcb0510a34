// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/base/result.h"

namespace fairhole {

enum class ClearanceSeries { kFine, kMedium, kCoarse };

/// Clearance hole of a metric bolt, M5 to M36, by its nominal diameter. ISO 273:1979 (src/fits/data/
/// clearance_holes.csv says where each row was read); the older BS 4186:1967 differs at M12, M14 and M16.
/// Problem: kNoClearanceHole for a size the table does not hold.
Result<double> bolt_clearance_hole_mm(double nominal_mm, ClearanceSeries series = ClearanceSeries::kMedium);

enum class En1090Hole { kNormal, kOversize, kShortSlot, kLongSlot };

/// Hole of a metric bolt, M12 to M36, by EN 1090-2 Table 11 (src/fits/data/en1090_holes.csv); of a slot its
/// overall length, the width being that of the normal hole. A long slot is 1.5 diameters longer than the
/// bolt. Towers and masts take normal holes 0.5 mm smaller; a fitted bolt's hole has the shank's own nominal
/// size. Problem: kNoClearanceHole.
Result<double> en1090_hole_mm(double nominal_mm, En1090Hole kind);

/// Hole less bolt of a normal round hole, for a bolt of any size: that of the table's largest bolt not above
/// it (1 mm to M14, 2 mm to M24, 3 mm from M27 on). A head alone covers it.
double normal_clearance_mm(double bolt_mm);

/// Hole of a rivet by its cold diameter: 1/16 in over (UFGS-05 05 5A p. 18; Waddell 1898). Old drawings treat
/// bolts of inch sizes likewise. Requires a finite diameter above 0 (asserted).
double rivet_hole_mm(double cold_diameter_mm);

namespace codes {
inline constexpr Code kNoClearanceHole{273};  ///< no size of the clearance hole table
}  // namespace codes

}  // namespace fairhole

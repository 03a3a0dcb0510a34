// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/photo/find_holes.h"

/// Marks on a sheet that was laid on the holes: what a rubbing shows of them. docs/photo-holes.md.
namespace fairhole::photo {

/// Shaded discs, pencil rings and rubbed rims (light inside, dark about it). `view`'s plane z = 0 is the
/// sheet; `search.masked_px` should hold the printed markers, not the whole sheet. Diameters of a rubbed rim
/// come out small by what the crayon bridges, up to some half a millimetre; its sigma says so. Marks that are
/// not round, or not dark against the paper, are left out; poor ones are doubtful. In order of x, then y.
std::vector<HoleImage> find_marks(const Picture& picture, const View& view, const HoleSearch& search);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/drawing/drawing.h"
#include "fairhole/fasteners/rivet.h"
#include "placement.h"

namespace fairhole::report {

/// A rivet as it is cut, with the work's faces and the head to be formed in broken lines, and beside it the
/// set that forms a snap head, to the scale that fits. Requires a box of at least 120 x 40 mm.
void draw_rivet(drawing::Drawing& on, const Box& box, const fasteners::RivetDesign& rivet);

}  // namespace fairhole::report

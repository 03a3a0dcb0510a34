// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/drawing/drawing.h"
#include "fairhole/schedule/schedule.h"
#include "placement.h"

namespace fairhole::report {

/// A bush cut along its axis, as it leaves the lathe, to the scale that fits. Requires `bush.design`
/// (asserted) and a box of at least 90 x 45 mm.
void draw_bush(drawing::Drawing& on, const Box& box, const LayerBush& bush);

}  // namespace fairhole::report

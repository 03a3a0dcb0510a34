// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/drawing/drawing.h"
#include "fairhole/schedule/schedule.h"
#include "placement.h"

namespace fairhole::report {

/// One piece to turn, seen from the side, to the scale that fits; lengths from the underside of the head,
/// running. Requires `piece.turning` (asserted) and a box of at least 90 x 45 mm.
void draw_bolt(drawing::Drawing& on, const Box& box, const FastenerPiece& piece);

}  // namespace fairhole::report

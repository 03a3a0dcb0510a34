// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/drawing/drawing.h"
#include "fairhole/fasteners/head.h"

namespace fairhole::report {

/// The outline of a rivet's head about a level axis: its seat (the face of the work) at `seat_mm`, `outwards`
/// 1 to the right, -1 to the left. A countersunk head lies on the other side of its seat. Requires
/// `scale` above 0.
void draw_rivet_head(drawing::Drawing& on, const Eigen::Vector2d& seat_mm, double scale,
                     const fasteners::HeadSize& head, double shank_mm, double outwards,
                     const drawing::Stroke& stroke);

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/report/report_html.h"

/// How a part sits: where the drawing wants its holes, where they are, and how well that is known.
namespace fairhole::report {

/// The worst propagated accuracy of the pose at any hole of the pattern: the largest half axis of its 95 %
/// ellipse, and the hole. Nothing for an empty pattern. Never the fit's residual, which says nothing about
/// it.
struct WorstHole {
  HoleId hole;
  double half_axis_mm = 0.0;
};
std::optional<WorstHole> worst_hole(const JointFindings& joint);

/// Arrows from the drawing's place to the hole's own, enlarged, with their scale bar; the pose's 95 % ellipse
/// at the same enlargement; missing holes broken, extra holes named. In the plate's frame when the seat is
/// given, else in the face's. About `width_mm` wide.
drawing::Page draw_sitting(const JointFindings& joint, const SeatPlan* seat, double width_mm = 170.0);

/// Sentences: what matched, what is missing or extra, where the part sits, how well that is known.
std::vector<std::string> sitting_words(const JointFindings& joint, const SeatPlan* seat);

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "crescent.h"
#include "fairhole/drawing/drawing.h"
#include "fairhole/fairing/plan.h"

/// A stack seen enlarged: the old rims about the circle chosen for them.
namespace fairhole::report {

/// Letters of the parts, the same all through a report: "A", "B", ..., "Z", "AA", ... in the order of first
/// use.
using Letters = std::map<std::string, std::string>;
Letters part_letters(const Plan& plan);

/// An old rim of a layer in the plate's frame, relative to the stack's centre; nothing for the new plate or a
/// hole without a measured diameter. Ovals are the hull of two discs.
std::optional<Rim> old_rim_of(const LayerPlan& layer);

/// Enlarges what does not fit and nothing else: every offset from the stack's centre and every difference of
/// radius from the chosen circle grow k times, the chosen circle stays. A rim that stands out beyond the
/// circle does so in the picture, one that lies inside lies inside: |m| + r <= R is k|m| + (R + k (r - R)) <=
/// R.
Rim enlarged(const Rim& rim, double circle_radius_mm, double k);

/// The largest of 1, 2, 5, 10, 20, 50, 100 at which the misfits of the stack still leave a likeness of the
/// holes.
double misfit_enlargement(const StackPlan& stack);

struct MoonOptions {
  double size_mm = 62.0;  ///< width of the picture
  bool words = true;      ///< letters, enlargement and scale bar; without them a small likeness
};

/// New circle solid and heavy (broken when doubtful), old rims as fine double lines with their letters,
/// hatching rising to the right, close: old hole left outside; falling to the right, wide: metal taken away;
/// the outside of a bush as a thin broken circle; the 95 % ellipse of each old centre at the same
/// enlargement; "misfit x 10" with a scale bar.
drawing::Page draw_moon(const StackPlan& stack, const Letters& letters, const MoonOptions& options = {});

/// How far old hole stands out beyond the circle chosen for its layer, in the worst layer; 0 when all clean
/// up.
double worst_overhang_mm(const StackPlan& stack);

}  // namespace fairhole::report

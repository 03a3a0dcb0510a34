// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/layout/layout.h"
#include "plate_view.h"

/// Running ordinates from the two datum edges: every figure is measured from the edge itself, never from hole
/// to hole.
namespace fairhole::report {

/// One figure along a datum edge and the holes that lie on it.
struct Ordinate {
  double mark_mm = 0.0;  ///< rounded, as marked
  std::string figure;    ///< "412.5" or "412.5 (16 15/64)"
  std::string holes;     ///< "A3 A7"
};

/// Ascending; holes whose rounded marks agree share one figure. `axis` 0: x, 1: y.
std::vector<Ordinate> collect_ordinates(const PlateLayout& layout, int axis);

/// Room that the figures of one axis need beside the plate, and how they are ranked.
struct OrdinateFit {
  int ranks = 1;
  double edge_mm = 0.0;           ///< paper coordinate of the plate's edge, across the axis
  double depth_mm = 0.0;          ///< from the plate's edge to the far end of the words
  std::vector<double> places_mm;  ///< paper coordinate along the edge, one a figure
};

/// `edge_mm`: see OrdinateFit. Figures of capital height `text_mm` between the paper coordinates low and
/// high; nothing when they do not fit.
std::optional<OrdinateFit> fit_ordinates(const std::vector<Ordinate>& ordinates, const View& view, int axis,
                                         double text_mm, double edge_mm, double low_mm, double high_mm);

/// Draws one axis: the datum's nought with its small circle, an arrow at every figure, jogged leaders, the
/// words. x goes below the plate reading upwards, y to the left of it.
void draw_ordinates(drawing::Drawing& on, const std::vector<Ordinate>& ordinates, const OrdinateFit& fit,
                    const View& view, int axis, double text_mm);

}  // namespace fairhole::report

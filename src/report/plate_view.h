// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/layout/layout.h"
#include "placement.h"

/// A new plate drawn to scale: outline, datum edges, joint line, keep-outs, holes with their labels.
namespace fairhole::report {

/// Plate frame to paper: paper = origin + scale * plate.
struct View {
  double scale = 1.0;
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();

  Eigen::Vector2d operator()(const Eigen::Vector2d& plate_mm) const { return origin_mm + scale * plate_mm; }
};

/// The scales a sheet is drawn to, largest first, as "1 : n".
const std::vector<double>& scale_denominators();
std::string scale_words(double denominator);

/// Least box of the outline, plate frame, with the datum corner (0, 0) in it.
Box plate_extent(const PlateLayout& layout);

/// Outline, datum edges (heavy, ticks on the inside), joint line, keep-outs. The words' boxes go to `words`.
void draw_plate(drawing::Drawing& on, const PlateLayout& layout, const View& view, double text_mm,
                std::vector<Box>& words);

/// A hole as it will be drilled: solid and heavy the circle cut on the bench; where it is finished in place,
/// that is the pilot, and a fine circle about it shows the finish diameter. Look again or undecided: broken.
/// Pinned: a nail's head.
void draw_hole(drawing::Drawing& on, const LaidHole& hole, const View& view);
/// Radius on paper that the hole's symbol covers.
double symbol_radius_mm(const LaidHole& hole, const View& view);

/// Labels of the holes, clear of one another, of the holes and of `taken`, smaller where they crowd; the
/// locating holes' in a frame. A label that finds no free place is not drawn: returns false when there is
/// one.
bool label_holes(drawing::Drawing& on, const PlateLayout& layout, const View& view, double text_mm,
                 const Box& region, const std::vector<Box>& taken);

/// What the kinds of line mean, those that occur on this plate, in rows from `left_mm` down, none wider
/// than `width_mm`; `all_labelled` as label_holes told.
void draw_legend(drawing::Drawing& on, const PlateLayout& layout, const Eigen::Vector2d& left_mm,
                 double width_mm, double text_mm, bool all_labelled);

}  // namespace fairhole::report

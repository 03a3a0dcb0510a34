// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/layout/layout.h"
#include "placement.h"

/// What DXF and template say at full size, in the plate's frame.
namespace fairhole::report {

struct HoleLabel {
  drawing::Text text;
  std::optional<std::pair<Eigen::Vector2d, Eigen::Vector2d>> leader;  ///< where the label stands far off
};

/// "A1  dia 22.23", with the state where somebody must look: one label a hole, none over another, inside
/// `region` and off every hole's witness circle. `stretch`: how much wider than ours the reader's letters may
/// be.
std::vector<HoleLabel> label_holes(const PlateLayout& layout, const Box& region, double height_mm,
                                   double stretch = 1.0);

/// "LEFT   marked face: outer, seen looking at it".
std::string face_words(const PlateLayout& layout);

/// The upright box about the plate's outline and holes.
Box outline_box(const PlateLayout& layout);

/// Radius about a hole's centre that its circles take up.
double reach_mm(const LaidHole& hole);

bool doubtful(const LaidHole& hole);

/// Words along the line a-b on the side away from `middle`.
drawing::Text beside_joint(const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm,
                           const Eigen::Vector2d& middle_mm, const std::string& words, double height_mm);

}  // namespace fairhole::report

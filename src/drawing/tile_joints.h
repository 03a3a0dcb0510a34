// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <utility>
#include <vector>

#include "fairhole/drawing/tiles.h"

namespace fairhole::drawing {

/// Where two neighbouring sheets meet: the line in the middle of their overlap, with gaps where it would come
/// into a kept-clear circle, and the places of the match marks. Drawing mm; made once for both sheets, so
/// that they agree.
struct Joint {
  std::size_t under = 0, over = 0;  ///< tiles: the left or lower one lies under
  bool upright = false;             ///< between left and right
  Eigen::Vector2d start_mm = Eigen::Vector2d::Zero(), end_mm = Eigen::Vector2d::Zero();
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> pieces_mm = {};
  std::vector<Eigen::Vector2d> marks_mm = {};
};

/// Half the length of a match mark's arms.
inline constexpr double kMatchArmMm = 4.0;

std::vector<Joint> find_joints(const TileLayout& layout, const TileOptions& options,
                               const std::vector<Circle>& keep_clear_mm);

}  // namespace fairhole::drawing

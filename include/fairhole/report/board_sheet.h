// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"

namespace fairhole {

/// A scale board as plain marks on paper: what it is for is its maker's business. mm, origin at the sheet's
/// lower left corner.
struct BoardSheet {
  struct Rectangle {
    Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), high_mm = Eigen::Vector2d::Zero();
    bool black = true;
  };
  struct Bar {
    bool along_x = true;
    Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();
    double length_mm = 0.0;
  };
  std::string name;
  double width_mm = 0.0, height_mm = 0.0;
  std::vector<Rectangle> rectangles = {};  ///< painted in this order
  std::vector<Bar> bars = {};
  /// Room for name and words.
  Eigen::Vector2d words_low_mm = Eigen::Vector2d::Zero(), words_high_mm = Eigen::Vector2d::Zero();
};

/// The sheet with its check bars ("measure me"), its name, and how to use it.
drawing::Page board_page(const BoardSheet& sheet);

}  // namespace fairhole

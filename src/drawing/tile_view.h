// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/drawing/tiles.h"

namespace fairhole::drawing {

/// Room inside the margins that the window leaves to the title strip (foot) and the y bar (left). What stands
/// in the strips keeps kStripAirMm from the window, so that it is never near a punch point at the window's
/// edge.
inline constexpr double kStripAirMm = 2.2;
inline constexpr double kFootStripMm = 27.0;
inline constexpr double kLeftStripMm = 12.0;

/// From the drawing to a tile's paper: printer correction, mirror, shift.
class TileView {
 public:
  TileView(const Tile& tile, const TileLayout& layout, const TileOptions& options);

  const Box& window() const { return window_; }  ///< on the paper
  Eigen::Vector2d operator()(const Eigen::Vector2d& drawing_mm) const;
  Shape operator()(const Shape& shape) const;
  double scale_x() const { return scale_.x(); }
  double scale_y() const { return scale_.y(); }

 private:
  Shape carried(const Line& s) const;
  Shape carried(const Circle& s) const;
  Shape carried(const Arc& s) const;
  Shape carried(const Ellipse& s) const;
  Shape carried(const Polyline& s) const;
  Shape carried(const Text& s) const;
  double turned(double angle_rad) const;

  bool mirrored_;
  Eigen::Vector2d scale_;   ///< x negative when mirrored
  Eigen::Vector2d origin_;  ///< where the drawing's origin falls on the paper
  Box window_;
};

}  // namespace fairhole::drawing

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "fairhole/geometry/pose.h"
#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// The face as seen from straight above, at one scale: photographs carried onto the metal.
namespace fairhole::photo {

/// Grey as a file shows it (sRGB), row by row from the top; outside every photograph it is white.
struct FlatPicture {
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero();  ///< lower left corner, in the frame asked for
  double mm_per_px = 0.0;
  int width_px = 0, height_px = 0;
  std::vector<std::uint8_t> grey;

  Eigen::Vector2d high_mm() const { return low_mm + mm_per_px * Eigen::Vector2d(width_px, height_px); }
};

/// Paints the box from `low_mm` to `high_mm` of a frame on the face, `world_from_frame` leading to the Views'
/// world. Each point comes from the photograph that shows it largest. What stands above or below the face is
/// displaced. Requires high above low, and mm_per_px above 0.
FlatPicture flatten(std::span<const Picture> pictures, std::span<const View> views,
                    const Motion& world_from_frame, const Eigen::Vector2d& low_mm,
                    const Eigen::Vector2d& high_mm, double mm_per_px);

/// As a JPEG file. `quality` 1..100.
std::string encode_jpeg(const FlatPicture& picture, int quality);

}  // namespace fairhole::photo

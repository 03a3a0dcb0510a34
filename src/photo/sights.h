// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "fairhole/photo/adjust.h"

namespace fairhole::photo {

/// The boards' markers found in a picture and their edges measured, each marker from its own rough corners.
/// Problems: kPhotoNoBoard, kPhotoMirrored, kPhotoWrongBoard, kPhotoBoardsAlike, kPhotoBlurred.
Result<BoardSights> sight_boards(const Picture& picture, std::span<const Board> boards);

/// The edges of all placed boards measured anew where `view` expects them: lens and perspective known, so
/// that also what no marker search finds is seen, and sides bowed by the lens are followed.
struct ExpectedBoard {
  int index = 0;
  const Board* board = nullptr;
  /// A designed point in the world.
  Eigen::Matrix2d world_from_board = Eigen::Matrix2d::Identity();
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();
  double lift_mm = 0.0;
};
std::vector<EdgeSight> measure_edges(const Picture& picture, const View& view,
                                     std::span<const ExpectedBoard> boards);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <span>
#include <vector>

#include "fairhole/photo/adjust.h"

namespace fairhole::photo {

/// Polygons of a picture that the boards hide. Of a rubbing (`each_print`) every print by itself, for its
/// marks lie between.
std::vector<std::vector<Eigen::Vector2d>> covered_by_boards(std::span<const Board> boards,
                                                            std::span<const PlacedBoard> placed,
                                                            const View& view, bool each_print);

}  // namespace fairhole::photo

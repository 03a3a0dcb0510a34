// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// Centres marked on a sheet without a rim: a cross of two pencil strokes, or a pricked dot.
namespace fairhole::photo {

struct Prick {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();  ///< on the sheet
  Eigen::Matrix2d cov_mm2 = Eigen::Matrix2d::Zero();    ///< of the picture's noise and the strokes' wander
  bool cross = false;  ///< two strokes with arms on all four sides; else a dot, which dirt may be as well
};

/// Small ink on clean paper, with nothing else dark within 3 mm of it: print and writing stand closer.
/// `masked_px`: polygons of the picture where nothing is sought.
std::vector<Prick> find_pricks(const Picture& picture, const View& view,
                               const std::vector<std::vector<Eigen::Vector2d>>& masked_px);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/find_holes.h"
#include "fairhole/photo/picture.h"

/// Where circular edges may be, over the whole picture, without hints: every edge of a reduced picture votes,
/// laid on the face, for the centres it could belong to.
namespace fairhole::photo {

struct Candidate {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double cover = 0.0;  ///< share of the circle's directions in which an edge of its direction was met
};

/// `masked_px`: polygons of the picture where nothing is sought (the printed board). The best first.
std::vector<Candidate> find_candidates(const Picture& picture, const View& view, double least_radius_mm,
                                       double largest_radius_mm,
                                       const std::vector<std::vector<Eigen::Vector2d>>& masked_px);

/// At each hint in every size that may be expected, wherever it lies.
std::vector<Candidate> candidates_at_hints(const HoleSearch& search);

}  // namespace fairhole::photo

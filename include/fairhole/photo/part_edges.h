// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/picture.h"

/// Straight edges of the part in a picture, for datum edges. All on the face (the world's z = 0), mm.
namespace fairhole::photo {

struct PartEdge {
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();  ///< its ends as seen
  double offset_sigma_mm = 0.0;                                                    ///< across, at its middle
  double turn_sigma_rad = 0.0;
  /// How far its middle stands off the chord of its ends, positive to the left of a -> b.
  double bow_mm = 0.0;
  double bow_sigma_mm = 0.0;
  double seen_share = 0.0;  ///< of its length
};

/// The nearest long straight edges that leave all `holes_mm` on one side: those of a part whose holes these
/// are, at most one in each of the directions it finds. The holes lie on the left of a -> b. `masked_px` as
/// in HoleSearch. An edge that lies lower than the face (a round corner, the bench) is measured as if it were
/// on it; whoever uses it should look at the picture. Longest first.
std::vector<PartEdge> find_part_edges(const Picture& picture, const View& view,
                                      const std::vector<Eigen::Vector2d>& holes_mm,
                                      const std::vector<std::vector<Eigen::Vector2d>>& masked_px);

}  // namespace fairhole::photo

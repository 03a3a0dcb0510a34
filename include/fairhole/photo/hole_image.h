// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

/// What one photograph says of one hole, before the photographs are adjusted together.
namespace fairhole::photo {

/// What was seen: a bore in metal, or a mark on a rubbing. A prick is a centre alone, without a diameter (0).
enum class MarkKind { kHole, kDisc, kRing, kRub, kPrick };

/// One hole in one photograph, fitted with a known View. Frames: pixels as in camera.h; "face" is the world's
/// plane z = 0 of that View. 1-sigma values of the image noise alone: what the camera adds is the
/// adjustment's business.
struct HoleImage {
  int photo = 0;  ///< index of the picture
  /// Where the bore's axis meets the metal's face (for a mark on a sheet its centre), in the picture.
  Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
  Eigen::Matrix2d pixel_cov_px2 = Eigen::Matrix2d::Zero();
  Eigen::Vector2d face_mm = Eigen::Vector2d::Zero();  ///< the same point on the face, through the View used
  MarkKind kind = MarkKind::kHole;
  double bore_diameter_mm = 0.0;  ///< mean of longest and shortest
  double bore_sigma_mm = 0.0;
  double rim_diameter_mm = 0.0;  ///< chamfered or worn rim at the face; the bore's where there is none
  double rim_sigma_mm = 0.0;
  double oval_mm = 0.0;              ///< longest less shortest bore diameter; 0 for round
  double oval_axis_rad = 0.0;        ///< direction of the longest on the face, counter-clockwise from x
  bool doubtful = false;             ///< may be no hole, or not well measured
  std::vector<std::string> reasons;  ///< why doubtful, in a fitter's words; also remarks
};

}  // namespace fairhole::photo

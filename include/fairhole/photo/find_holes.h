// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "fairhole/photo/camera.h"
#include "fairhole/photo/hole_image.h"
#include "fairhole/photo/picture.h"

/// Holes found in one picture without being told where, and measured. docs/photo-holes.md.
namespace fairhole::photo {

struct HoleSearch {
  /// Of bores and rims; the default spans riveted work.
  double least_diameter_mm = 5.0;
  double largest_diameter_mm = 60.0;
  /// Diameters to expect, if known: others are still reported, but as doubtful.
  std::vector<double> expected_mm = {};
  /// Rough places on the face (nominal holes, clicks): looked at whatever the search finds.
  std::vector<Eigen::Vector2d> hints_mm = {};
  /// Polygons of the picture, corners in turn, where nothing is sought: the printed boards.
  std::vector<std::vector<Eigen::Vector2d>> masked_px = {};
  int photo = 0;  ///< goes into the results
};

/// All holes of the picture whose rim lies wholly inside it, in order of x, then y on the face. What may be
/// no hole is among them, marked doubtful with the reason. Covariances are of the picture's noise and of what
/// the rim's shape leaves open (chamfer depth, torn edges), with the View taken as exact.
std::vector<HoleImage> find_holes(const Picture& picture, const View& view, const HoleSearch& search);

}  // namespace fairhole::photo

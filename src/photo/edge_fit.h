// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>

#include "fairhole/photo/picture.h"

/// One straight printed edge in a picture, fitted as what it is: a step between ink and paper, blurred, in
/// linear light.
namespace fairhole::photo {

/// Where an edge is expected. Going from a to b (as seen in the picture) the ink lies on the right.
struct EdgeGuess {
  Eigen::Vector2d a_px = Eigen::Vector2d::Zero(), b_px = Eigen::Vector2d::Zero();
  double bow_px = 0.0;     ///< how far the lens bends its middle towards the light
  double clear_px = 0.0;   ///< nothing else is printed within this distance of it
  double search_px = 0.0;  ///< how far off it may lie
};

/// Where the edge really passes: its distance from the guess, towards the light, at two of its points. The
/// points are chosen so that the errors of the two do not correlate: for a line fitted to evenly spread data
/// they are Gauss's, 1/sqrt(3) of the half length from the middle.
struct EdgeFit {
  struct At {
    double along = 0.0;  ///< from a (0) to b (1)
    double offset_px = 0.0;
    double sigma_px = 0.0;  ///< of the picture's noise alone
  };
  At first, second;
  double blur_px = 0.0;      ///< sigma of the blur
  double contrast = 0.0;     ///< paper less ink, linear light
  bool overexposed = false;  ///< the paper is white without shades, how light is not known
};

/// Unit normal of a guess, towards the light.
Eigen::Vector2d towards_light(const EdgeGuess& guess);

/// Least squares over the pixels of a band along the edge, ends left out (there the corner bends the blur):
///   light = ink + (paper - ink) * Phi((distance - offset - tilt * s) / blur),
/// ink and paper each linear in s. Where a lens has blurred the edge, a pixel as white as a file can say
/// agrees with whatever is lighter. Absent where no such edge is to be seen: too short, too near the
/// picture's border, no contrast, or another shape.
std::optional<EdgeFit> fit_edge(const Picture& picture, const EdgeGuess& guess);

}  // namespace fairhole::photo

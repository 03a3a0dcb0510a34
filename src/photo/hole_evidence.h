// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "mouth_search.h"
#include "rim_fit.h"

/// What speaks for a circle being the mouth of a hole.
namespace fairhole::photo {

struct HoleEvidence {
  double inside = 0.0;      ///< median light within the bore
  double darkest = 0.0;     ///< its lowest tenth
  double brightest = 0.0;   ///< its highest tenth
  double outside = 0.0;     ///< median light of the face about the rim
  double unrest = 0.0;      ///< robust sd of that light
  double step_share = 0.0;  ///< of the rim's directions: bore and face differ clearly across it
  double far_end = 0.0;     ///< cover of the bore's far end, where it can show
  double far_depth_mm = 0.0;
  double dome = 0.0;     ///< share of the directions in which the middle is clearly lighter than the edge
  double hexagon = 0.0;  ///< cover of a hexagon about the circle
};

/// The far end of a bore is the same circle deeper down: smaller, and moved towards the camera's foot. It
/// shows only inside the near one. The depth at which most of its directions that can be seen meet an edge.
struct FarEnd {
  double cover = 0.0, depth_mm = 0.0;
};
FarEnd seek_far_end(const View& view, const Mouth& mouth, const RayEdges& rays);

/// The highest tenth of the light within a circle's inner four fifths.
double brightest_within(const Picture& picture, const View& view, const Mouth& mouth);

HoleEvidence gather_evidence(const Picture& picture, const View& view, const RimFit& fit,
                             const RayEdges& rays);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "rim_fit.h"

namespace fairhole::photo {

/// What a mouth's ideal shape leaves out, over the noise that the fit saw itself: a chamfer that is not quite
/// even in width and light, a burr that draws the rim out. Both move the rim against the bore's edge, and so
/// the depth between them, which seen at an angle is a shift of the axis. 1-sigma.
struct ShapeDoubt {
  Eigen::Matrix2d centre_cov_mm2 = Eigen::Matrix2d::Zero();  ///< on the face
  double diameter_mm = 0.0;
};

ShapeDoubt shape_doubt(const View& view, const RimFit& fit);

}  // namespace fairhole::photo

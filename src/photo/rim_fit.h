// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "rim_lines.h"

/// Fits a mouth to the light itself: along each of many lines across the rim the picture is three levels
/// (bore, chamfer, face) joined by two blurred steps. The levels are free on every line, the steps' places
/// follow from the mouth. docs/photo-holes.md.
namespace fairhole::photo {

using FitMatrix = Eigen::Matrix<double, kFitUnknowns, kFitUnknowns>;
using FitVector = Eigen::Matrix<double, kFitUnknowns, 1>;

struct RimFitOptions {
  bool chamfer = true;           ///< false: one edge only, width and depth stay 0
  bool flat = false;             ///< both edges lie on the face: a drawn line
  double depth_per_width = 1.0;  ///< of a chamfer, where the picture does not tell
  double start_blur_px = 1.0;
  int most_steps = 15;
  int most_lines = 200;
  double settled_px = 3e-3;  ///< a smaller step is the last
};

struct RimFit {
  Mouth mouth;
  double blur_px = 0.0;
  FitMatrix covariance = FitMatrix::Zero();        ///< with noise that is correlated along the rim
  double noise = 0.0;                              ///< of one sample about the model, in light
  double inside = 0.0, ring = 0.0, outside = 0.0;  ///< median levels
  double clear_share = 0.0;  ///< of the lines across the bore's edge: the step stands out of the noise
  double torn_px = 0.0;      ///< how far the bore's edge wanders about the fitted shape, robust 1-sigma
  double rim_torn_px = 0.0;  ///< the same of the rim
  bool settled = false;
};

/// `start` must be right to about two blurs. Absent when the rim leaves the picture or the fit runs away.
std::optional<RimFit> fit_rim(const Picture& picture, const View& view, const Mouth& start,
                              const RimFitOptions& options);

/// 1-sigma of a chamfer's depth about what its width lets expect.
double depth_sd_mm(double usual_mm);

}  // namespace fairhole::photo

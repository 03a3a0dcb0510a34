// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "fairhole/photo/picture.h"
#include "rim_model.h"

/// The light along lines across a rim, and the blurred steps that explain it.
namespace fairhole::photo {

/// Unknowns of the fit: those of the mouth and ln of the blur.
inline constexpr int kLnBlur = kMouthUnknowns;
inline constexpr int kFitUnknowns = kMouthUnknowns + 1;

/// Which steps a line crosses. Where the chamfer is wide each edge has a line of its own, so that a torn rim
/// does not spoil the bore's edge.
enum class LineKind { kBoth, kBore, kRim };

struct RimLine {
  LineKind kind = LineKind::kBoth;
  double angle = 0.0;  ///< on the face
  double first_px = 0.0;
  Eigen::VectorXd light;  ///< every kSampleStepPx from first_px along the probe
  int steps = 0;          ///< 1 or 2
  std::array<Crossing, 2> at;
};
inline constexpr double kSampleStepPx = 0.7;
inline constexpr int kMostSamples = 160;  ///< of a line; a longer one is not taken

/// How far beyond the edges the light is looked at.
struct LineWindow {
  double inward_px = 0.0;
  double outward_px = 0.0;
  bool split = true;  ///< give each edge its own line where the chamfer is wide enough
};
/// Enough for the levels on both sides of a step to show.
double reach_px(double blur_px);

/// The lines at one angle: one or two, none where the rim leaves the picture.
std::vector<RimLine> take_lines(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer,
                                double blur_px, const LineWindow& window, double angle);

/// What a line says once its levels are solved for, by least squares.
struct LineFit {
  Eigen::Vector3d levels = Eigen::Vector3d::Zero();  ///< from inside to outside; `steps` + 1 of them
  Eigen::VectorXd misfit;
  /// d model / d unknown, without the part that the levels take up (variable projection, Kaufman 1975).
  Eigen::Matrix<double, Eigen::Dynamic, kFitUnknowns> slope;
  /// The same by what was expected of the chamfer's level.
  Eigen::VectorXd slope_by_expected;
  double shift_px = 0.0;  ///< how far the line alone would move its steps
};

/// What a line's neighbours say of the chamfer's level; needed where the chamfer is as narrow as the blur.
struct ChamferLevel {
  double expected = 0.0, spread = 1.0;
  double noise = 1e-3;  ///< of one sample
};

LineFit solve_line(const RimLine& line, double blur_px, const ChamferLevel& chamfer);

}  // namespace fairhole::photo

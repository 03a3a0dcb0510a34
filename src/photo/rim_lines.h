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

/// What a line crosses, from inside to outside.
enum Level { kGround, kWall, kChamfer, kFace, kLevels };

/// Which edges a line crosses. Where the chamfer is wide each edge has a line of its own, so that a torn rim
/// does not spoil the bore's edge.
enum class LineKind { kBoth, kBore, kRim };

inline constexpr double kSampleStepPx = 0.7;
inline constexpr int kMostSamples = 160;  ///< of a line; a longer one is not taken
inline constexpr int kMostSteps = 3;

struct RimLine {
  LineKind kind = LineKind::kBoth;
  double angle = 0.0;     ///< on the face
  double first_px = 0.0;  ///< along the probe; further samples every kSampleStepPx
  int samples = 0;
  int steps = 0;
  std::array<Level, kMostSteps + 1> level{kWall, kFace};  ///< before the first step, after it, ...
  std::array<Crossing, kMostSteps> at;
  std::array<double, kMostSamples> light;
};

/// How far beyond the edges the light is looked at.
struct LineWindow {
  double inward_px = 0.0;
  double outward_px = 0.0;
  bool split = true;  ///< give each edge its own line where the chamfer is wide enough
};
/// Enough for the levels on both sides of a step to show.
double reach_px(double blur_px);

/// The lines at one angle: one or two, none where the rim leaves the picture. They replace what `lines` held.
void take_lines(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer, double blur_px,
                const LineWindow& window, double angle, std::vector<RimLine>& lines);

/// What is known of a level beforehand.
struct LevelTie {
  double expected = 0.0;
  double weight = 0.0;  ///< variance of a sample over that of the level about it; 0: nothing is known
};
using LevelTies = std::array<LevelTie, kLevels>;

/// What a line says once its levels are solved for, by least squares: the equations of what is left
/// (variable projection, Kaufman 1975), for samples of variance 1.
struct LineFit {
  LineKind kind = LineKind::kBoth;
  double angle = 0.0;
  int samples = 0, steps = 0;
  std::array<Level, kMostSteps + 1> level{};
  std::array<double, kLevels> levels{};               ///< those the line crosses
  std::array<double, kLevels> level_variances{};      ///< theirs, of the line alone and its ties
  double squares = 0.0;                               ///< of the misfit, ties included
  double flat_squares = 0.0;                          ///< of the light about its mean
  double shift_px = 0.0;                              ///< how far the line alone would move its steps
  Eigen::Matrix<double, kMostSteps + 1, 1> gradient;  ///< by the steps' places and ln of the blur
  Eigen::Matrix<double, kMostSteps + 1, kMostSteps + 1> normal;
  std::array<Eigen::Matrix<double, 1, kMouthUnknowns>, kMostSteps> place_by_unknown;
  Eigen::Matrix<double, kMostSteps + 1, kLevels> cross;
  Eigen::Matrix<double, kLevels, kLevels> tie_normal;
  Eigen::Matrix<double, kLevels, 1> tie_gradient;
};

LineFit solve_line(const RimLine& line, double blur_px, const LevelTies& ties);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "rim_fit.h"

/// One pass over a rim: its lines looked at with the mouth as it stands, and their equations summed.
namespace fairhole::photo {

inline constexpr std::size_t kRimSectors = 24;
inline constexpr std::size_t kLineKinds = 3;

inline constexpr int kAll = kFitUnknowns + kLevels;
using AllMatrix = Eigen::Matrix<double, kAll, kAll>;
using AllVector = Eigen::Matrix<double, kAll, 1>;

/// What a fit knows between two passes.
struct RimState {
  Mouth mouth;
  double ln_blur = 0.0;
  std::array<double, kRimSectors> chamfer{};  // light of the chamfer
  LevelTies ties{};                           // of the other levels
  double noise = 0.0, contrast = 0.0;         // as last seen
  double far_depth_mm = 0.0;                  // of the start
};

/// Everything one pass over the rim finds.
struct RimPass {
  std::vector<LineFit> fits;
  std::vector<double> weights;             // of each line, 1 / variance
  std::array<double, kLineKinds> noise{};  // by kind of line
  double contrast = 0.0;
  /// The mouth, the blur and what the levels tied all round are expected to be; the sectors' chamfer levels
  /// eliminated.
  AllMatrix normal = AllMatrix::Zero();
  AllVector gradient = AllVector::Zero();
  /// Each sector's share before elimination: what its chamfer level has to do with the unknowns.
  struct Sector {
    AllVector cross = AllVector::Zero();
    double weight = 0.0, pull = 0.0;
    AllVector gradient = AllVector::Zero();
  };
  std::array<Sector, kRimSectors> sectors{};
};

/// The first guess, from what lines show by themselves.
RimState start_state(const Picture& picture, const View& view, const Mouth& start,
                     const RimFitOptions& options);

/// Absent where less than half of the lines can be looked at.
std::optional<RimPass> run_pass(const Picture& picture, const View& view, const RimState& state,
                                const RimFitOptions& options);

/// Each level tied all round as closely as the lines agree on it.
void tie_levels(const RimPass& pass, RimState& state);

/// How far a line's light changes from its first level to its last.
double step_of(const LineFit& fit);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "evidence.h"

namespace fairhole {

/// A pose worth refining, and how well it is known.
struct Start {
  Motion pose;
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();  ///< at the pattern's origin
  double score = 0.0;                             ///< about its log evidence, on one scale for all starts
};

struct SearchOptions {
  std::optional<bool> mirrored;      ///< both hands where not stated
  const PosePrior* place = nullptr;  ///< look within six sigma of it only; it counts in the score
  int most_poses = 0;
};

struct SearchResult {
  std::vector<Start> starts;  ///< best first, each place once
  bool complete = true;
};

/// Every pose whose evidence can come within a thousandth of the best one's. A pair of measured holes and a
/// pair of drawn ones of like length make a pose; measured pairs are tried in the order of EdgeOrder until no
/// pose not yet found could explain enough holes.
SearchResult find_starts(const Scene& scene, const SearchOptions& options);

/// Poses at which the pattern nearly lies on itself, carried by `best`: shifted by pitches, turned, mirrored.
/// A second way to rivals, which does not hang on where the measured holes scattered to.
SearchResult by_symmetry(const Scene& scene, const Candidate& best, int most_poses);

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "lookup.h"

namespace fairhole {

/// Holes are numbered by int, for differences; containers by std::size_t.
inline std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// The points to be brought together. Covariance of the measured points: `full` (2n x 2n) or, when that is
/// empty, each point's own block.
struct PointSets {
  std::vector<Eigen::Vector2d> nominal_mm;
  std::vector<Eigen::Vector2d> measured_mm;
  std::vector<Eigen::Matrix2d> blocks_mm2;
  Eigen::MatrixXd full_mm2;
  NominalGrid grid;  ///< over `nominal_mm`
};

}  // namespace fairhole

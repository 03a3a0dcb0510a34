// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/inspection/inspection.h"

namespace fairhole::inspection {

inline constexpr double kGuardSigmas = 2.0;

/// A planned hole and the measured one that is it.
struct Pair {
  std::size_t planned = 0, measured = 0;
};

Result<std::vector<Pair>> pair_holes(const PlannedPlate& plan, const MeasuredFace& measured,
                                     MeasuredIn measured_in);

struct Offsets {
  Eigen::VectorXd mm;  ///< x, y of every pair
  Eigen::MatrixXd cov_mm2;
};
/// Measured less planned, in the plate's frame, with the covariance of these very numbers.
Result<Offsets> offsets_of(const PlannedPlate& plan, const MeasuredFace& measured,
                           const std::vector<Pair>& pairs, MeasuredIn measured_in);

/// What to do about a hole that has its verdicts; `planned.mates` as they really are.
std::string remedy_for(const PlannedHole& planned, const HoleVerdict& hole, Stage stage);

}  // namespace fairhole::inspection

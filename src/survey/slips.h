// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/survey/survey.h"
#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Share of slips among all readings; of "an edge for the centre" (one radius, either way) among slips.
inline constexpr double kGrossShare = 0.02;
inline constexpr double kEdgeShare = 0.10;

/// A slip with a tape that has a size of its own, reading less truth, and its share of all slips.
struct TapeSlip {
  const char* name;
  double size_mm;
  double share;
};
const std::vector<TapeSlip>& tape_slips();

/// Density (1/mm) of slips without a name at this size; integrates to their share of all slips.
double unnamed_density(double error_mm);

/// A reading under suspicion, and the adjustment without it.
struct LeftOut {
  int observation;
  const Solution* without;
};

/// The best slip for each of the observations under one suspicion: one rejected observation, or several of
/// which any one may be wrong. Posterior over all (observation, slip) pairs, mere scatter and some other
/// gross error:
///   prior x N(e - size; 0, V), with e the reading less its prediction from the other readings and V the
///   variance of e. Empty where no named slip is worth telling.
std::vector<std::optional<Slip>> explain(const Model& model, const Columns& columns,
                                         const std::vector<LeftOut>& suspects);

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "candidates.h"
#include "hole_evidence.h"
#include "mouth_account.h"

namespace fairhole::photo {

/// A candidate looked at in full resolution.
struct MeasuredMouth {
  RimFit fit;
  double bore_cover = 0.0;  ///< of the ring the fit started from
  Account account = {};
  /// What other mouths that the light does not quite rule out add to the fit's covariance.
  FitMatrix rival_covariance = FitMatrix::Zero();
  RayEdges rays;  ///< about it, to gather evidence from
  HoleEvidence evidence = {};
};

/// ln of the odds that `a` and not `b` is the mouth where both claim one place.
double ln_odds(const Picture& picture, const View& view, const RimFit& a, const RimFit& b);

/// Absent where no ring is good enough. Its evidence is yet to be gathered.
std::optional<MeasuredMouth> measure_mouth(const Picture& picture, const View& view,
                                           const Candidate& candidate);

}  // namespace fairhole::photo

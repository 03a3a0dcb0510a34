// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "candidates.h"
#include "hole_evidence.h"

namespace fairhole::photo {

/// A candidate looked at in full resolution.
struct MeasuredMouth {
  RimFit fit;
  double bore_cover = 0.0;  ///< of the ring the fit started from
  double explained = 0.0;
  HoleEvidence evidence;
};

/// Absent where no ring is good enough.
std::optional<MeasuredMouth> measure_mouth(const Picture& picture, const View& view,
                                           const Candidate& candidate);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "measure_mouth.h"

namespace fairhole::photo {

/// What a measured circle is taken for.
struct Verdict {
  bool report = true;  ///< false: not even a doubtful hole (texture, a stain's border)
  /// Why it may be no hole, or is not well measured; empty for a hole.
  std::vector<std::string> doubts;
};

/// A hole is asserted only on evidence of depth (deep shade, or the bore's far end seen through parallax) and
/// a step all round; what fits a circle without it is doubtful.
Verdict judge(const MeasuredMouth& mouth, double px_per_mm);

}  // namespace fairhole::photo

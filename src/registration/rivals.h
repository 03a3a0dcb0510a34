// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "evidence.h"

namespace fairhole {

struct Difference {
  std::string how;         ///< "one pitch, 76.2 mm, further along"
  std::string tell_apart;  ///< "measure the end distance or name one hole"
};

/// How a rival lies against the best pose, as a fitter says it: in terms of the drawing, turns taken about
/// the middle of the drawn holes that were found.
Difference difference(const Candidate& best, const Motion& rival,
                      const std::vector<Eigen::Vector2d>& nominal_mm);

/// Drawn holes that measured ones may be instead, all other pairs left as they are and the pose adjusted
/// anew; odds above `least`.
std::vector<Swap> find_swaps(const Scene& scene, const Candidate& best, const Pattern& pattern,
                             const MeasuredFace& face, double least);

}  // namespace fairhole

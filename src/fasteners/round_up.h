// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

namespace fairhole::fasteners {

inline constexpr double kRoundingMm = 1e-9;

/// The next whole step from a length up; a length that is one already stays.
inline double up_to(double step_mm, double length_mm) {
  return std::ceil((length_mm - kRoundingMm) / step_mm) * step_mm;
}

}  // namespace fairhole::fasteners

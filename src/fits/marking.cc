// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/marking.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace fairhole {

PunchMarks punch_marks(double finish_mm, double first_drill_mm) {
  assert(std::isfinite(finish_mm) && finish_mm > 0.0 && std::isfinite(first_drill_mm) &&
         first_drill_mm > 0.0);
  const double over_mm = finish_mm <= 12.0 ? 3.0 : 6.0;
  return {std::clamp(first_drill_mm / 4.0, 1.0, 3.0), std::ceil(finish_mm + over_mm)};
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/inference/series.h"

#include <cmath>

namespace fairhole {

double SeriesPrior::weight_mm(Unit unit, long index) const {
  const double finest = finest_mm(unit);
  double weight = 0.0;
  for (const Series& series : of(unit)) {
    if (index % std::lround(series.step_mm / finest) == 0) weight += series.share * series.step_mm;
  }
  return weight;
}

}  // namespace fairhole

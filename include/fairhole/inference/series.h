// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/base/length.h"

namespace fairhole {

/// Multiples of a step, and the share of a drawing's dimensions that were chosen from them.
struct Series {
  double step_mm = 0.0;
  double share = 0.0;
};

/// How a draughtsman chose his dimensions: one unit for the whole drawing, then for each dimension a series,
/// then any of its values alike. So a value of a coarse series has more prior than its neighbour in a fine
/// one, and a fine fraction must earn its freedom by the data. Shares are our judgement (docs/inference.md).
/// Each unit's steps divide each other down to the finest, which stands last.
struct SeriesPrior {
  double inch_odds = 0.5;  ///< that the drawing is in inches
  std::vector<Series> inch = {{kMmPerInch, 0.12},     {kMmPerInch / 2, 0.20},  {kMmPerInch / 4, 0.30},
                              {kMmPerInch / 8, 0.23}, {kMmPerInch / 16, 0.11}, {kMmPerInch / 32, 0.04}};
  std::vector<Series> mm = {{10.0, 0.30}, {5.0, 0.35}, {1.0, 0.30}, {0.5, 0.05}};

  const std::vector<Series>& of(Unit unit) const { return unit == Unit::kInch ? inch : mm; }
  double unit_odds(Unit unit) const { return unit == Unit::kInch ? inch_odds : 1.0 - inch_odds; }
  double finest_mm(Unit unit) const { return of(unit).back().step_mm; }
  /// Prior probability of `index` steps of the finest series, times the range both units share, over one mm:
  /// the sum of share * step over the series the value belongs to.
  double weight_mm(Unit unit, long index) const;
};

}  // namespace fairhole

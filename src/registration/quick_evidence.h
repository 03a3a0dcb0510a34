// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "evidence.h"

namespace fairhole {

/// Evidence in closed form for holes of one round covariance: what the search goes by before any pose is
/// adjusted in full.
class QuickEvidence {
 public:
  explicit QuickEvidence(const Scene& scene);

  struct Value {
    double log_evidence = 0.0;
    std::size_t scatter = 0;  ///< index of the scatter it is best at
  };
  /// Of `pairs` with a sum of squared residuals; `spread_mm2`: of the drawn holes about their middle.
  Value operator()(std::size_t pairs, double squares_mm2, double spread_mm2) const;

  /// The fewest pairs whose evidence, were they to fit without any residual at the scatter of the best pose,
  /// comes within a thousandth of it.
  std::size_t needed(std::size_t best_pairs, const Value& best, double best_score, double spread_mm2) const;

  double variance_mm2(std::size_t scatter) const { return variance_mm2_[scatter]; }

 private:
  double at(std::size_t scatter, std::size_t pairs, double squares_mm2, double spread_mm2) const;
  const Scene& scene_;
  std::vector<double> variance_mm2_, log_prior_;
  std::vector<double> log_probability_;  ///< by pairs
};

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// One reading set aside, and why.
struct Suspect {
  int reading = 0;  ///< index of the data row
  double location_odds =
      0.0;  ///< that the blunder sits here and not in another reading, when it was set aside
  std::vector<int> together;  ///< readings (itself among them) whose w hang together above 0.95; empty: none
};

struct Snooping {
  Solution solution;         ///< of the readings kept
  double chi2_before = 0.0;  ///< of all
  int dof_before = 0;
  std::vector<Suspect> suspects;
  /// A reading that disagrees but cannot be set aside, because without it a hole is not determined: snooping
  /// ended there.
  std::optional<int> hangs_on;
};

/// Standardised residual of an active observation (Baarda 1968, Netherlands Geodetic Commission 2(5)); 0 when
/// nothing checks it.
double standardised(const Observation& o, const Equation& e, double residual_mm, const Columns& columns,
                    const Eigen::MatrixXd& q);

/// Correlation of two standardised residuals: -a Q b' / (sigma_a sigma_b sqrt(r_a r_b)).
double w_correlation(const Model& model, const Columns& columns, const Solution& s, int a, int b);

/// Data snooping: the reading of largest |w| above 3.29 is set aside (Observation::active), the rest adjusted
/// again, until none is left; then whatever fits the others after all is taken in again. Two blunders can
/// hide each other from that: a robust adjustment proposes another set, and the one that passes the global
/// test with fewer readings set aside wins. `model` is left with its observations marked.
Snooping snoop(Model& model, const Columns& columns, const Eigen::VectorXd& start);

/// Groups of rows whose w correlate above 0.95, ascending; only for nets of at most 300 readings.
std::vector<std::vector<int>> rows_together(const Model& model, const Columns& columns, const Solution& s);

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/survey/survey.h"
#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

constexpr double kPrice = kCriticalW * kCriticalW;  // what one rejection must take off chi2
constexpr double kRivalOdds = 4.0;                  // explanations closer than this in chi2 do not decide

/// What the residuals of a solution say of single readings, by observation number; linear forecasts.
class ReadingTests {
 public:
  ReadingTests(const Model& model, const Columns& columns) : model_(model), columns_(columns) {}

  const Observation& observation(int i) const { return model_.observations[static_cast<std::size_t>(i)]; }
  int count() const { return static_cast<int>(model_.observations.size()); }

  double normalised(const Solution& s, int i) const { return s.residual[i] / observation(i).sigma; }
  /// Of the active readings; 0 for all others.
  std::vector<double> redundancies(const Solution& s) const;
  /// w^2: what leaving out the reading takes off chi2.
  double gain(const Solution& s, const std::vector<double>& r, int i) const {
    return normalised(s, i) * normalised(s, i) / r[static_cast<std::size_t>(i)];
  }
  /// Q a_i'.
  Eigen::VectorXd covariance_with(const Solution& s, int i) const {
    return s.normals->covariance_with(s.equations[static_cast<std::size_t>(i)]);
  }
  /// Off the diagonal, the covariance of two normalised residuals: -a_i Q a_j' / (sigma_i sigma_j).
  double residual_covariance(const Solution& s, const Eigen::VectorXd& q_ai, int i, int j) const;

  /// Observations whose w correlate with that of `i` above the limit and are as large, `i` among them:
  /// leaving out any of them would satisfy the others alike.
  std::vector<int> alike(const Solution& s, const std::vector<double>& r, int i) const;
  /// The same of a reading that is left out of `s`, as if it were taken in again.
  std::vector<int> alike_if_taken_in(const Solution& s, const std::vector<double>& r, int i) const;
  /// Correlation of the w of i and j were i, left out of `s`, taken in again.
  double correlation_if_taken_in(int i, int j, const Solution& s) const;
  /// |w| of a reading left out against the prediction from the others.
  double predicted_w(const Solution& s, int i) const;

 private:
  const Model& model_;
  const Columns& columns_;
};

}  // namespace fairhole::survey_detail

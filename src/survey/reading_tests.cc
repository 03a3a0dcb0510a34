// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "reading_tests.h"

#include <algorithm>
#include <cmath>

namespace fairhole::survey_detail {
namespace {

constexpr double kRivalShare = 1e-4;  // gains closer than this share do not decide: the forecast is no better

bool close(double gain, double other) {
  return std::abs(gain - other) <= std::max(kRivalOdds, kRivalShare * other);
}

}  // namespace

std::vector<double> ReadingTests::redundancies(const Solution& s) const {
  std::vector<double> r(model_.observations.size(), 0.0);
  for (int i = 0; i < count(); ++i) {
    if (observation(i).reading < 0 || !observation(i).active) continue;
    const double sigma = observation(i).sigma;
    const Equation& e = s.equations[static_cast<std::size_t>(i)];
    r[static_cast<std::size_t>(i)] = 1.0 - s.normals->fit_variance(e) / (sigma * sigma);
  }
  return r;
}

double ReadingTests::residual_covariance(const Solution& s, const Eigen::VectorXd& q_ai, int i, int j) const {
  double sum = 0.0;
  for (const Partial& p : s.equations[static_cast<std::size_t>(j)].partials) {
    const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
    if (c >= 0) sum += p.value * q_ai[c];
  }
  return -sum / (observation(i).sigma * observation(j).sigma);
}

std::vector<int> ReadingTests::alike(const Solution& s, const std::vector<double>& r, int i) const {
  std::vector<int> group;
  const double share_i = r[static_cast<std::size_t>(i)];
  const Eigen::VectorXd q_ai = covariance_with(s, i);
  for (int j = 0; j < count(); ++j) {
    const double share = r[static_cast<std::size_t>(j)];
    if (share < kLeastRedundancy || !close(gain(s, r, j), gain(s, r, i))) continue;
    const double correlation = j == i ? 1.0 : residual_covariance(s, q_ai, i, j) / std::sqrt(share * share_i);
    if (std::abs(correlation) > kTogetherCorrelation) group.push_back(j);
  }
  return group;
}

// With P_ab = a Q b' / (sigma_a sigma_b), the rank-one update of Q for reading i taken in gives the residuals
// and their covariance
//   u_j - P_ij u_i / (1 + P_ii), R_ii = 1 / (1 + P_ii), R_ij = -P_ij / (1 + P_ii), R_jj - ... + P_ij^2 / (1 +
//   P_ii).
std::vector<int> ReadingTests::alike_if_taken_in(const Solution& s, const std::vector<double>& r,
                                                 int i) const {
  const Eigen::VectorXd q_ai = covariance_with(s, i);
  const double whole = 1.0 - residual_covariance(s, q_ai, i, i);
  const double gain_i = normalised(s, i) * normalised(s, i) / whole;
  std::vector<int> group{i};
  for (int j = 0; j < count(); ++j) {
    const double share = r[static_cast<std::size_t>(j)];
    const double p_ij = j == i || !observation(j).active || observation(j).reading < 0
                            ? 0.0
                            : -residual_covariance(s, q_ai, i, j);
    const double r_jj = share + p_ij * p_ij / whole;
    if (p_ij == 0.0 || r_jj < kLeastRedundancy) continue;
    const double u_j = normalised(s, j) - p_ij * normalised(s, i) / whole;
    if (!close(u_j * u_j / r_jj, gain_i)) continue;
    if (std::abs(p_ij) / whole > kTogetherCorrelation * std::sqrt(r_jj / whole)) group.push_back(j);
  }
  std::sort(group.begin(), group.end());
  return group;
}

double ReadingTests::correlation_if_taken_in(int i, int j, const Solution& s) const {
  const Eigen::VectorXd q_ai = covariance_with(s, i);
  const double whole = 1.0 - residual_covariance(s, q_ai, i, i);
  const double p_ij = -residual_covariance(s, q_ai, i, j);
  const double sigma = observation(j).sigma;
  const double p_jj = s.normals->fit_variance(s.equations[static_cast<std::size_t>(j)]) / (sigma * sigma);
  const double r_jj = 1.0 - p_jj + p_ij * p_ij / whole;
  if (r_jj < kLeastRedundancy) return 0.0;
  return -p_ij / whole / std::sqrt(r_jj / whole);
}

double ReadingTests::predicted_w(const Solution& s, int i) const {
  const double sigma = observation(i).sigma;
  const double variance = sigma * sigma + s.normals->fit_variance(s.equations[static_cast<std::size_t>(i)]);
  return std::abs(s.residual[i]) / std::sqrt(variance);
}

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rivals.h"

#include <algorithm>
#include <cmath>

namespace fairhole::survey_detail {
namespace {

constexpr double kGrossW = 5.0;            // beyond, w alone does not choose between readings of like w
constexpr double kRivalGain = 0.7;         // share of w^2 and ...
constexpr double kRivalCorrelation = 0.8;  // ... correlation of w that make two readings rivals
constexpr double kRelated = 0.1;           // w that correlate less are of different errors
constexpr std::size_t kMostContenders = 8;
constexpr std::size_t kMostAtOnce = 50;

double correlation(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                   const Eigen::VectorXd& q_ai, int i, int j) {
  const double shares = r[static_cast<std::size_t>(i)] * r[static_cast<std::size_t>(j)];
  return std::abs(tests.residual_covariance(s, q_ai, i, j)) / std::sqrt(shares);
}

}  // namespace

std::vector<int> contenders_of(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                               const std::vector<int>& beyond, int gross) {
  std::vector<int> out{gross};
  const double most = tests.gain(s, r, gross);
  if (most < kGrossW * kGrossW) return out;
  const Eigen::VectorXd q_a = tests.covariance_with(s, gross);
  for (const int i : beyond) {
    const double share = tests.gain(s, r, i) / most;
    if (i == gross || share < kRivalGain || share * kRivalGain > 1.0) continue;
    const bool related = correlation(tests, s, r, q_a, gross, i) > kRivalCorrelation;
    if (related && out.size() < kMostContenders) out.push_back(i);
  }
  return out;
}

std::vector<int> far_apart(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                           const std::vector<int>& beyond) {
  std::vector<int> out;
  std::vector<std::pair<int, Eigen::VectorXd>> before;
  for (const int j : beyond) {
    if (before.size() == kMostAtOnce) break;
    double least_w = std::sqrt(tests.gain(s, r, j));
    double related = 0.0;
    for (const auto& [i, q_ai] : before) {
      const double c = correlation(tests, s, r, q_ai, i, j);
      related = std::max(related, c);
      least_w -= c * std::sqrt(tests.gain(s, r, i));
    }
    if (least_w <= kCriticalW) continue;
    before.emplace_back(j, tests.covariance_with(s, j));
    if (related > kRelated) continue;
    if (contenders_of(tests, s, r, beyond, j).size() > 1 || tests.alike(s, r, j).size() > 1) continue;
    out.push_back(j);
  }
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace fairhole::survey_detail

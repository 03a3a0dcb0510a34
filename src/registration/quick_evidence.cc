// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "quick_evidence.h"

#include <cmath>
#include <numbers>

namespace fairhole {

QuickEvidence::QuickEvidence(const Scene& scene) : scene_(scene) {
  constexpr double kLow = -3.0, kHigh = 2.5, kStep = 0.25;  // log of scatter over expected
  double survey_mm2 = 0.0;
  for (const Eigen::Matrix2d& block : scene.points.blocks_mm2) survey_mm2 += 0.5 * block.trace();
  survey_mm2 /= static_cast<double>(scene.points.blocks_mm2.size());
  for (int k = 0; kLow + k * kStep <= kHigh; ++k) {
    const double z = kLow + k * kStep;
    const double scatter_mm = scene.expected_scatter_mm * std::exp(z);
    variance_mm2_.push_back(survey_mm2 + scatter_mm * scatter_mm);
    log_prior_.push_back(log_scatter_prior(z));
  }
  const std::size_t most = std::min(scene.points.nominal_mm.size(), scene.points.measured_mm.size());
  for (std::size_t pairs = 0; pairs <= most; ++pairs)
    log_probability_.push_back(scene.odds.log_probability(pairs));
}

double QuickEvidence::at(std::size_t scatter, std::size_t pairs, double squares_mm2,
                         double spread_mm2) const {
  const auto n = static_cast<double>(pairs);
  const double v = variance_mm2_[scatter];
  return -0.5 * ((2.0 * n - 3.0) * std::log(2.0 * std::numbers::pi * v) + 2.0 * std::log(n) +
                 std::log(spread_mm2) + squares_mm2 / v) +
         log_prior_[scatter] + log_probability_[pairs];
}

QuickEvidence::Value QuickEvidence::operator()(std::size_t pairs, double squares_mm2,
                                               double spread_mm2) const {
  Value best{at(0, pairs, squares_mm2, spread_mm2), 0};
  for (std::size_t k = 1; k < variance_mm2_.size(); ++k) {
    const double value = at(k, pairs, squares_mm2, spread_mm2);
    if (value > best.log_evidence) best = {value, k};
  }
  return best;
}

std::size_t QuickEvidence::needed(std::size_t best_pairs, const Value& best, double best_score,
                                  double spread_mm2) const {
  constexpr double kLogThousandth = -6.91;
  constexpr double kMargin = 3.0;           // for what the closed form leaves out
  constexpr double kNarrowerSpread = 0.05;  // a rival's holes may stand so much closer together
  const double least = best_score + kLogThousandth - kMargin;
  std::size_t pairs = best_pairs;
  while (pairs > 2 && at(best.scatter, pairs - 1, 0.0, kNarrowerSpread * spread_mm2) +
                              static_cast<double>(pairs - 1) * scene_.diameters.most() >=
                          least)
    --pairs;
  return pairs;
}

}  // namespace fairhole

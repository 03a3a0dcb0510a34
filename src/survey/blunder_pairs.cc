// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "blunder_pairs.h"

#include <algorithm>
#include <cmath>

namespace fairhole::survey_detail {
namespace {

constexpr double kPairCandidateW = 1.0;  // pairs are sought among readings at least this far off
constexpr std::size_t kMostPairCandidates = 200;

/// Checked readings somewhat off, the worst first.
std::vector<int> pair_candidates(const ReadingTests& tests, const Solution& all,
                                 const std::vector<double>& r) {
  std::vector<std::pair<double, int>> ranked;
  for (int i = 0; i < tests.count(); ++i) {
    if (r[static_cast<std::size_t>(i)] < kLeastRedundancy) continue;
    const double w2 = tests.gain(all, r, i);
    if (w2 > kPairCandidateW * kPairCandidateW) ranked.emplace_back(-w2, i);
  }
  std::sort(ranked.begin(), ranked.end());
  if (ranked.size() > kMostPairCandidates) ranked.resize(kMostPairCandidates);
  std::vector<int> out;
  for (const auto& [loss, i] : ranked) out.push_back(i);
  return out;
}

double pair_gain(const ReadingTests& tests, const Solution& s, const std::vector<double>& r,
                 const Eigen::VectorXd& q_ai, int i, int j) {
  const double rii = r[static_cast<std::size_t>(i)];
  const double rjj = r[static_cast<std::size_t>(j)];
  const double rij = tests.residual_covariance(s, q_ai, i, j);
  const double det = rii * rjj - rij * rij;
  if (det < (1.0 - kTogetherCorrelation) * rii * rjj) return 0.0;
  const double ui = tests.normalised(s, i);
  const double uj = tests.normalised(s, j);
  return (ui * ui * rjj - 2.0 * ui * uj * rij + uj * uj * rii) / det;
}

}  // namespace

BestPairs best_pairs(const ReadingTests& tests, const Solution& all) {
  const std::vector<double> r = tests.redundancies(all);
  const std::vector<int> candidates = pair_candidates(tests, all, r);
  BestPairs out;
  out.gain = 2.0 * kPrice;
  std::vector<std::pair<double, std::vector<int>>> pairs;
  for (std::size_t k = 0; k < candidates.size(); ++k) {
    const Eigen::VectorXd q_ak = tests.covariance_with(all, candidates[k]);
    for (std::size_t l = k + 1; l < candidates.size(); ++l) {
      const double gain = pair_gain(tests, all, r, q_ak, candidates[k], candidates[l]);
      if (gain < out.gain - kRivalOdds) continue;
      out.gain = std::max(out.gain, gain);
      const auto [first, second] = std::minmax(candidates[k], candidates[l]);
      pairs.emplace_back(-gain, std::vector<int>{first, second});
    }
  }
  std::sort(pairs.begin(), pairs.end());
  for (const auto& [loss, pair] : pairs) {
    if (-loss >= out.gain - kRivalOdds && out.gain > 2.0 * kPrice) out.pairs.push_back(pair);
  }
  return out;
}

}  // namespace fairhole::survey_detail

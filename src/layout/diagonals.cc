// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "fairhole/layout/layout.h"

namespace fairhole {
namespace {

struct Pair {
  std::size_t from, to;
  Eigen::Vector2d span_mm;
};

// How far a pair adds to those chosen: its length, less what a chosen pair that starts or ends at the same
// holes or runs the same way has told already.
double worth(const Pair& pair, const std::vector<Pair>& chosen) {
  double share = 1.0;
  for (const Pair& other : chosen) {
    const double cosine = std::abs(pair.span_mm.normalized().dot(other.span_mm.normalized()));
    const bool shares =
        pair.from == other.from || pair.to == other.to || pair.from == other.to || pair.to == other.from;
    share = std::min(share, (1.0 - cosine * cosine) + (shares ? 0.0 : 0.5));
  }
  return share * pair.span_mm.norm();
}

}  // namespace

std::vector<CheckDiagonal> check_diagonals(const std::vector<LaidHole>& holes, const LayoutOptions& options) {
  constexpr double kShortestMm = 50.0;  // below it a tape tells nothing that a rule on the marks would not
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < holes.size(); ++i) {
    for (std::size_t j = i + 1; j < holes.size(); ++j) {
      const Eigen::Vector2d span = holes[j].mark_mm - holes[i].mark_mm;
      if (span.norm() >= kShortestMm) pairs.push_back({i, j, span});
    }
  }
  std::vector<Pair> chosen;
  const auto most = std::min(static_cast<std::size_t>(std::max(options.most_diagonals, 0)), pairs.size());
  while (chosen.size() < most) {
    const auto best = std::max_element(pairs.begin(), pairs.end(), [&chosen](const Pair& a, const Pair& b) {
      return worth(a, chosen) < worth(b, chosen);
    });
    if (worth(*best, chosen) < kShortestMm) break;
    chosen.push_back(*best);
  }
  const double sigma = std::hypot(std::sqrt(2.0) * options.mark_sigma_mm, options.tape_sigma_mm);
  std::vector<CheckDiagonal> diagonals;
  diagonals.reserve(chosen.size());
  for (const Pair& pair : chosen) {
    diagonals.push_back({holes[pair.from].id, holes[pair.to].id, pair.span_mm.norm(), 3.0 * sigma});
  }
  return diagonals;
}

}  // namespace fairhole

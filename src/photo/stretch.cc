// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "stretch.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fairhole::photo {
namespace {

constexpr double kLeastStretch = 0.01, kSureStretch = 4.0;  // of its logarithm; of its sigma
constexpr double kPrintSigma = 0.005;                       // of a print's scale, along each way by itself
constexpr double kExplainedPx = 1.0;  // a stretch that leaves more than that explains nothing: another board
constexpr int kStretchSteps = 50;

/// Root mean square of the edges' misfits: in px, and over their sigmas.
struct RootMeanSquare {
  double px = 0.0, sigmas = 0.0;
};
RootMeanSquare misfits(const BundleInput& input, const Bundle& bundle) {
  double sum = 0.0, weighted = 0.0;
  int count = 0;
  for (std::size_t p = 0; p < input.sights.size(); ++p)
    for (std::size_t e = 0; e < input.sights[p].edges.size(); ++e) {
      const EdgeSight& edge = input.sights[p].edges[e];
      if (!input.use[p][e] || !bundle.boards[static_cast<std::size_t>(edge.board)].placed) continue;
      const double misfit = edge_misfit(bundle, static_cast<int>(p), edge);
      sum += misfit * misfit;
      weighted += std::pow(misfit / edge_sigma(bundle, edge), 2);
      ++count;
    }
  return {std::sqrt(sum / std::max(count, 1)), std::sqrt(weighted / std::max(count, 1))};
}

}  // namespace

std::optional<Problem> stretched(const BundleInput& input, Bundle bundle) {
  bundle.stretch = true;
  for (BoardState& board : bundle.boards) {  // a misread bar would look like a stretch
    board.bars_x.clear();
    board.bars_y.clear();
    board.prior[kScaleX] = board.prior[kScaleY] = {1.0, kPrintSigma};
  }
  if (!solve_bundle(input, true, kStretchSteps, bundle)) return std::nullopt;
  const RootMeanSquare left = misfits(input, bundle);
  if (left.px > kExplainedPx) return std::nullopt;
  bundle.edge_factor *= std::max(1.0, left.sigmas);
  const auto covariance = bundle_covariance(input, bundle);
  if (!covariance) return std::nullopt;
  for (std::size_t p = 0; p < bundle.photos.size(); ++p) {
    const auto lens = static_cast<std::size_t>(bundle.photos[p].lens);
    const double ln = bundle.lenses[lens].value[kLnStretch];
    if (std::abs(ln) < std::max(kLeastStretch, kSureStretch * covariance->ln_stretch_sigma[lens])) continue;
    return Problem{codes::kPhotoStretched, input.sights[p].name,
                   fmt::format("the picture is stretched by {:.1f} % {}", 100.0 * std::expm1(std::abs(ln)),
                               ln > 0.0 ? "across" : "up and down"),
                   "give the photograph as the camera wrote it: no screenshot, nothing scaled"};
  }
  return std::nullopt;
}

}  // namespace fairhole::photo

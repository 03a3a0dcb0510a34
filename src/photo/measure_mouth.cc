// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "measure_mouth.h"

#include <algorithm>

namespace fairhole::photo {
namespace {

constexpr double kLeastBoreCover = 0.6;
constexpr std::size_t kMostStarts = 3;
constexpr double kEdgePx = 4.0;
constexpr double kWorse = 0.05;  // the fine fit may explain less by that much before it is thought lost
constexpr int kFineSteps = 12, kRoughSteps = 8, kRoughLines = 64;
constexpr double kHopeless = 0.4;  // of the rim without a step: texture

}  // namespace

std::optional<MeasuredMouth> measure_mouth(const Picture& picture, const View& view,
                                           const Candidate& candidate) {
  const RayEdges rays = shoot_rays(picture, view, candidate.centre_mm, candidate.radius_mm);
  const std::vector<Ring> rings = find_rings(rays);
  std::vector<MouthGuess> guesses = guess_mouths(view, rays, rings);
  std::erase_if(guesses, [](const MouthGuess& guess) { return guess.bore_cover < kLeastBoreCover; });
  if (guesses.empty()) return std::nullopt;
  if (guesses.size() > kMostStarts) guesses.resize(kMostStarts);
  double inner = guesses[0].mouth.radius_mm, outer = 0.0;
  for (const MouthGuess& guess : guesses) {
    inner = std::min(inner, guess.mouth.radius_mm);
    outer = std::max(outer, guess.mouth.radius_mm + guess.mouth.width_mm);
  }
  inner -= kEdgePx * rays.px_mm;
  outer += kEdgePx * rays.px_mm;
  std::optional<MeasuredMouth> best;
  for (const MouthGuess& guess : guesses) {
    const auto fit =
        fit_rim(picture, view, guess.mouth, {.most_steps = kRoughSteps, .most_lines = kRoughLines});
    if (!fit) continue;
    const double good = explained(picture, view, fit->mouth, true, fit->blur_px, inner, outer);
    if (!best || good > best->explained) best = MeasuredMouth{*fit, guess.bore_cover, good, {}};
  }
  if (!best || best->fit.clear_share < kHopeless) return std::nullopt;
  const auto fine =
      fit_rim(picture, view, best->fit.mouth, {.start_blur_px = best->fit.blur_px, .most_steps = kFineSteps});
  if (!fine) return std::nullopt;
  const double good = explained(picture, view, fine->mouth, true, fine->blur_px, inner, outer);
  if (good > best->explained - kWorse) {
    best->fit = *fine;
    best->explained = good;
  }
  best->evidence = gather_evidence(picture, view, best->fit, rays);
  return best;
}

}  // namespace fairhole::photo

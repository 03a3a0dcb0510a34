// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "measure_mouth.h"

#include <algorithm>

namespace fairhole::photo {
namespace {

constexpr double kLeastBoreCover = 0.6;
constexpr std::size_t kMostStarts = 6;
constexpr double kEdgePx = 4.0;  // beyond the outermost edges that are compared
constexpr int kFineSteps = 12, kRoughSteps = 8, kRoughLines = 64;
constexpr double kHopeless = 0.4;     // of the rim without a step: texture
constexpr double kOneMouthPx = 0.25;  // fits that differ by less are one
constexpr double kRuledOut = 4.6;     // ln of the odds: 1 in 100

struct Claim {
  RimFit fit;
  double cover = 0.0;
  Account account = {};
};

struct Span {
  double inner_mm = 0.0, outer_mm = 0.0;
};
Span span_of(const Mouth& a, const Mouth& b, double px_mm) {
  return {std::min(a.radius_mm, b.radius_mm) - kEdgePx * px_mm,
          std::max(a.radius_mm + a.width_mm, b.radius_mm + b.width_mm) + kEdgePx * px_mm};
}

Account account_of(const Picture& picture, const View& view, const RimFit& fit, const Span& span) {
  return account_of(picture, view, fit.mouth, true, fit.blur_px, span.inner_mm, span.outer_mm);
}

FitVector apart(const RimFit& a, const RimFit& b) {
  FitVector out;
  out << b.mouth.centre_mm - a.mouth.centre_mm, b.mouth.radius_mm - a.mouth.radius_mm,
      b.mouth.oval_c_mm - a.mouth.oval_c_mm, b.mouth.oval_s_mm - a.mouth.oval_s_mm,
      b.mouth.width_mm - a.mouth.width_mm, b.mouth.depth_mm - a.mouth.depth_mm, 0.0, 0.0, 0.0,
      std::log(b.blur_px / a.blur_px);
  return out;
}

/// The fits from all starts, each mouth once.
std::vector<Claim> claims_of(const Picture& picture, const View& view, const std::vector<MouthGuess>& guesses,
                             double px_mm) {
  std::vector<Claim> claims;
  for (const MouthGuess& guess : guesses) {
    const auto fit =
        fit_rim(picture, view, guess.mouth, {.most_steps = kRoughSteps, .most_lines = kRoughLines});
    if (!fit) continue;
    const bool known = std::any_of(claims.begin(), claims.end(), [&](const Claim& other) {
      return apart(other.fit, *fit).head<kMouthUnknowns>().cwiseAbs().maxCoeff() < kOneMouthPx * px_mm;
    });
    if (!known) claims.push_back({*fit, guess.bore_cover});
  }
  return claims;
}

}  // namespace

double ln_odds(const Picture& picture, const View& view, const RimFit& a, const RimFit& b) {
  const Span span = span_of(a.mouth, b.mouth, 1.0 / pixels_per_mm(view, a.mouth.centre_mm));
  return ln_odds(account_of(picture, view, a, span), a.mouth, account_of(picture, view, b, span), b.mouth);
}

std::optional<MeasuredMouth> measure_mouth(const Picture& picture, const View& view,
                                           const Candidate& candidate) {
  const RayEdges rays = shoot_rays(picture, view, candidate.centre_mm, candidate.radius_mm);
  std::vector<MouthGuess> guesses = guess_mouths(view, rays, find_rings(rays));
  std::erase_if(guesses, [](const MouthGuess& guess) { return guess.bore_cover < kLeastBoreCover; });
  if (guesses.size() > kMostStarts) guesses.resize(kMostStarts);
  std::vector<Claim> claims = claims_of(picture, view, guesses, rays.px_mm);
  if (claims.empty()) return std::nullopt;
  Span span = span_of(claims[0].fit.mouth, claims[0].fit.mouth, rays.px_mm);
  for (const Claim& claim : claims) {
    const Span other = span_of(claim.fit.mouth, claim.fit.mouth, rays.px_mm);
    span = {std::min(span.inner_mm, other.inner_mm), std::max(span.outer_mm, other.outer_mm)};
  }
  for (Claim& claim : claims) claim.account = account_of(picture, view, claim.fit, span);
  const auto odds = [](const Claim& a, const Claim& b) {
    return ln_odds(a.account, a.fit.mouth, b.account, b.fit.mouth);
  };
  Claim best = claims.front();
  for (const Claim& claim : claims)
    if (odds(claim, best) > 0.0) best = claim;
  if (best.fit.clear_share < kHopeless) return std::nullopt;
  const Mouth rough = best.fit.mouth;
  const auto fine =
      fit_rim(picture, view, rough, {.start_blur_px = best.fit.blur_px, .most_steps = kFineSteps});
  if (!fine) return std::nullopt;
  const Claim finer{*fine, best.cover, account_of(picture, view, *fine, span)};
  if (odds(finer, best) > -1.0) best = finer;
  MeasuredMouth mouth{best.fit, best.cover, best.account, FitMatrix::Zero(), {}};
  for (const Claim& rival : claims) {
    const double against = odds(best, rival);
    if (against > kRuledOut || (rival.fit.mouth.centre_mm == rough.centre_mm)) continue;
    const FitVector off = apart(best.fit, rival.fit);
    mouth.rival_covariance += off * off.transpose() / (1.0 + std::exp(std::max(against, 0.0)));
  }
  mouth.evidence = gather_evidence(picture, view, mouth.fit, rays);
  return mouth;
}

}  // namespace fairhole::photo

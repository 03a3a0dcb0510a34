// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "measure_mouth.h"

#include <algorithm>

namespace fairhole::photo {
namespace {

constexpr double kLeastBoreCover = 0.6;
constexpr std::size_t kMostStarts = 6;
constexpr double kEdgePx = 4.0;     // beyond the outermost edges that are compared
constexpr double kFarEdgePx = 8.0;  // the same inwards where a bore's far end is among them
constexpr int kFineSteps = 12, kRoughSteps = 8, kRoughLines = 64;
constexpr double kRoughPx = 0.03;
constexpr double kLightGround = 0.2;         // of the face's light: what shows through the hole
constexpr double kFarDepths[] = {0.9, 1.7};  // of the bore's radius, to start from
constexpr double kFarCover = 0.5;            // of its edge: where it shows plainly it is looked for
constexpr std::size_t kFarMouths = 3;
constexpr double kFarAside = 0.5;  // of the radius; farther aside it is near at two places only
constexpr double kFarBoreCover = 0.5;
constexpr double kFarWidthsPx[] = {2.0, 3.5, 5.5};
constexpr double kHopeless = 0.4;     // of the rim without a step: texture
constexpr double kOneMouthPx = 0.25;  // fits that differ by less are one
constexpr double kOneRivalPx = 1.0;   // rivals nearer to each other are one
constexpr double kUnseenStep = 48.0;  // ln of the odds, a whole rim: 2 of each of 24 sectors without a step
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
  const double within = a.far_end() || b.far_end() ? kFarEdgePx : kEdgePx;
  return {std::min(a.radius_mm, b.radius_mm) - within * px_mm,
          std::max(a.radius_mm + a.width_mm, b.radius_mm + b.width_mm) + kEdgePx * px_mm};
}

Account account_of(const Picture& picture, const View& view, const RimFit& fit, const Span& span) {
  return account_of(picture, view, fit.mouth, true, fit.blur_px, span.inner_mm, span.outer_mm);
}

FitVector apart(const RimFit& a, const RimFit& b) {
  FitVector out;
  out << b.mouth.centre_mm - a.mouth.centre_mm, b.mouth.radius_mm - a.mouth.radius_mm,
      b.mouth.oval_c_mm - a.mouth.oval_c_mm, b.mouth.oval_s_mm - a.mouth.oval_s_mm,
      b.mouth.width_mm - a.mouth.width_mm, b.mouth.depth_mm - a.mouth.depth_mm, 0.0, 0.0,
      0.0,  // the far end is no part of the mouth
      std::log(b.blur_px / a.blur_px);
  return out;
}

/// A fit from one more start, unless it leads to a mouth that is there already.
void add_claim(const Picture& picture, const View& view, const Mouth& start, double cover, double px_mm,
               std::vector<Claim>& claims) {
  const auto fit = fit_rim(picture, view, start,
                           {.most_steps = kRoughSteps, .most_lines = kRoughLines, .settled_px = kRoughPx});
  if (!fit) return;
  const bool known = std::any_of(claims.begin(), claims.end(), [&](const Claim& other) {
    return other.fit.mouth.far_end() == fit->mouth.far_end() &&
           apart(other.fit, *fit).cwiseAbs().maxCoeff() < kOneMouthPx * px_mm;
  });
  if (!known) claims.push_back({*fit, cover});
}

/// One span that holds the edges of all.
Span common_span(const std::vector<Claim>& claims, double px_mm) {
  Span span = span_of(claims[0].fit.mouth, claims[0].fit.mouth, px_mm);
  for (const Claim& claim : claims) {
    const Span other = span_of(claim.fit.mouth, claim.fit.mouth, px_mm);
    span = {std::min(span.inner_mm, other.inner_mm), std::max(span.outer_mm, other.outer_mm)};
  }
  return span;
}

/// Light that is explained, and steps that are seen where the mouth says they are: one that finds no step
/// along part of its rim may explain a shadow or the bore's far end there.
double odds(const Claim& a, const Claim& b) {
  return ln_odds(a.account, a.fit.mouth, b.account, b.fit.mouth) +
         kUnseenStep * (a.fit.clear_share - b.fit.clear_share);
}

/// The claims' accounts over one span, and which of them is the best.
std::size_t best_of(const Picture& picture, const View& view, const Span& span, std::vector<Claim>& claims) {
  for (Claim& claim : claims) claim.account = account_of(picture, view, claim.fit, span);
  std::size_t best = 0;
  for (std::size_t k = 1; k < claims.size(); ++k)
    if (odds(claims[k], claims[best]) > 0.0) best = k;
  return best;
}

/// Where it is light within the bore, the edge of the bore's far end may lie so near that bore and rim are
/// not to be had without it. Starts with a far end: the best mouths there are, and the strongest ring as a
/// rim.
void add_far_claims(const Picture& picture, const View& view, const std::vector<Ring>& rings,
                    const RayEdges& rays, std::vector<Claim>& claims) {
  const Claim best = claims[best_of(picture, view, common_span(claims, rays.px_mm), claims)];
  if (brightest_within(picture, view, best.fit.mouth) < kLightGround * best.fit.outside) return;
  const FarEnd seen = seek_far_end(view, best.fit.mouth, rays);
  const double radius = best.fit.mouth.radius_mm;
  const double depth_mm = seen.cover > kFarCover ? seen.depth_mm : kFarDepths[1] * radius;
  const Eigen::Vector3d camera = camera_centre_mm(view);
  const double aside = (best.fit.mouth.centre_mm - camera.head<2>()).norm() / camera.z() * depth_mm;
  if (aside > kFarAside * radius) return;
  std::stable_sort(claims.begin(), claims.end(),
                   [&](const Claim& a, const Claim& b) { return odds(a, best) > odds(b, best); });
  std::vector<std::pair<Mouth, double>> starts;
  for (std::size_t k = 0; k < std::min(claims.size(), kFarMouths); ++k)
    starts.emplace_back(claims[k].fit.mouth, claims[k].cover);
  const Ring& rim = rings.front();
  for (const double width_px : kFarWidthsPx) {
    const double width = width_px * rays.px_mm;
    starts.emplace_back(
        Mouth{rim.centre_mm, rim.radius_mm - width, rim.oval_c_mm, rim.oval_s_mm, width, width}, rim.cover);
  }
  for (std::size_t k = 1; k < std::min(rings.size(), kFarMouths); ++k)
    if (const Ring& bore = rings[k]; bore.cover > kFarBoreCover) {
      const double width = kFarWidthsPx[0] * rays.px_mm;
      starts.emplace_back(mouth_of(view, bore, width, width), bore.cover);
    }
  for (auto& [start, cover] : starts) {
    std::vector<double> depths;
    for (const double share : kFarDepths) depths.push_back(share * start.radius_mm);
    if (seen.cover > kFarCover) depths = {seen.depth_mm};
    for (const double depth : depths) {
      start.far_depth_mm = depth;
      add_claim(picture, view, start, cover, rays.px_mm, claims);
    }
  }
}

/// What the mouths that are not ruled out add to the best one's covariance: how far off they are, weighted
/// with their odds. Several fits that ended near one another are one rival.
FitMatrix rival_covariance(const Claim& best, const Mouth& rough, std::vector<Claim> claims, double px_mm) {
  std::stable_sort(claims.begin(), claims.end(),
                   [&](const Claim& a, const Claim& b) { return odds(best, a) < odds(best, b); });
  FitMatrix sum = FitMatrix::Zero();
  std::vector<FitVector> counted;
  for (const Claim& rival : claims) {
    const double against = odds(best, rival);
    if (against > kRuledOut || rival.fit.mouth.centre_mm == rough.centre_mm) continue;
    const FitVector off = apart(best.fit, rival.fit);
    const bool known = std::any_of(counted.begin(), counted.end(), [&](const FitVector& other) {
      return (other - off).head<kMouthUnknowns>().cwiseAbs().maxCoeff() < kOneRivalPx * px_mm;
    });
    if (known) continue;
    counted.push_back(off);
    sum += off * off.transpose() / (1.0 + std::exp(std::max(against, 0.0)));
  }
  return sum;
}

}  // namespace

double ln_odds(const Picture& picture, const View& view, const RimFit& a, const RimFit& b) {
  const Span span = span_of(a.mouth, b.mouth, 1.0 / pixels_per_mm(view, a.mouth.centre_mm));
  return odds({a, 0.0, account_of(picture, view, a, span)}, {b, 0.0, account_of(picture, view, b, span)});
}

std::optional<MeasuredMouth> measure_mouth(const Picture& picture, const View& view,
                                           const Candidate& candidate) {
  const RayEdges rays = shoot_rays(picture, view, candidate.centre_mm, candidate.radius_mm);
  const std::vector<Ring> rings = find_rings(rays);
  std::vector<MouthGuess> guesses = guess_mouths(view, rays, rings);
  std::erase_if(guesses, [](const MouthGuess& guess) { return guess.bore_cover < kLeastBoreCover; });
  if (guesses.size() > kMostStarts) guesses.resize(kMostStarts);
  std::vector<Claim> claims;
  for (const MouthGuess& guess : guesses)
    add_claim(picture, view, guess.mouth, guess.bore_cover, rays.px_mm, claims);
  if (std::ranges::none_of(claims, [](const Claim& c) { return c.fit.clear_share >= kHopeless; }))
    return std::nullopt;
  add_far_claims(picture, view, rings, rays, claims);
  const Span span = common_span(claims, rays.px_mm);
  Claim best = claims[best_of(picture, view, span, claims)];
  if (best.fit.clear_share < kHopeless) return std::nullopt;
  const Mouth rough = best.fit.mouth;
  const auto fine =
      fit_rim(picture, view, rough, {.start_blur_px = best.fit.blur_px, .most_steps = kFineSteps});
  if (!fine) return std::nullopt;
  const Claim finer{*fine, best.cover, account_of(picture, view, *fine, span)};
  if (odds(finer, best) > -1.0) best = finer;
  return MeasuredMouth{best.fit, best.cover, best.account, rival_covariance(best, rough, claims, rays.px_mm),
                       rays};
}

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "hole_verdict.h"

#include <cmath>

namespace fairhole::photo {
namespace {

// Limits found between the two groups of circles in rendered scenes, well away from both where it could be.
constexpr double kThinRingSteps = 0.3;  // directions with a step between inside and outside
constexpr double kDeepShade = 0.15;     // median light in the bore over that of the face
constexpr double kSomeShade = 0.18;     // its darkest tenth
constexpr double kDarkAllOver = 0.28,
                 kLightestDark = 0.36;  // median and highest tenth of a bore without light
constexpr double kClearStep = 0.9;      // of its rim
constexpr double kFarEndSeen = 0.72, kFarEndGuessed = 0.45;
constexpr double kFleckClear = 0.85;
constexpr double kNoShade = 0.9, kLittleShade = 0.5, kFarEndPlain = 0.95;
constexpr double kDome = 0.9, kNoDome = 0.8;
constexpr double kDomeAllRound = 0.97, kFarEndDomed = 0.85;  // a bore is lit from one side, mostly
constexpr double kHexagon = 0.4;
constexpr double kTornClear = 0.75, kTextureClear = 0.6;
constexpr double kTornPx = 0.8, kTornShare = 0.012;  // of the radius
constexpr double kTextureExplained = 1.2;
constexpr double kStrange = 4.0;        // sigmas of the chamfer's depth
constexpr double kRivalsApartPx = 1.5;  // 1-sigma
constexpr double kPoorCover = 0.66, kPoorPx = 0.3;

bool is_deep(const HoleEvidence& e, double clear_share) {
  const double shade = e.inside / e.outside, darkest = e.darkest / e.outside;
  // Hardly darker than the face: rust, unless the rim is clear all round; lighter than it: a fleck.
  if (darkest > kLittleShade && clear_share < kFleckClear) return false;
  if (darkest > kNoShade && e.far_end < kFarEndPlain) return false;
  const bool dark =
      shade < kDarkAllOver && e.brightest < kLightestDark * e.outside && e.step_share > kClearStep;
  return dark || shade < kDeepShade || e.far_end > kFarEndSeen ||
         (e.far_end > kFarEndGuessed && darkest < kSomeShade && e.dome < kNoDome);
}

}  // namespace

Verdict judge(const MeasuredMouth& mouth, double px_per_mm) {
  const HoleEvidence& e = mouth.evidence;
  const RimFit& fit = mouth.fit;
  const double radius_px = fit.mouth.radius_mm * px_per_mm;
  Verdict verdict;
  const bool torn = fit.clear_share < kTornClear || fit.torn_px > std::max(kTornPx, kTornShare * radius_px);
  const bool deep = is_deep(e, fit.clear_share) && e.step_share > kThinRingSteps;
  const bool poor = mouth.bore_cover < kPoorCover && fit.torn_px > kPoorPx;
  if ((torn || poor) &&
      (!deep || explained(mouth.account) < kTextureExplained || fit.clear_share < kTextureClear)) {
    verdict.report = false;
    return verdict;
  }
  if (e.step_share <= kThinRingSteps)
    verdict.doubts.emplace_back(
        "a thin ring with the same surface inside and outside: a plugged hole, or drawn");
  else if ((e.dome > kDomeAllRound && e.far_end < kFarEndDomed) ||
           (e.dome > kDome && e.inside > kDeepShade * e.outside && e.far_end < kFarEndSeen))
    verdict.doubts.emplace_back("lighter in the middle than at the edge all round: a rivet head?");
  else if (!deep)
    verdict.doubts.emplace_back("no depth seen in it: a stain, a rivet head or a plug?");
  if (e.hexagon > kHexagon) verdict.doubts.emplace_back("stands within a hexagon: a nut?");
  if (strangeness(fit.mouth) > kStrange)
    verdict.doubts.emplace_back("its chamfer cannot be told from what shows behind it");
  if (std::sqrt(mouth.rival_covariance.topLeftCorner<2, 2>().trace()) > kRivalsApartPx / px_per_mm)
    verdict.doubts.emplace_back("its edges can be read in two ways");
  if (torn) verdict.doubts.emplace_back("its edge is torn or hidden over much of its length");
  return verdict;
}

}  // namespace fairhole::photo

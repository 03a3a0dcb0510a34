// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/reamers.h"

#include <cassert>
#include <cmath>

namespace fairhole {
namespace {

constexpr std::int64_t kNmPerMicrometre = 1000;

/// A share of the tolerance in hundredths, rounded up to a whole micrometre.
std::int64_t share_up_nm(std::int64_t tolerance_nm, int hundredths) {
  const std::int64_t tolerance_um = tolerance_nm / kNmPerMicrometre;
  return (tolerance_um * hundredths + 99) / 100 * kNmPerMicrometre;
}

}  // namespace

std::optional<Reamer> reamer_of_size(double size_mm, const Catalogue& catalogue) {
  constexpr double kSameReamerMm = 0.001;
  std::optional<Reamer> found;
  for (const Reamer& reamer : catalogue.reamers) {
    if (std::abs(reamer.diameter_mm - size_mm) > kSameReamerMm) continue;
    if (!found || (found->kind == ReamerKind::kMachine && reamer.kind == ReamerKind::kHand)) found = reamer;
  }
  return found;
}

SizeLimits reamer_limits(const SizeLimits& hole) {
  const std::int64_t tolerance_nm = hole.max_nm - hole.min_nm;
  assert(tolerance_nm > 0 && tolerance_nm % kNmPerMicrometre == 0);
  const std::int64_t largest_nm = hole.max_nm - share_up_nm(tolerance_nm, 15);
  return {largest_nm - share_up_nm(tolerance_nm, 35), largest_nm};
}

Result<ReamingPlan> reaming_plan(const ToleranceClass& hole, double nominal_mm, DrillUnit unit,
                                 const Catalogue& catalogue) {
  const Result<SizeLimits> limits = limits_of(hole, nominal_mm);
  if (!limits) return limits.problems();
  const Result<std::vector<DrillStep>> chain =
      drill_chain(nominal_mm, HoleFinish::kReamed, unit, catalogue.drills);
  if (!chain) return chain.problems();
  const DrillStep& last = (*chain)[chain->size() - 2];  // the reamer itself comes behind it
  return ReamingPlan{reamer_of_size(nominal_mm, catalogue), *limits, reamer_limits(*limits),
                     Drill{last.diameter_mm, last.name}, nominal_mm - last.diameter_mm};
}

}  // namespace fairhole

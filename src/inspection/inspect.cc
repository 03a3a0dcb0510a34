// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/fits/fit.h"
#include "steps.h"

namespace fairhole {
namespace {

using namespace inspection;

/// Holes with a pilot tell: most of them nearer to their pilot than to their finish.
Stage stage_told(const PlannedPlate& plan, const MeasuredFace& measured, const std::vector<Pair>& pairs) {
  int pilots = 0;
  for (const Pair& pair : pairs) {
    const PlannedHole& hole = plan.holes[pair.planned];
    const std::optional<double>& found_mm = measured.holes[pair.measured].diameter_mm;
    if (!hole.pilot || !found_mm) continue;
    const bool pilot = std::abs(*found_mm - hole.pilot_mm) < std::abs(*found_mm - hole.finish_mm);
    pilots += pilot ? 1 : -1;
  }
  return pilots > 0 ? Stage::kPilot : Stage::kFinished;
}

Verdict joined(Verdict a, Verdict b) {
  if (a == Verdict::kNotConforming || b == Verdict::kNotConforming) return Verdict::kNotConforming;
  return a == Verdict::kConforming && b == Verdict::kConforming ? Verdict::kConforming : Verdict::kCannotSay;
}

/// Room of a hole of this diameter about the planned centre.
double zone_at_mm(const PlannedHole& planned, Stage stage, double diameter_mm) {
  if (stage != Stage::kPilot || !planned.pilot) return planned.finished.zone_mm;
  return std::max(0.0, std::min(planned.pilot->zone_mm, (planned.pilot->max_mm - diameter_mm) / 2.0));
}

/// The zone of a measured pilot hangs on its diameter; the doubt about that counts against either claim.
Verdict placed(const PlannedHole& planned, Stage stage, HoleVerdict& hole) {
  if (!hole.diameter_mm) return position_verdict(*hole.offset_mm, hole.offset_cov_mm2, hole.limits.zone_mm);
  hole.limits.zone_mm = zone_at_mm(planned, stage, *hole.diameter_mm);
  const double guard_mm = kGuardSigmas * hole.diameter_sigma_mm;
  const auto with = [&](double diameter_mm) {
    return position_verdict(*hole.offset_mm, hole.offset_cov_mm2, zone_at_mm(planned, stage, diameter_mm));
  };
  if (with(*hole.diameter_mm + guard_mm) == Verdict::kConforming) return Verdict::kConforming;
  if (with(*hole.diameter_mm - guard_mm) == Verdict::kNotConforming) return Verdict::kNotConforming;
  return Verdict::kCannotSay;
}

HoleVerdict unmeasured(const PlannedHole& planned, Stage stage) {
  HoleVerdict hole;
  hole.id = planned.id;
  hole.planned_mm = planned.centre_mm;
  hole.limits = stage == Stage::kPilot && planned.pilot ? *planned.pilot : planned.finished;
  return hole;
}

/// The shank for this very bore; why there is none is said in the remedy.
void give_shank(const PlannedHole& planned, Stage stage, HoleVerdict& hole) {
  if (stage != Stage::kFinished || planned.fit.empty() || !hole.diameter_mm) return;
  if (hole.verdict == Verdict::kNotConforming) return;
  const Result<FitRequest> request = parse_fit(fmt::format("{} mm {}", planned.finish_mm, planned.fit));
  if (!request) return;
  const Result<SizeLimits> shank = shank_for_bore(*request, *hole.diameter_mm, hole.diameter_sigma_mm);
  if (shank) {
    hole.shank = *shank;
    return;
  }
  const Problem& why = shank.problems().front();
  hole.remedy += fmt::format("{}No shank yet: {}; {}.", hole.remedy.empty() ? "" : " ", why.what, why.remedy);
}

/// Limits finer than the lathe holds are met hole by hole; the very same ones stand in one line.
void add_own_shank(const std::string& mark, const HoleVerdict& hole, std::vector<FinalShank>& shanks) {
  const auto same = std::find_if(shanks.begin(), shanks.end(), [&](const FinalShank& shank) {
    return shank.mark == mark && shank.shank.min_nm == hole.shank->min_nm &&
           shank.shank.max_nm == hole.shank->max_nm;
  });
  if (same == shanks.end()) {
    shanks.push_back({mark, {hole.id}, *hole.shank});
  } else {
    same->holes.push_back(hole.id);
  }
}

void add_shanks(const PlannedPlate& plan, double turning_mm, Inspection& found) {
  std::vector<fasteners::ShankNeed> needs;
  std::string finer;
  for (std::size_t i = 0; i < found.holes.size(); ++i) {
    const HoleVerdict& hole = found.holes[i];
    if (!hole.shank) continue;
    if (hole.shank->max_mm() - hole.shank->min_mm() < turning_mm) {
      add_own_shank(plan.holes[i].mark, hole, found.shanks);
      finer += (finer.empty() ? "" : ", ") + hole.id;
      continue;
    }
    needs.push_back({hole.id, *hole.shank, plan.holes[i].mark});
  }
  if (!finer.empty()) {
    found.notes.push_back(fmt::format(
        "{}: limits finer than the {} mm the lathe is taken to hold, so each is turned to its own bore.",
        finer, turning_mm));
  }
  const auto groups = group_shanks(needs, turning_mm);
  if (!groups) return;
  for (const fasteners::ShankGroup& group : *groups) {
    FinalShank shank{needs[group.needs.front()].batch, {}, group.shank};
    for (const std::size_t i : group.needs) shank.holes.push_back(needs[i].stack);
    found.shanks.push_back(std::move(shank));
  }
  found.trade_off = grouping_choices(needs);
}

void add_notes(const MeasuredFace& measured, const InspectionOptions& options, Inspection& found) {
  if (!options.stage)
    found.notes.push_back(fmt::format("Stage {}: told from the diameters.", stage_name(found.stage)));
  if (options.measured_in == MeasuredIn::kFree) {
    found.notes.push_back(
        "Measured without the datum edges: the holes are judged among each other, laid on the plan as they "
        "fit it "
        "best. Whether all of them together stand right to the edges is not told.");
  }
  if (measured.covariance_mm2.size() == 0) {
    found.notes.push_back(
        "The measured file has no covariance over all holes: they are taken as independent.");
  }
}

}  // namespace

Result<Inspection> inspect(const PlannedPlate& plan, const MeasuredFace& measured,
                           const InspectionOptions& options) {
  const Result<std::vector<Pair>> pairs = pair_holes(plan, measured, options.measured_in);
  if (!pairs) return pairs.problems();
  const Result<Offsets> offsets = offsets_of(plan, measured, *pairs, options.measured_in);
  if (!offsets) return offsets.problems();
  Inspection found;
  found.plate = plan.name;
  found.stage = options.stage.value_or(stage_told(plan, measured, *pairs));
  for (const PlannedHole& planned : plan.holes) found.holes.push_back(unmeasured(planned, found.stage));
  for (std::size_t i = 0; i < pairs->size(); ++i) {
    const Pair& pair = (*pairs)[i];
    const MeasuredHole& hole = measured.holes[pair.measured];
    const Eigen::Index at = 2 * static_cast<Eigen::Index>(i);
    HoleVerdict& verdict = found.holes[pair.planned];
    verdict.measured_as = hole.id;
    verdict.offset_mm = offsets->mm.segment<2>(at);
    verdict.offset_cov_mm2 = offsets->cov_mm2.block<2, 2>(at, at);
    verdict.diameter_mm = hole.diameter_mm;
    verdict.diameter_sigma_mm = hole.diameter_sigma_mm;
    verdict.position = placed(plan.holes[pair.planned], found.stage, verdict);
    if (hole.diameter_mm) {
      verdict.diameter = diameter_verdict(*hole.diameter_mm, hole.diameter_sigma_mm, verdict.limits.min_mm,
                                          verdict.limits.max_mm);
    }
    verdict.verdict = joined(verdict.position, verdict.diameter);
  }
  for (std::size_t i = 0; i < plan.holes.size(); ++i) {
    HoleVerdict& hole = found.holes[i];
    hole.remedy = remedy_for(plan.holes[i], hole, found.stage);
    give_shank(plan.holes[i], found.stage, hole);
  }
  for (std::size_t m = 0; m < measured.holes.size(); ++m) {
    const bool known =
        std::any_of(pairs->begin(), pairs->end(), [&](const Pair& pair) { return pair.measured == m; });
    if (!known) found.unknown.push_back(measured.holes[m].id);
  }
  add_shanks(plan, options.turning_mm, found);
  add_notes(measured, options, found);
  return found;
}

}  // namespace fairhole

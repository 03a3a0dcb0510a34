// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/rivet.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "fairhole/base/length.h"

namespace fairhole::fasteners {
namespace {

/// Length of rivet for one hole diameter and grip.
double length_by_volume_mm(const RivetDesign& design, double hole_mm, double grip_mm) {
  const double filling = hole_mm * hole_mm / (design.rivet_mm * design.rivet_mm);
  const bool sunk = design.made_head.form == HeadForm::kCountersunk;
  const double in_head_mm = sunk ? design.made_head.height_mm : 0.0;
  return in_head_mm + (grip_mm - in_head_mm) * filling + head_shank_mm(design.closing_head, design.rivet_mm);
}

double to_half_mm(double length_mm) { return std::round(2.0 * length_mm) / 2.0; }

void add_cautions(const RivetOrder& order, RivetDesign& design) {
  constexpr double kHammerGrips = 4.5, kPressGrips = 6.5;
  constexpr double kLooseMm = kMmPerInch / 8.0;
  constexpr double kThinForSunkMm = kMmPerInch * 7.0 / 16.0;
  const double grips = design.grip.length_mm / design.rivet_mm;
  std::vector<std::string>& notes = design.notes;
  notes.push_back(
      "Heat evenly to light cherry red, 1065 C at the most; do not drive below 540 C. Cut two or three trial "
      "rivets first: "
      "clearance and snap differ.");
  notes.push_back(fmt::format(
      "To press it hot about {:.0f} kN ({:.0f} t): 150000 lbf/in2 on the cold section (Marks 1958, as "
      "quoted); an estimate.",
      design.hot.newton / 1000.0, design.hot.tonnes()));
  if (grips > kHammerGrips) {
    notes.push_back(
        fmt::format("The grip is {:.1f} diameters: over {} (hammer) or {} (press) a rivet does not fill its "
                    "hole surely (EN 1993-1-8, from memory).",
                    grips, kHammerGrips, kPressGrips));
  }
  if (order.hole_max_mm - order.rivet_mm > kLooseMm + 1e-9) {
    notes.push_back(fmt::format(
        "The hole is {:.1f} mm over the rivet, where 1/16 in is meant: take the next larger rivet.",
        order.hole_max_mm - order.rivet_mm));
  }
  const auto sunk_in_thin = [&](const HeadSize& head, const GripLayer& layer) {
    if (head.form != HeadForm::kCountersunk || layer.thickness_mm >= kThinForSunkMm) return;
    notes.push_back(
        fmt::format("\"{}\" is {:.4g} mm thick: no countersunk rivet in plate under 7/16 in (Waddell 1898).",
                    layer.part, layer.thickness_mm));
  };
  sunk_in_thin(design.made_head, order.stack.layers.front());
  sunk_in_thin(design.closing_head, order.stack.layers.back());
}

}  // namespace

PressForce closing_force(double rivet_mm, bool hot) {
  constexpr double kNewtonPerLbf = 4.4482216152605;
  constexpr double kHotLbfPerIn2 = 150000.0;
  const double area_in2 = std::numbers::pi / 4.0 * rivet_mm * rivet_mm / (kMmPerInch * kMmPerInch);
  return {kHotLbfPerIn2 * kNewtonPerLbf * area_in2 * (hot ? 1.0 : 2.0)};
}

Result<RivetDesign> design_rivet(const RivetOrder& order, const Catalogue& catalogue) {
  Problems problems;
  const auto keep = [&problems](const auto& result) {
    if (!result) append(problems, result.problems());
  };
  const Result<Grip> grip = grip_of(order.stack);
  const Result<RivetHead> made = head_named(catalogue, order.made_head);
  const Result<RivetHead> closing = head_named(catalogue, order.closing_head);
  keep(grip);
  keep(made);
  keep(closing);
  if (!(order.rivet_mm > 0.0 && order.hole_min_mm >= order.rivet_mm &&
        order.hole_max_mm >= order.hole_min_mm && std::isfinite(order.hole_max_mm))) {
    problems.push_back({codes::kBadRivet, order.stack.id,
                        fmt::format("a rivet of {} mm in a hole of {} to {} mm", order.rivet_mm,
                                    order.hole_min_mm, order.hole_max_mm),
                        "the hole is larger than the cold rivet, about 1/16 in"});
  }
  if (!problems.empty()) return problems;

  RivetDesign design;
  design.stack = order.stack.id;
  design.rivet_mm = order.rivet_mm;
  design.grip = *grip;
  design.made_head = head_of_rivet(*made, order.rivet_mm);
  design.closing_head = head_of_rivet(*closing, order.rivet_mm);
  design.length_mm =
      to_half_mm(length_by_volume_mm(design, (order.hole_min_mm + order.hole_max_mm) / 2.0, grip->length_mm));
  design.least_length_mm =
      length_by_volume_mm(design, order.hole_min_mm, grip->length_mm - grip->plus_minus_mm);
  design.most_length_mm =
      length_by_volume_mm(design, order.hole_max_mm, grip->length_mm + grip->plus_minus_mm);
  design.rule_short_mm = 1.1 * grip->length_mm + 1.3 * order.rivet_mm;
  design.rule_long_mm = grip->length_mm + 1.5 * order.rivet_mm;
  constexpr double kLeastCupHeadMm = 1.0;
  if (design.closing_head.form == HeadForm::kSnap && design.closing_head.height_mm > kLeastCupHeadMm)
    design.cup = cup_of(design.closing_head);
  design.hot = closing_force(order.rivet_mm, true);
  design.cold = closing_force(order.rivet_mm, false);
  add_cautions(order, design);
  return design;
}

}  // namespace fairhole::fasteners

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/sense_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <numbers>

#include "fairhole/fits/spacing.h"

namespace fairhole::fasteners {
namespace {

constexpr double kGamma2 = 1.25;       // EN 1993-1-8 table 2.1, recommended
constexpr double kNoticeable = 0.005;  // ratios are said when they differ by half a hundredth

double shear_of(const CheckedFastener& fastener, double packing_mm) {
  const double area_mm2 = fastener.shear_area_mm2 > 0.0
                              ? fastener.shear_area_mm2
                              : std::numbers::pi / 4.0 * fastener.diameter_mm * fastener.diameter_mm;
  constexpr double kMildSteelGrade = 4.6;
  return shear_resistance_n(shear_factor(kMildSteelGrade, fastener.thread_in_plane), fastener.ultimate_mpa,
                            area_mm2, kGamma2) *
         packing_factor(fastener.diameter_mm, packing_mm);
}

/// One distance against both rules.
void check_distance(const CheckedLayer& layer, const char* what, const std::optional<double>& distance_mm,
                    double old_least_mm, double en_least_mm, std::vector<SenseFinding>& found) {
  constexpr double kReadingMm = 1e-6;
  if (!distance_mm) return;
  std::string missed;
  if (*distance_mm < en_least_mm - kReadingMm)
    missed = fmt::format("{:.1f} mm of EN 1993-1-8 table 3.3", en_least_mm);
  if (*distance_mm < old_least_mm - kReadingMm) {
    missed += fmt::format("{}{:.1f} mm of old practice", missed.empty() ? "" : " and ", old_least_mm);
  }
  if (!missed.empty()) {
    found.push_back(
        {layer.part, what, *distance_mm / std::max(old_least_mm, en_least_mm),
         fmt::format("\"{}\": {} {:.1f} mm, less than {}.", layer.part, what, *distance_mm, missed)});
  }
}

void check_distances(const CheckedLayer& layer, double fastener_mm, std::vector<SenseFinding>& found) {
  const Spacing old = least_spacing(edge_rule(SpacingRule::kOldPractice), fastener_mm, layer.hole_after_mm);
  const Spacing en = least_spacing(edge_rule(SpacingRule::kEn1993), fastener_mm, layer.hole_after_mm);
  check_distance(layer, "to the end", layer.place.end_mm, old.end_mm, en.end_mm, found);
  check_distance(layer, "to the edge", layer.place.edge_mm, old.edge_mm, en.edge_mm, found);
  check_distance(layer, "to the next hole along the load", layer.place.pitch_mm, old.pitch_mm, en.pitch_mm,
                 found);
  check_distance(layer, "to the next hole across the load", layer.place.gauge_mm, old.gauge_mm, en.gauge_mm,
                 found);
}

/// Outer parts open to the weather and rows that may gape: table 3.3, greatest distances.
void check_gaping(const CheckedLayer& layer, std::vector<SenseFinding>& found) {
  const double edge_most_mm = 4.0 * layer.thickness_mm + 40.0;
  const double pitch_most_mm = std::min(14.0 * layer.thickness_mm, 200.0);
  const double edge_mm = std::max(layer.place.end_mm.value_or(0.0), layer.place.edge_mm.value_or(0.0));
  const double pitch_mm = std::max(layer.place.pitch_mm.value_or(0.0), layer.place.gauge_mm.value_or(0.0));
  if (edge_mm > edge_most_mm) {
    found.push_back(
        {layer.part, "far from an edge", edge_most_mm / edge_mm,
         fmt::format(
             "\"{}\": {:.1f} mm to an edge, over {:.1f} mm: in the weather the edge may gape and rust.",
             layer.part, edge_mm, edge_most_mm)});
  }
  if (pitch_mm > pitch_most_mm) {
    found.push_back(
        {layer.part, "far from the next hole", pitch_most_mm / pitch_mm,
         fmt::format("\"{}\": {:.1f} mm to the next hole, over {:.1f} mm: the plies may gape between.",
                     layer.part, pitch_mm, pitch_most_mm)});
  }
}

LayerVerdict bearing_verdict(const CheckedStack& stack, const CheckedLayer& layer,
                             std::vector<SenseFinding>& found) {
  const auto bearing = [&](const CheckedFastener& fastener, double hole_mm) {
    return bearing_of(layer.place, fastener.diameter_mm, std::max(hole_mm, fastener.diameter_mm),
                      layer.thickness_mm, layer.ultimate_mpa, fastener.ultimate_mpa, kGamma2);
  };
  LayerVerdict verdict{layer.part, bearing(stack.after, layer.hole_after_mm), std::nullopt};
  if (layer.hole_before_mm > 0.0) {
    const double before_n = bearing(stack.before, layer.hole_before_mm).resistance_n;
    if (before_n > 0.0) verdict.bearing_ratio = verdict.bearing.resistance_n / before_n;
  }
  if (verdict.bearing.resistance_n <= 0.0) {
    found.push_back({layer.part, "bearing", 0.0,
                     fmt::format("\"{}\": so near the edge that no bearing can be reckoned.", layer.part)});
  } else if (verdict.bearing_ratio.value_or(1.0) < 1.0 - kNoticeable) {
    found.push_back({layer.part, "bearing", *verdict.bearing_ratio,
                     fmt::format("\"{}\": in bearing it carries {:.2f} of what the original did.", layer.part,
                                 *verdict.bearing_ratio)});
  }
  return verdict;
}

}  // namespace

SenseCheck check_stack(const CheckedStack& stack) {
  assert(stack.before.diameter_mm > 0.0 && stack.after.diameter_mm > 0.0);
  SenseCheck check;
  check.shear_n = shear_of(stack.after, stack.packing_after_mm);
  check.shear_ratio = check.shear_n / shear_of(stack.before, stack.packing_before_mm);
  if (check.shear_ratio < 1.0 - kNoticeable) {
    check.findings.push_back(
        {"", "shear", check.shear_ratio,
         fmt::format("In shear the new fastener carries {:.2f} of what the original did{}.",
                     check.shear_ratio,
                     stack.after.thread_in_plane ? ", its thread being in a shear plane" : "")});
  }
  const double packed = packing_factor(stack.after.diameter_mm, stack.packing_after_mm);
  if (packed < 1.0) {
    check.findings.push_back(
        {"", "packing", packed,
         fmt::format("Packing of {:.1f} mm is over a third of the fastener: {:.2f} of its shear is left "
                     "(EN 1993-1-8 3.6.1(12)).",
                     stack.packing_after_mm, packed)});
  }
  for (const CheckedLayer& layer : stack.layers) {
    assert(layer.thickness_mm > 0.0 && layer.hole_after_mm > 0.0);
    check_distances(layer, stack.after.diameter_mm, check.findings);
    check_gaping(layer, check.findings);
    check.layers.push_back(bearing_verdict(stack, layer, check.findings));
  }
  for (const SenseFinding& finding : check.findings) check.flags.push_back(finding.text);
  check.deferral =
      "A check of sense, not a design: it knows neither the load nor the metal. Any change of fastener, hole "
      "or edge in a "
      "carrying structure is for a competent person under the local code.";
  return check;
}

StripCheck check_strip(const CheckedStrip& strip) {
  assert(strip.width_mm > 0.0);
  StripCheck check{worst_net_line(strip.before), worst_net_line(strip.after), 0.0, 0.0, {}};
  check.lost_before_ratio = check.before.lost_mm / strip.width_mm;
  check.lost_after_ratio = check.after.lost_mm / strip.width_mm;
  if (check.lost_after_ratio >= 1.0) {
    check.flags.push_back(
        fmt::format("\"{}\": the holes take the whole width of {:.1f} mm.", strip.part, strip.width_mm));
  } else if (check.lost_after_ratio > check.lost_before_ratio + kNoticeable) {
    check.flags.push_back(
        fmt::format("\"{}\": along the worst line the holes take {:.0f} % of the width, {:.0f} % before; "
                    "{:.2f} of the section that was there is left.",
                    strip.part, 100.0 * check.lost_after_ratio, 100.0 * check.lost_before_ratio,
                    (1.0 - check.lost_after_ratio) / (1.0 - check.lost_before_ratio)));
  }
  return check;
}

}  // namespace fairhole::fasteners

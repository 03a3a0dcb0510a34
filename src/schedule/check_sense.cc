// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "design.h"
#include "fairhole/fairing/decision.h"

namespace fairhole {
namespace {

using namespace schedule;

constexpr double kNone = std::numeric_limits<double>::infinity();

double to_segment_mm(const Eigen::Vector2d& p, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const Eigen::Vector2d along = b - a;
  const double length2 = along.squaredNorm();
  const double t = length2 > 0.0 ? std::clamp((p - a).dot(along) / length2, 0.0, 1.0) : 0.0;
  return (p - a - t * along).norm();
}

double to_outline_mm(const Assembly& assembly, const StackPlan& plan) {
  double least = kNone;
  for (const PlateShape& plate : assembly.plates) {
    if (plate.name != plan.plate) continue;
    for (std::size_t i = 0; i < plate.outline_mm.size(); ++i) {
      least = std::min(least, to_segment_mm(plan.centre_mm, plate.outline_mm[i],
                                            plate.outline_mm[(i + 1) % plate.outline_mm.size()]));
    }
  }
  return least;
}

double to_bounds_mm(const OldLayer& layer, const Eigen::Vector2d& centre_mm) {
  double least = kNone;
  for (const OldLayer::Bound& bound : layer.bounds) {
    if (!bound.head_too) least = std::min(least, bound.normal.dot(centre_mm) - bound.offset_mm);
  }
  return least;
}

/// To the nearest planned hole of the plate, or of the part in it.
double to_next_hole_mm(const Plan& plan, const StackPlan& from, const LayerPlan& layer) {
  double least = kNone;
  for (const StackPlan& other : plan.stacks) {
    if (other.plate != from.plate || other.id == from.id || other.method == Method::kLeaveOut) continue;
    const bool shared = std::any_of(other.layers.begin(), other.layers.end(), [&](const LayerPlan& theirs) {
      return theirs.new_plate == layer.new_plate && theirs.part == layer.part && theirs.face == layer.face;
    });
    if (shared) least = std::min(least, (other.centre_mm - from.centre_mm).norm());
  }
  return least;
}

std::optional<double> finite(double value) { return value < kNone ? std::optional(value) : std::nullopt; }

std::vector<fasteners::CheckedLayer> checked_layers(const Assembly& assembly, const Plan& plan,
                                                    const Stack& stack, const StackPlan& entry) {
  std::vector<fasteners::CheckedLayer> layers;
  const std::size_t first_old = entry.layers.size() - stack.layers.size();
  for (std::size_t i = 0; i < entry.layers.size(); ++i) {
    const LayerPlan& layer = entry.layers[i];
    if (layer.thickness_mm <= 0.0 || layer.finish_diameter_mm <= 0.0) continue;
    fasteners::CheckedLayer checked;
    checked.part = layer.new_plate ? stack.plate : layer.part;
    checked.thickness_mm = layer.thickness_mm;
    checked.hole_before_mm = asked_finish_mm(stack.fastener);
    checked.hole_after_mm = layer.finish_diameter_mm;
    const double edge_mm = layer.new_plate ? to_outline_mm(assembly, entry)
                                           : to_bounds_mm(stack.layers[i - first_old], entry.centre_mm);
    // Table 3.3's greatest distances ask that the row next to an edge holds it down: a hole beyond has
    // another row, or nothing, between.
    if (edge_mm <= 4.0 * layer.thickness_mm + 40.0) checked.place.end_mm = edge_mm;
    checked.place.pitch_mm = finite(to_next_hole_mm(plan, entry, layer));
    layers.push_back(checked);
  }
  return layers;
}

/// A driven rivet fills its hole. No bolt of the schedule has its thread in a layer: one off the shelf that
/// would is turned instead.
fasteners::CheckedStack checked_stack(const Stack& stack, const StackPlan& entry, const StackFastener& made) {
  const bool rivet = made.kind == fasteners::Kind::kHotRivet;
  fasteners::CheckedStack checked;
  checked.id = place_name(made.place);
  checked.before.diameter_mm = rivet ? asked_finish_mm(stack.fastener) : stack.fastener.diameter_mm;
  checked.after.diameter_mm = rivet ? entry.finish_diameter_mm : made.bolt->shank.max_mm();
  checked.packing_before_mm = checked.packing_after_mm = stack.packing_mm;
  return checked;
}

/// The share of the plate's width that holes take, along the worst line across each of its axes.
std::vector<std::string> net_section_flags(const Assembly& assembly, const Plan& plan,
                                           const PlateShape& plate) {
  std::vector<std::string> flags;
  Eigen::Vector2d low = plate.outline_mm.front(), high = low;
  for (const Eigen::Vector2d& p : plate.outline_mm) low = low.cwiseMin(p), high = high.cwiseMax(p);
  for (const int load : {0, 1}) {
    const int across = 1 - load;
    fasteners::CheckedStrip strip;
    strip.part = fmt::format("{}, load along its {} edge", plate.name, load == 0 ? "long datum" : "end");
    strip.width_mm = high[across] - low[across];
    for (const StackPlan& entry : plan.stacks) {
      const Stack* stack = stack_of(assembly, entry);
      if (stack == nullptr || entry.plate != plate.name || !is_drilled(entry)) continue;
      strip.before.push_back(
          {entry.nominal_mm[load], entry.nominal_mm[across], asked_finish_mm(stack->fastener)});
      strip.after.push_back({entry.centre_mm[load], entry.centre_mm[across], entry.finish_diameter_mm});
    }
    if (strip.width_mm <= 0.0 || strip.after.empty()) continue;
    const fasteners::StripCheck check = check_strip(strip);
    flags.insert(flags.end(), check.flags.begin(), check.flags.end());
  }
  return flags;
}

/// Findings alike in part and matter: all their holes, and the words of the worst.
struct Worst {
  fasteners::SenseFinding finding;
  HolePlace at;
  std::vector<HolePlace> places;
};

void add_finding(std::vector<Worst>& all, const fasteners::SenseFinding& finding, const HolePlace& place) {
  const auto known = std::find_if(all.begin(), all.end(), [&](const Worst& worst) {
    return worst.finding.part == finding.part && worst.finding.about == finding.about;
  });
  if (known == all.end()) {
    all.push_back({finding, place, {place}});
    return;
  }
  if (finding.share < known->finding.share) known->finding = finding, known->at = place;
  known->places.push_back(place);
}

SenseFlag flag_of(const Worst& worst) {
  if (worst.places.size() == 1) return {worst.finding.text, worst.places};
  return {fmt::format("{} That is the worst, {}.", worst.finding.text, place_name(worst.at)), worst.places};
}

}  // namespace

SenseReport check_sense(const Assembly& assembly, const Plan& plan, const FastenerSchedule& schedule) {
  SenseReport report;
  std::vector<Worst> found;
  for (const StackFastener& made : schedule.stacks) {
    if (!made.bolt && !made.rivet) continue;
    const auto entry = std::find_if(plan.stacks.begin(), plan.stacks.end(), [&](const StackPlan& stack) {
      return HolePlace{stack.plate, stack.id} == made.place;
    });
    const Stack* stack = entry != plan.stacks.end() ? stack_of(assembly, *entry) : nullptr;
    if (stack == nullptr) continue;
    fasteners::CheckedStack checked = checked_stack(*stack, *entry, made);
    checked.layers = checked_layers(assembly, plan, *stack, *entry);
    const fasteners::SenseCheck check = check_stack(checked);
    report.deferral = check.deferral;
    for (const fasteners::SenseFinding& finding : check.findings) add_finding(found, finding, made.place);
  }
  for (const Worst& worst : found) report.flags.push_back(flag_of(worst));
  for (const PlateShape& plate : assembly.plates) {
    if (!plate.is_new || plate.outline_mm.empty()) continue;
    for (const std::string& flag : net_section_flags(assembly, plan, plate))
      report.flags.push_back({flag, {}});
  }
  return report;
}

}  // namespace fairhole

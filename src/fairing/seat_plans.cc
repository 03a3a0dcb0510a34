// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/fairing/assemble.h"
#include "limits.h"
#include "search.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

double rounded(double value, double step) { return step > 0.0 ? std::round(value / step) * step : value; }

void warn_pitch(const Assembly& assembly, const Plan& plan, const FairingRules& rules,
                std::vector<std::string>& warnings) {
  for (std::size_t i = 0; i < plan.stacks.size(); ++i) {
    const StackPlan& a = plan.stacks[i];
    for (std::size_t j = i + 1; j < plan.stacks.size(); ++j) {
      const StackPlan& b = plan.stacks[j];
      if (a.plate != b.plate || !is_drilled(a) || !is_drilled(b)) continue;
      const double pitch = (a.centre_mm - b.centre_mm).norm();
      const double hole = std::max(a.finish_diameter_mm, b.finish_diameter_mm);
      const double shank =
          std::max(assembly.stacks[i].fastener.diameter_mm, assembly.stacks[j].fastener.diameter_mm);
      const double least = least_pitch_mm(rules.edges.least, shank, hole);
      const double wanted = least_pitch_mm(rules.edges.wanted, shank, hole);
      if (pitch < least) {
        const double drawn = (assembly.stacks[i].nominal_mm - assembly.stacks[j].nominal_mm).norm();
        warnings.push_back(fmt::format("{} and {} on plate {} stand {} mm apart; {} mm is the least ({}).{}",
                                       a.id, b.id, a.plate, format_mm(pitch), format_mm(least),
                                       rules.edges.least.name,
                                       drawn < least ? " The drawing itself has them so near." : ""));
      } else if (pitch < wanted) {
        warnings.push_back(fmt::format("{} and {} on plate {} stand {} mm apart; {} mm is wanted ({}).", a.id,
                                       b.id, a.plate, format_mm(pitch), format_mm(wanted),
                                       rules.edges.wanted.name));
      }
    }
  }
}

// One warning a stack: the edge that falls shortest of what is wanted.
void warn_edges(const Assembly& assembly, const Plan& plan, const FairingRules& rules,
                std::vector<std::string>& warnings) {
  for (std::size_t i = 0; i < plan.stacks.size(); ++i) {
    const StackPlan& stack = plan.stacks[i];
    if (!is_drilled(stack)) continue;
    const double shank = assembly.stacks[i].fastener.diameter_mm;
    const double wanted = least_edge_mm(rules.edges.wanted, shank, stack.finish_diameter_mm);
    const OldLayer::Bound* nearest = nullptr;
    const OldLayer* nearest_layer = nullptr;
    double least = wanted;
    for (const OldLayer& layer : assembly.stacks[i].layers) {
      for (const OldLayer::Bound& bound : layer.bounds) {
        const double distance = bound.normal.dot(stack.centre_mm) - bound.offset_mm;
        if (bound.head_too || distance >= least) continue;
        least = distance, nearest = &bound, nearest_layer = &layer;
      }
    }
    if (nearest == nullptr) continue;
    warnings.push_back(
        fmt::format("{} on plate {}: the {} of {} is {} mm from the hole's centre; {} mm is wanted ({}).",
                    stack.id, stack.plate, nearest->name, nearest_layer->part, format_mm(least),
                    format_mm(wanted), rules.edges.wanted.name));
  }
}

}  // namespace

std::vector<SeatPlan> seat_plans(const Assembly& assembly, const std::vector<LocatingPair>& locating,
                                 double setting_sigma_mm) {
  std::vector<SeatPlan> plans;
  for (std::size_t i = 0; i < assembly.seats.size(); ++i) {
    const SeatedFace& seat = assembly.seats[i];
    const SeatShift shift = seat_shift(seat.nominal, seat.seat);
    SeatPlan plan;
    plan.part = seat.part, plan.face = seat.face, plan.joint = seat.joint, plan.plate = seat.plate;
    plan.plate_from_face = seat.seat;
    plan.nominal = seat.nominal;
    plan.along_mm = shift.along_mm;
    plan.across_mm = shift.across_mm;
    plan.turn = shift.turn;
    plan.at_limit = seat.at_limit;
    if (!locating[i].stack_b.empty()) {
      plan.locating_a = locating[i].stack_a;
      plan.locating_b = locating[i].stack_b;
      plan.hole_a_mm = locating[i].a_mm, plan.hole_b_mm = locating[i].b_mm;
    }
    plan.set_x_mm = rounded(seat.seat.motion.shift_mm.x(), setting_sigma_mm);
    plan.set_y_mm = rounded(seat.seat.motion.shift_mm.y(), setting_sigma_mm);
    plans.push_back(plan);
  }
  return plans;
}

std::vector<std::string> plan_warnings(const Assembly& assembly, const Plan& plan,
                                       const FairingRules& rules) {
  std::vector<std::string> warnings;
  const auto undecided = std::count_if(plan.stacks.begin(), plan.stacks.end(), [](const StackPlan& stack) {
    return stack.method == Method::kUndecided;
  });
  if (undecided > 0) {
    warnings.push_back(fmt::format("{} of {} stacks are undecided; the odds of the job leave them out.",
                                   undecided, plan.stacks.size()));
  }
  for (const SeatPlan& seat : plan.seats) {
    if (seat.joint.empty()) continue;  // a carrying face has no seat to go to
    if (seat.at_limit) {
      warnings.push_back(
          fmt::format("{} ({}) is at the limit of its play: its holes ask for more.", seat.part, seat.joint));
    }
    if (seat.locating_a.empty()) {
      warnings.push_back(
          fmt::format("{} ({}) has fewer than two holes to hang it on.", seat.part, seat.joint));
    }
  }
  warn_edges(assembly, plan, rules, warnings);
  warn_pitch(assembly, plan, rules, warnings);
  return warnings;
}

}  // namespace fairhole::detail

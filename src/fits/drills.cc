// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/drills.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <iterator>
#include <optional>

#include "fairhole/base/length.h"
#include "table.h"

namespace fairhole {
namespace {

// Common practice, no source; drills.h says what each is for.
constexpr double kCutsOverMm = 0.05;
constexpr double kWebShare = 0.25;
constexpr double kStepShare = 0.5;
constexpr double kNoPilotUpToMm = 25.4 / 4;
constexpr double kNoStepUpToMm = 25.4 / 2;
constexpr double kLeastPilotMm = 25.4 / 8;
constexpr double kSubSizeFromMm = 25.4 * 3 / 8;

constexpr double kSameMm = 1e-9;  // a size written in mm and in inches is one size

/// The list, or the list with the shop's own, which `held` keeps.
std::span<const Drill> drills_of(DrillUnit unit, std::span<const Drill> own, std::vector<Drill>& held) {
  if (own.empty()) return drill_list(unit);
  held = drills_at_hand(unit, own);
  return held;
}

const Drill* smallest_from(double diameter_mm, std::span<const Drill> drills) {
  const auto found = std::find_if(drills.begin(), drills.end(), [diameter_mm](const Drill& drill) {
    return drill.diameter_mm >= diameter_mm - kSameMm;
  });
  return found == drills.end() ? nullptr : &*found;
}

const Drill* largest_to(double diameter_mm, std::span<const Drill> drills) {
  const Drill* largest = nullptr;
  for (const Drill& drill : drills) {
    if (drill.diameter_mm <= diameter_mm + kSameMm) largest = &drill;
  }
  return largest;
}

const Drill* under_reamer(double finish_mm, std::span<const Drill> drills) {
  const double wanted_mm = finish_mm - fits::allowance_mm("left for reaming");
  const double least_mm = finish_mm - fits::allowance_mm("most left for reaming");
  const double most_mm = finish_mm - fits::allowance_mm("least left for reaming");
  const Drill* best = nullptr;
  for (const Drill& drill : drills) {
    const bool allowed = drill.diameter_mm >= least_mm - kSameMm && drill.diameter_mm <= most_mm + kSameMm;
    if (!allowed) continue;
    const double off_mm = std::abs(drill.diameter_mm - wanted_mm);
    if (best == nullptr || off_mm < std::abs(best->diameter_mm - wanted_mm)) best = &drill;
  }
  return best;
}

std::string reamer_name(double diameter_mm, DrillUnit unit) {
  const auto whole = [](double count) { return std::abs(count - std::round(count)) < kSameMm; };
  const bool sixty_fourths = whole(diameter_mm / kMmPerInch * 64.0);
  const bool tenths = whole(diameter_mm * 10.0);
  const bool inches = sixty_fourths && !(unit == DrillUnit::kMetric && tenths);
  if (inches) return format_inches(diameter_mm);
  return fmt::format("{} mm", std::round(diameter_mm * 1000.0) / 1000.0);
}

Problem not_listed(double finish_mm, std::span<const Drill> drills) {
  return {codes::kDrillNotListed, "", fmt::format("no drill of the list serves a hole of {} mm", finish_mm),
          fmt::format("the list runs from {} to {}; state a size it can reach, or bore the hole",
                      drills.front().name, drills.back().name)};
}

std::optional<Problem> bad_diameter(double diameter_mm) {
  if (std::isfinite(diameter_mm) && diameter_mm > 0.0) return std::nullopt;
  return Problem{codes::kDrillBadDiameter, "", fmt::format("a hole of {} mm", diameter_mm),
                 "a diameter is a number above 0"};
}

/// Pilot and step drills before `final`, rising.
std::vector<DrillStep> leading_up_to(const Drill& final, std::span<const Drill> drills) {
  std::vector<DrillStep> falling;
  double next_mm = final.diameter_mm;
  while (next_mm > kNoStepUpToMm + kSameMm) {
    const Drill* step = smallest_from(kStepShare * next_mm, drills);
    assert(step != nullptr);  // final itself is larger
    falling.push_back({ToolKind::kStepDrill, step->diameter_mm, step->name});
    next_mm = step->diameter_mm;
  }
  if (next_mm > kNoPilotUpToMm + kSameMm) {
    const Drill* pilot = smallest_from(std::max(kLeastPilotMm, kWebShare * next_mm), drills);
    falling.push_back({ToolKind::kPilot, pilot->diameter_mm, pilot->name});
  }
  return {falling.rbegin(), falling.rend()};
}

}  // namespace

const char* tool_name(ToolKind kind) {
  switch (kind) {
    case ToolKind::kPilot:
      return "pilot";
    case ToolKind::kStepDrill:
      return "step drill";
    case ToolKind::kFinalDrill:
      return "final drill";
    case ToolKind::kReamer:
      break;
  }
  return "reamer";
}

Result<std::vector<DrillStep>> drill_chain(double finish_mm, HoleFinish finish, DrillUnit unit,
                                           std::span<const Drill> own) {
  if (const auto problem = bad_diameter(finish_mm)) return *problem;
  std::vector<Drill> held;
  const std::span<const Drill> drills = drills_of(unit, own, held);
  const bool reamed = finish == HoleFinish::kReamed;
  const Drill* final =
      reamed ? under_reamer(finish_mm, drills) : smallest_from(finish_mm - kCutsOverMm, drills);
  // A drill of the very size, where the list has it, and not another a hair below.
  if (const Drill* same = smallest_from(finish_mm, drills);
      !reamed && same != nullptr && std::abs(same->diameter_mm - finish_mm) <= kSameMm) {
    final = same;
  }
  if (final == nullptr) return not_listed(finish_mm, drills);
  std::vector<DrillStep> steps = leading_up_to(*final, drills);
  steps.push_back({ToolKind::kFinalDrill, final->diameter_mm, final->name});
  if (reamed) steps.push_back({ToolKind::kReamer, finish_mm, reamer_name(finish_mm, unit)});
  return steps;
}

Result<std::vector<DrillStep>> opening_chain(double existing_mm, double finish_mm, HoleFinish finish,
                                             DrillUnit unit, std::span<const Drill> own) {
  if (const auto problem = bad_diameter(existing_mm)) return *problem;
  Result<std::vector<DrillStep>> chain = drill_chain(finish_mm, finish, unit, own);
  if (!chain) return chain;
  if (existing_mm > finish_mm + kSameMm) {
    return Problem{codes::kDrillHoleTooLarge, "",
                   fmt::format("a hole of {} mm cannot be opened out to {} mm", existing_mm, finish_mm),
                   "state a larger finish, or plug the hole"};
  }
  std::erase_if(*chain,
                [existing_mm](const DrillStep& step) { return step.diameter_mm <= existing_mm + kSameMm; });
  return chain;
}

Result<DrillStep> in_place_pilot(double finish_mm, DrillUnit unit, std::span<const Drill> own) {
  if (const auto problem = bad_diameter(finish_mm)) return *problem;
  std::vector<Drill> held;
  const std::span<const Drill> drills = drills_of(unit, own, held);
  const double under_mm = finish_mm - fits::allowance_mm("pilot under reamed in place");
  const Drill* pilot = largest_to(finish_mm >= kSubSizeFromMm - kSameMm ? under_mm : finish_mm / 2, drills);
  if (pilot == nullptr || under_mm > drills.back().diameter_mm) return not_listed(finish_mm, drills);
  return DrillStep{ToolKind::kPilot, pilot->diameter_mm, pilot->name};
}

PilotLimits pilot_limits(double pilot_mm, double finish_mm, std::span<const DrillStep> in_place) {
  assert(pilot_mm > 0.0 && pilot_mm <= finish_mm);
  if (in_place.empty()) return {pilot_mm, finish_mm};
  const DrillStep& next = in_place.front();
  const double least_mm = next.tool == ToolKind::kReamer
                              ? next.diameter_mm - fits::allowance_mm("most left for reaming")
                              : kStepShare * next.diameter_mm;
  const bool reamed = in_place.back().tool == ToolKind::kReamer;
  const double most_mm = finish_mm - (reamed ? fits::allowance_mm("least left for reaming") : 0.0);
  return {std::min(least_mm, pilot_mm), std::max(most_mm, pilot_mm)};
}

}  // namespace fairhole

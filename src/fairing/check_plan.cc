// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/check_plan.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "check_plan_neighbours.h"
#include "check_plan_seats.h"
#include "fairhole/base/length.h"
#include "fairhole/geometry/circle.h"

// Nothing of the decision model is used here, only the geometry of holes: a fault there must not hide here.
namespace fairhole {
namespace {

using detail::asked_mm;
using detail::fitted;
using detail::kRoundingMm;

struct Checker {
  const FairingRules& rules;
  Problems problems;

  void add(Code code, const StackPlan& plan, std::string what, std::string remedy) {
    problems.push_back({code, fmt::format("stack {}", plan.id), std::move(what), std::move(remedy)});
  }
};

double old_radius(const OldLayer& layer) {
  return (layer.diameter_mm.value_or(0.0) - layer.ovality_mm / 2.0) / 2.0;
}

Eigen::Vector2d old_axis(const OldLayer& layer) {
  return layer.ovality_mm / 2.0 *
         Eigen::Vector2d(std::cos(layer.ovality_axis_rad), std::sin(layer.ovality_axis_rad));
}

// Farthest point of an old hole from the centre.
double reach(const OldLayer& layer, const Eigen::Vector2d& centre) {
  const Eigen::Vector2d off = layer.centre_mm - centre;
  return old_radius(layer) + std::max((off + old_axis(layer)).norm(), (off - old_axis(layer)).norm());
}

// Widest circle about the centre inside an old hole, as a diameter.
double opening(const OldLayer& layer, const Eigen::Vector2d& centre) {
  const Eigen::Vector2d axis = old_axis(layer);
  const double length2 = axis.squaredNorm();
  const double at =
      length2 > 0.0 ? std::clamp((centre - layer.centre_mm).dot(axis) / length2, -1.0, 1.0) : 0.0;
  return 2.0 * (old_radius(layer) - (layer.centre_mm + at * axis - centre).norm());
}

bool threaded(const OldLayer& layer) {
  return layer.form == HoleForm::kTapped || layer.form == HoleForm::kBlind;
}

void check_reamed(Checker& checker, const StackPlan& plan, const OldLayer& layer, const LayerPlan& old) {
  if (2.0 * reach(layer, plan.centre_mm) > old.finish_diameter_mm + kRoundingMm) {
    checker.add(codes::kPlanNotClean, plan,
                fmt::format("{} of {} is not cleaned up at {} mm", layer.hole, layer.part,
                            format_mm(old.finish_diameter_mm)),
                fmt::format("{} mm about this centre", format_mm(2.0 * reach(layer, plan.centre_mm))));
  }
  const bool too_large =
      !layer.may_be_opened || old.finish_diameter_mm > layer.largest_mm.value_or(1e9) + kRoundingMm;
  if (too_large) {
    checker.add(codes::kPlanTooLarge, plan,
                fmt::format("{} of {} must not be opened this far", layer.hole, layer.part),
                "a smaller size or another method");
  }
  if (threaded(layer) || layer.form == HoleForm::kSlotted) {
    checker.add(codes::kPlanMethodUnfit, plan,
                fmt::format("{} of {} is {} and reamed", layer.hole, layer.part, form_name(layer.form)),
                "a clearance hole in the other layers");
  }
}

// The centre about which a bush's seat is cut: the hole that is left and guides the tool, or the new one.
Eigen::Vector2d seat_centre(const StackPlan& plan, const Stack& stack) {
  const std::size_t skip = stack.plate_is_new ? 1 : 0;
  if (plan.finish != Finish::kInPlace) return plan.centre_mm;
  Eigen::Vector2d guide = plan.centre_mm;
  for (std::size_t i = 0; i < stack.layers.size(); ++i) {
    if (plan.layers[i + skip].action == "ream") return plan.centre_mm;
    if (plan.layers[i + skip].action == "leave") guide = stack.layers[i].centre_mm;
  }
  return guide;
}

void check_bushed(Checker& checker, const StackPlan& plan, const Stack& stack, const OldLayer& layer,
                  const LayerPlan& old) {
  const std::string name = fmt::format("{} of {}", layer.hole, layer.part);
  const double outside = old.bush_outside_mm.value_or(0.0);
  const double least = least_wall_mm(checker.rules, old.finish_diameter_mm);
  const bool bore_is_hole = std::abs(old.finish_diameter_mm - plan.finish_diameter_mm) < kRoundingMm;
  if (!bore_is_hole || (outside - old.finish_diameter_mm) / 2.0 < least - kRoundingMm) {
    checker.add(codes::kPlanBushWall, plan,
                fmt::format("the bush in {} is {} mm outside, {} mm inside", name, format_mm(outside),
                            format_mm(old.finish_diameter_mm)),
                fmt::format("a bore of {} mm and at least {} mm of wall", format_mm(plan.finish_diameter_mm),
                            format_mm(least)));
  }
  const double need = 2.0 * reach(layer, seat_centre(plan, stack));
  if (need > outside + kRoundingMm) {
    checker.add(codes::kPlanNotClean, plan,
                fmt::format("{} is not taken in by a bush of {} mm", name, format_mm(outside)),
                fmt::format("{} mm about this centre", format_mm(need)));
  }
  if (!layer.may_be_opened || outside > layer.largest_mm.value_or(1e9) + kRoundingMm) {
    checker.add(codes::kPlanTooLarge, plan, fmt::format("{} must not be opened this far", name),
                "a smaller size or another method");
  }
  if (layer.form != HoleForm::kThrough && layer.form != HoleForm::kTorn) {
    checker.add(codes::kPlanMethodUnfit, plan,
                fmt::format("{} is {} and bushed", name, form_name(layer.form)), "a bush in a plain hole");
  }
  const std::vector<double>& outsides = stack.fastener.bush_outsides_mm;
  const bool at_hand = std::any_of(outsides.begin(), outsides.end(),
                                   [outside](double size) { return std::abs(outside - size) < kRoundingMm; });
  if (!at_hand) {
    checker.add(codes::kPlanWrongSize, plan,
                fmt::format("a bush of {} mm outside is not at hand", format_mm(outside, 2)),
                "one of the fastener's bush_outsides");
  }
}

void check_left(Checker& checker, const StackPlan& plan, const Stack& stack, const OldLayer& layer) {
  if (layer.form == HoleForm::kTorn) {
    checker.add(codes::kPlanMethodUnfit, plan,
                fmt::format("{} of {} is torn and left", layer.hole, layer.part),
                "open it out beyond the tear, or plug it");
  }
  const bool reams = std::any_of(plan.layers.begin(), plan.layers.end(), [](const LayerPlan& other) {
    return other.action == "ream" && !other.new_plate;
  });
  const double shank = !reams                   ? stack.fastener.diameter_mm
                       : fitted(stack.fastener) ? plan.finish_diameter_mm
                                                : plan.finish_diameter_mm - stack.fastener.clearance_mm;
  const double room = threaded(layer) ? shank - 2.0 * (layer.centre_mm - plan.centre_mm).norm()
                                      : opening(layer, plan.centre_mm);
  // A hole left as it is while the new one is finished in place guides the tool: the pilot must lie inside
  // it.
  const bool guides = plan.finish == Finish::kInPlace && !reams;
  const double needed = guides ? plan.layers.front().pilot_diameter_mm.value_or(0.0) : shank;
  if (room < needed - kRoundingMm) {
    checker.add(codes::kPlanDoesNotPass, plan,
                fmt::format("{} mm does not pass {} of {}", format_mm(needed), layer.hole, layer.part),
                fmt::format("{} mm passes there", format_mm(room)));
  }
}

void check_place(Checker& checker, const StackPlan& plan, const Stack& stack, const OldLayer& layer,
                 const LayerPlan& old) {
  const bool cut = old.action != "leave";
  const double hole = old.bush_outside_mm.value_or(plan.finish_diameter_mm);
  const double shank = fitted(stack.fastener) && plan.method != Method::kClear ? plan.finish_diameter_mm
                                                                               : stack.fastener.diameter_mm;
  const double head =
      stack.fastener.head_diameter_mm > 0.0
          ? stack.fastener.head_diameter_mm * std::min(1.0, shank / stack.fastener.diameter_mm)
          : 1.6 * stack.fastener.diameter_mm;
  for (const OldLayer::Bound& bound : layer.bounds) {
    if (!bound.head_too && !cut) continue;
    const double distance = bound.normal.dot(plan.centre_mm) - bound.offset_mm;
    const double seat = old.bush_outside_mm.value_or(0.0);
    const double need = bound.head_too
                            ? std::max(head, seat) / 2.0
                            : least_edge_mm(checker.rules.edges.least, stack.fastener.diameter_mm, hole);
    if (distance >= need - kRoundingMm) continue;
    checker.add(codes::kPlanThinEdge, plan,
                fmt::format("{} of {} is {} mm from the centre", bound.name, layer.part, format_mm(distance)),
                fmt::format("at least {} mm", format_mm(need)));
  }
  const bool holds = layer.fixed || layer.form == HoleForm::kDowel || layer.form == HoleForm::kCountersunk;
  const bool serves = layer.form != HoleForm::kPlugged;
  constexpr double kSamePlaceMm =
      0.1 + kRoundingMm;  // two fixed holes may disagree by as much as anyone measures
  if (holds && serves && (layer.centre_mm - plan.centre_mm).norm() > kSamePlaceMm) {
    checker.add(codes::kPlanFixedMoved, plan,
                fmt::format("{} of {} carries location", layer.hole, layer.part),
                "keep the centre of the stack on it");
  }
}

void check_layers(Checker& checker, const StackPlan& plan, const Stack& stack) {
  const std::size_t skip = stack.plate_is_new ? 1 : 0;
  for (std::size_t i = 0; i < stack.layers.size(); ++i) {
    const OldLayer& layer = stack.layers[i];
    const LayerPlan& old = plan.layers[i + skip];
    if (old.action == "ream") check_reamed(checker, plan, layer, old);
    if (old.action == "bush") check_bushed(checker, plan, stack, layer, old);
    if (old.action == "leave") check_left(checker, plan, stack, layer);
    check_place(checker, plan, stack, layer, old);
  }
  const auto bushed = [](const LayerPlan& layer) {
    return layer.action == "bush" || layer.bush_outside_mm.has_value();
  };
  const bool any = std::any_of(plan.layers.begin(), plan.layers.end(), bushed);
  const bool of_plate = skip == 1 && bushed(plan.layers.front());
  if (of_plate || any != (plan.method == Method::kBush)) {
    checker.add(codes::kPlanMethodUnfit, plan,
                of_plate ? "the new plate is bushed"
                         : fmt::format("the method is {}, and {} layer gets a bush", method_name(plan.method),
                                       any ? "a" : "no"),
                "a bush in an old part, told as such");
  }
}

double gap_to(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& p) {
  double gap = 1e9;  // mm
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d ab = polygon[(i + 1) % polygon.size()] - a;
    const double t = std::clamp((p - a).dot(ab) / std::max(ab.squaredNorm(), 1e-12), 0.0, 1.0);
    gap = std::min(gap, (a + t * ab - p).norm());
  }
  return gap;
}

// Winding number: the sum of the angles under which the sides are seen.
bool inside(const std::vector<Eigen::Vector2d>& polygon, const Eigen::Vector2d& p) {
  double turn = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d u = polygon[i] - p;
    const Eigen::Vector2d v = polygon[(i + 1) % polygon.size()] - p;
    turn += std::atan2(u.x() * v.y() - u.y() * v.x(), u.dot(v));
  }
  return std::abs(turn) > 3.0;  // 2 pi inside, 0 outside
}

void check_plate(Checker& checker, const StackPlan& plan, const Stack& stack, const PlateShape& plate) {
  const double need =
      least_edge_mm(checker.rules.edges.least, stack.fastener.diameter_mm, plan.finish_diameter_mm);
  const bool has_outline = !plate.outline_mm.empty();
  if (has_outline && (!inside(plate.outline_mm, plan.centre_mm) ||
                      gap_to(plate.outline_mm, plan.centre_mm) < need - kRoundingMm)) {
    checker.add(codes::kPlanThinEdge, plan, fmt::format("too near the edge of plate {}", plate.name),
                fmt::format("at least {} mm", format_mm(need)));
  }
  for (const KeepOut& zone : plate.keep_outs) {
    if (!inside(zone.outline_mm, plan.centre_mm) &&
        gap_to(zone.outline_mm, plan.centre_mm) >= plan.finish_diameter_mm / 2.0 - kRoundingMm) {
      continue;
    }
    checker.add(codes::kPlanThinEdge, plan, fmt::format("touches the keep-out \"{}\"", zone.name),
                "another method or seat");
  }
}

void check_sizes(Checker& checker, const StackPlan& plan, const Stack& stack) {
  const auto is = [&plan](double size) { return std::abs(plan.finish_diameter_mm - size) < kRoundingMm; };
  const std::vector<double>& sizes = stack.fastener.sizes_mm;
  const double asked = asked_mm(stack.fastener);
  const bool at_hand = std::any_of(sizes.begin(), sizes.end(), is) || is(asked) ||
                       (stack.pinned_finish_mm && is(*stack.pinned_finish_mm));
  const auto is_old = [&plan](const char* action) {
    return std::any_of(plan.layers.begin(), plan.layers.end(), [action](const LayerPlan& layer) {
      return !layer.new_plate && layer.action == action;
    });
  };
  const bool of_own_size = plan.method == Method::kOpenOut ||
                           (plan.method == Method::kBush && (is_old("ream") || !is_old("leave")));
  if (of_own_size && !at_hand) {
    checker.add(codes::kPlanWrongSize, plan,
                fmt::format("{} mm is not at hand", format_mm(plan.finish_diameter_mm, 2)),
                "one of the fastener's sizes");
  }
  const bool method_kept = !stack.pinned_method || *stack.pinned_method == method_name(plan.method);
  const bool size_kept =
      !stack.pinned_finish_mm || is(*stack.pinned_finish_mm) || plan.method == Method::kLeaveOut;
  if (!method_kept || !size_kept) {
    checker.add(codes::kPlanPinNotKept, plan, "what the user pinned was not kept",
                "the pinned method and size");
  }
}

void check_stack(Checker& checker, const Assembly& assembly, const StackPlan& entry, const Stack& stack) {
  check_layers(checker, entry, stack);
  check_sizes(checker, entry, stack);
  for (const PlateShape& plate : assembly.plates) {
    if (plate.name == stack.plate && stack.plate_is_new) check_plate(checker, entry, stack, plate);
  }
}

}  // namespace

Problems check_plan(const Assembly& registered, const Plan& plan, const FairingRules& rules) {
  Checker checker{rules, detail::check_plan_seats(registered, plan)};
  const bool all_seats = std::none_of(checker.problems.begin(), checker.problems.end(),
                                      [](const Problem& p) { return p.code == codes::kPlanSeatMissing; });
  if (!all_seats) return checker.problems;
  const std::size_t count = registered.stacks.size();
  if (plan.stacks.size() != count) {
    return {{codes::kPlanStackMissing, "plan",
             fmt::format("{} stacks planned, {} there", plan.stacks.size(), count),
             "one plan for each stack"}};
  }
  const Assembly assembly = detail::seated_as_planned(registered, plan);
  bool all_layers = true;
  for (std::size_t i = 0; i < count; ++i) {
    const Stack& stack = assembly.stacks[i];
    const StackPlan& entry = plan.stacks[i];
    const std::size_t layers = stack.layers.size() + (stack.plate_is_new ? 1 : 0);
    if (entry.id != stack.id || entry.plate != stack.plate || entry.layers.size() != layers) {
      checker.add(codes::kPlanStackMissing, entry, fmt::format("stands in the place of stack {}", stack.id),
                  "one plan for each stack, with all its layers");
      all_layers = false;
      continue;
    }
    if (is_drilled(entry)) check_stack(checker, assembly, entry, stack);
  }
  if (all_layers) {
    const Problems off_seat = detail::check_plan_holes(assembly, plan);
    checker.problems.insert(checker.problems.end(), off_seat.begin(), off_seat.end());
    const Problems near = detail::check_plan_neighbours(assembly, plan, rules);
    checker.problems.insert(checker.problems.end(), near.begin(), near.end());
  }
  return checker.problems;
}

}  // namespace fairhole

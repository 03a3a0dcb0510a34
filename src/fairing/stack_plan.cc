// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "fairhole/base/length.h"
#include "search.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

std::string nothing_fits(const Stack& stack, const std::vector<Option>& options) {
  std::string text = stack.pinned_method || stack.pinned_finish_mm ? "What is pinned cannot be done:"
                                                                   : "Nothing that is at hand fits:";
  int listed = 0;
  for (const Option& option : options) {
    const bool by_the_way =
        option.method == Method::kPlug || (option.method == Method::kBush && stack.pinned_method != "bush");
    if (by_the_way || option.forbidden.rfind("pinned", 0) == 0 || listed == 4) continue;
    text += fmt::format(" {}: {};", option_name(option), option.forbidden);
    ++listed;
  }
  text.back() = '.';
  return text;
}

std::string fastener_text(const FastenerSpec& spec, const Option& option) {
  if (option.method == Method::kUndecided || option.method == Method::kLeaveOut) return spec.name;
  const bool as_asked = option.finish_mm == asked_finish_mm(spec);
  const bool shank_as_asked = option.method == Method::kClear || option.event.shank_mm == spec.diameter_mm;
  if (as_asked || shank_as_asked) return spec.name;
  if (is_fitted(spec.kind))
    return fmt::format("{} for {} mm", fastener_name(spec.kind), format_mm(option.finish_mm, 2));
  if (!option.counts_as_size) return spec.name;
  return fmt::format("{} {} mm", fastener_name(spec.kind),
                     format_mm(option.finish_mm - spec.clearance_mm, 2));
}

LayerPlan new_plate_layer(const Stack& stack, const Option& option) {
  LayerPlan plan;
  plan.new_plate = true;
  plan.centre_mm = option.centre_mm;
  plan.finish_diameter_mm = option.finish_mm;
  if (option.finish == Finish::kInPlace) plan.pilot_diameter_mm = option.pilot_mm;
  plan.thickness_mm = stack.plate_thickness_mm;
  plan.action = option.finish == Finish::kInPlace && is_fitted(stack.fastener.kind) ? "ream" : "drill";
  if (option.method == Method::kUndecided) plan.action = "wait";
  if (option.method == Method::kLeaveOut) plan.action = "leave";
  return plan;
}

LayerPlan old_layer(const StackCase& given, std::size_t index, const Option& option) {
  const OldLayer& layer = given.stack->layers[index];
  LayerPlan plan;
  plan.part = layer.part, plan.face = layer.face, plan.joint = layer.joint, plan.hole = layer.hole;
  plan.centre_mm = layer.centre_mm;
  plan.found_diameter_mm = layer.diameter_mm;
  plan.ovality_mm = layer.ovality_mm;
  plan.ovality_axis_rad = layer.ovality_axis_rad;
  plan.centre_cov_mm2 = given.layer_cov_mm2[index];
  plan.thickness_mm = layer.thickness_mm;
  plan.misfit_mm = layer.centre_mm - option.centre_mm;
  plan.finish_diameter_mm = layer.diameter_mm.value_or(0.0);
  plan.action = "leave";
  const bool unknown = !layer.measured || layer.form == HoleForm::kRivetIn ||
                       (!layer.diameter_mm && layer.form != HoleForm::kPlugged);
  if (unknown) plan.state = State::kLookAgain;
  if (option.method == Method::kLeaveOut) return plan;
  if (option.method == Method::kUndecided) {
    plan.action = unknown ? "look again" : "wait";
    return plan;
  }
  const bool plugged = std::find(option.plugged.begin(), option.plugged.end(), static_cast<int>(index)) !=
                       option.plugged.end();
  if (plugged || layer.form == HoleForm::kPlugged) {
    plan.action = plugged ? "plug and re-drill" : "drill";
    plan.finish_diameter_mm = option.finish_mm;
  } else if (std::find(option.bushed.begin(), option.bushed.end(), static_cast<int>(index)) !=
             option.bushed.end()) {
    plan.action = "bush";
    plan.finish_diameter_mm = option.finish_mm;
    plan.bush_outside_mm = option.bush_outside_mm;
  } else if (option.event.layers[index].role == Role::kEnclosed) {
    plan.action = "ream";
    plan.finish_diameter_mm = option.finish_mm;
  }
  return plan;
}

double grip_mm(const Stack& stack) {
  double grip = stack.plate_thickness_mm + stack.packing_mm;
  for (const OldLayer& layer : stack.layers) grip += layer.thickness_mm;
  return grip;
}

State state_of(const Stack& stack, const Option& option) {
  if (option.method == Method::kUndecided) return stack.pinned_method ? State::kUndecided : State::kLookAgain;
  return stack.pinned_method || stack.pinned_finish_mm ? State::kPinned : State::kSettled;
}

/// The best option of a kind: allowed before forbidden; of these the cheapest, of those the largest, which
/// comes nearest.
std::optional<std::size_t> best_of(const std::vector<Option>& options, auto&& is_kind) {
  std::optional<std::size_t> best;
  const auto rank = [&](std::size_t k) {
    return options[k].allowed ? std::pair(0, options[k].cost) : std::pair(1, -options[k].finish_mm);
  };
  for (std::size_t k = 0; k < options.size(); ++k) {
    if (is_kind(options[k]) && (!best || rank(k) < rank(*best))) best = k;
  }
  return best;
}

/// Any slip that moves a layer is taken to spoil the stack.
double lower_bound_of(const StackCase& stack_case, const Option& option, const FairingRules& rules) {
  const double without = event_lower_bound(option.event, stack_case.layer_cov_mm2, rules.drilling);
  return std::max(0.0, without - stack_case.slip_probability);
}

/// As it is, oversize, re-drill: side by side where something has to be done to old metal.
std::vector<OtherWay> ways_of(const StackCase& stack_case, const std::vector<Option>& options, int chosen,
                              const FairingRules& rules) {
  if (chosen < 0) return {};
  const Method taken = options[static_cast<std::size_t>(chosen)].method;
  if (taken != Method::kOpenOut && taken != Method::kPlug && taken != Method::kBush) return {};
  std::vector<OtherWay> ways;
  const auto add = [&](std::optional<std::size_t> best) {
    if (!best) return;
    const Option& option = options[*best];
    OtherWay way;
    way.method = option.method;
    way.finish_diameter_mm = option.finish_mm;
    way.allowed = option.allowed;
    way.taken = static_cast<int>(*best) == chosen;
    way.cost = option.cost;
    if (option.allowed) {
      way.odds_lower_bound = lower_bound_of(stack_case, option, rules);
    }
    way.why = option.allowed ? option.reason : option.forbidden;
    ways.push_back(std::move(way));
  };
  for (const Method method :
       {Method::kTransfer, Method::kClear, Method::kOpenOut, Method::kBush, Method::kPlug}) {
    const bool as_taken = method == taken;
    if (method == Method::kOpenOut) {
      const double limit_mm = as_taken ? options[static_cast<std::size_t>(chosen)].finish_mm : kNoSizeLimitMm;
      if (const Option* size = telling_size(options, limit_mm))
        add(static_cast<std::size_t>(size - options.data()));
      if (!as_taken) continue;
    }
    if (method == Method::kTransfer && stack_case.stack->layers.size() > 1) continue;
    if (method == Method::kClear && is_fitted(stack_case.stack->fastener.kind)) continue;
    add(as_taken ? std::optional(static_cast<std::size_t>(chosen))
                 : best_of(options, [method](const Option& option) { return option.method == method; }));
  }
  return ways;
}

}  // namespace

StackPlan stack_plan(const StackCase& stack_case, const std::vector<Option>& options, int chosen, double cost,
                     double odds, const FairingRules& rules) {
  const Stack& stack = *stack_case.stack;
  Option option;  // undecided
  option.centre_mm = options.front().centre_mm;
  if (chosen >= 0) option = options[static_cast<std::size_t>(chosen)];
  const bool decided = option.method != Method::kUndecided;

  StackPlan plan;
  plan.id = stack.id, plan.plate = stack.plate, plan.group = stack.group;
  plan.centre_mm = option.centre_mm;
  plan.nominal_mm = stack.nominal_mm;
  plan.method = option.method;
  plan.state = chosen >= 0 ? state_of(stack, option) : State::kUndecided;
  plan.finish_diameter_mm = option.finish_mm;
  plan.finish = decided ? option.finish : Finish::kNone;
  plan.fastener = fastener_text(stack.fastener, option);
  plan.grip_mm = grip_mm(stack);
  plan.odds = decided ? odds : 0.0;
  if (decided) plan.odds_lower_bound = lower_bound_of(stack_case, option, rules);
  plan.cost = cost;
  plan.margin_mm = option.margin_mm;
  plan.position_zone_mm = option.position_zone_mm;
  plan.least_diameter_mm = option.least_diameter_mm;
  plan.largest_diameter_mm = option.largest_diameter_mm;
  plan.reason = chosen >= 0 ? option.reason : nothing_fits(stack, options);
  if (chosen >= 0) plan.ruled_out = ruled_out(stack, options, chosen);
  plan.ways = ways_of(stack_case, options, chosen, rules);
  if (stack.plate_is_new) plan.layers.push_back(new_plate_layer(stack, option));
  for (std::size_t i = 0; i < stack.layers.size(); ++i)
    plan.layers.push_back(old_layer(stack_case, i, option));
  return plan;
}

}  // namespace fairhole::detail

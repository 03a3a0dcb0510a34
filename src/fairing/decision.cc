// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/decision.h"

#include <fmt/core.h>

#include <algorithm>

#include "fairhole/base/length.h"
#include "ways.h"

namespace fairhole {
namespace {

using detail::Bench;
using detail::Holes;

// What nobody knows yet: the first layer that hinders every decision, and what to do about it.
std::string unknown(const Stack& stack) {
  for (const OldLayer& layer : stack.layers) {
    const std::string name = detail::layer_name(layer);
    if (layer.form == HoleForm::kRivetIn) {
      return fmt::format("A rivet still stands in {}: drive it out, then measure the hole.", name);
    }
    if (!layer.measured)
      return fmt::format("Nobody measured {}: measure it, or say that the part has no hole there.", name);
    if (!layer.diameter_mm && layer.form != HoleForm::kPlugged) {
      return fmt::format("The diameter of {} is not known: caliper it in two directions.", name);
    }
  }
  return {};
}

Option undecided(const Stack& stack, const std::string& reason) {
  Option option;
  option.allowed = true;
  option.reason = reason;
  option.centre_mm = stack.nominal_mm;
  for (const OldLayer& layer : stack.layers) {
    if (layer.measured && layer.form != HoleForm::kPlugged) {
      option.centre_mm = layer.centre_mm;
      break;
    }
  }
  return option;
}

Option leave_out(const Stack& stack) {
  Option option;
  option.method = Method::kLeaveOut;
  option.allowed = true;
  option.centre_mm = stack.nominal_mm;
  option.finish = Finish::kNone;
  option.reason = "Left out: no hole is drilled.";
  option.event.centre_mm = stack.nominal_mm;
  option.event.layers.resize(stack.layers.size());
  return option;
}

}  // namespace

namespace detail {
namespace {

std::vector<double> sizes_to_try(const Stack& stack) {
  const double asked = asked_finish_mm(stack.fastener);
  std::vector<double> sizes;
  for (const double size : stack.fastener.sizes_mm) {
    if (size >= asked - kSameSizeMm) sizes.push_back(size);
  }
  for (const std::optional<double> extra : {std::optional(asked), stack.pinned_finish_mm}) {
    if (!extra) continue;
    const bool known = std::any_of(sizes.begin(), sizes.end(),
                                   [&](double size) { return std::abs(size - *extra) < kSameSizeMm; });
    if (!known) sizes.push_back(*extra);
  }
  std::sort(sizes.begin(), sizes.end());
  return sizes;
}

}  // namespace

std::vector<Option> ways_with(const Bench& bench, const Holes& holes) {
  const FastenerSpec& spec = bench.stack.fastener;
  if (holes.serving.empty() && holes.bushed.empty()) return {drill_to_drawing(bench, holes)};
  if (holes.serving.empty()) return {open_out(bench, holes, asked_finish_mm(spec))};
  std::vector<Option> options{transfer(bench, holes), clear(bench, holes)};
  for (const double size : sizes_to_try(bench.stack)) options.push_back(open_out(bench, holes, size));
  return options;
}

}  // namespace detail

namespace {

bool may_be_plugged(const OldLayer& layer) {
  const bool plain = layer.form == HoleForm::kThrough || layer.form == HoleForm::kTorn;
  return plain && !detail::holds_place(layer) && layer.may_be_opened;
}

Option as_plug(const Bench& bench, Option option, const std::vector<int>& plugged) {
  std::string names;
  for (const int index : plugged) {
    names += (names.empty() ? "" : " and ") + detail::layer_name(bench.layer(index));
  }
  option.reason = option.method == Method::kDrillToDrawing
                      ? fmt::format("Plug {} and drill afresh to the drawing.", names)
                      : fmt::format("Plug {} and drill afresh. {}", names, option.reason);
  option.method = Method::kPlug;
  option.plugged = plugged;
  option.cost += bench.rules.costs.plug * static_cast<double>(plugged.size());
  return option;
}

// Plugging each set of old holes that may be plugged, with the ways the rest then has.
std::vector<Option> plug_ways(const Bench& bench, const Holes& holes) {
  std::vector<Option> options;
  std::vector<int> candidates;
  for (const int index : holes.serving) {
    if (may_be_plugged(bench.layer(index))) candidates.push_back(index);
  }
  // Of two ways that cost the same the worse hole is plugged, in whatever order the job lists them.
  std::stable_sort(candidates.begin(), candidates.end(), [&bench](int a, int b) {
    return detail::long_mm(bench.layer(a)) > detail::long_mm(bench.layer(b));
  });
  for (const std::vector<int>& plugged : detail::sets_of(candidates)) {
    Holes rest{{}, holes.made};
    for (const int index : holes.serving) {
      const bool is_plugged = std::find(plugged.begin(), plugged.end(), index) != plugged.end();
      (is_plugged ? rest.made : rest.serving).push_back(index);
    }
    for (Option& option : detail::ways_with(bench, rest))
      options.push_back(as_plug(bench, std::move(option), plugged));
  }
  return options;
}

void apply_pins(const Stack& stack, std::vector<Option>& options) {
  for (Option& option : options) {
    if (stack.pinned_method && method_name(option.method) != *stack.pinned_method) {
      option.allowed = false;
      option.hopeless = true;
      option.forbidden = fmt::format("pinned to {}", *stack.pinned_method);
    } else if (stack.pinned_finish_mm && std::abs(option.finish_mm - *stack.pinned_finish_mm) > kSameSizeMm) {
      option.allowed = false;
      option.hopeless = true;
      option.forbidden = fmt::format("pinned to {} mm", format_mm(*stack.pinned_finish_mm, 2));
    }
  }
}

}  // namespace

bool is_fitted(FastenerKind kind) {
  return kind == FastenerKind::kFittedBolt || kind == FastenerKind::kRivetHeadedFittedBolt;
}

double asked_finish_mm(const FastenerSpec& fastener) {
  return fastener.diameter_mm + (is_fitted(fastener.kind) ? 0.0 : fastener.clearance_mm);
}

std::vector<Option> options_for(const StackCase& stack_case, const FairingRules& rules) {
  const Stack& stack = *stack_case.stack;
  if (stack.pinned_method == method_name(Method::kLeaveOut)) return {leave_out(stack)};
  if (const std::string lack = unknown(stack); !lack.empty()) return {undecided(stack, lack)};

  const Bench bench(stack_case, rules);
  Holes holes;
  for (int i = 0; i < static_cast<int>(stack.layers.size()); ++i) {
    (bench.layer(i).form == HoleForm::kPlugged ? holes.made : holes.serving).push_back(i);
  }
  std::vector<Option> options = detail::ways_with(bench, holes);
  for (Option& option : detail::bush_ways(bench, holes)) options.push_back(std::move(option));
  for (Option& option : plug_ways(bench, holes)) options.push_back(std::move(option));
  apply_pins(stack, options);
  return options;
}

}  // namespace fairhole

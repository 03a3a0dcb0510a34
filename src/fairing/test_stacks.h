// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>

#include "fairhole/fairing/decision.h"

/// Small stacks for the tests. mm.
namespace fairhole::test {

inline OldLayer old_hole(std::string part, double x, double y, double diameter) {
  OldLayer layer;
  layer.face = "leg";
  layer.joint = part + "-joint";
  layer.part = std::move(part);
  layer.hole = "A1";
  layer.centre_mm = {x, y};
  layer.diameter_mm = diameter;
  layer.thickness_mm = 12.7;
  return layer;
}

inline FastenerSpec fitted_bolt() {
  FastenerSpec spec;
  spec.name = "fitted bolt 22 mm";
  spec.kind = FastenerKind::kFittedBolt;
  spec.diameter_mm = 22.0;
  spec.sizes_mm = {22.0, 24.0, 26.0};
  spec.clearance_mm = 0.0;
  return spec;
}

inline FastenerSpec rivet() {
  FastenerSpec spec;
  spec.name = "rivet 22 mm";
  spec.kind = FastenerKind::kRivet;
  spec.diameter_mm = 22.0;
  spec.clearance_mm = 1.6;
  spec.sizes_mm = {23.6, 25.6};
  return spec;
}

inline Stack stack_of(FastenerSpec fastener, std::vector<OldLayer> layers) {
  Stack stack;
  stack.id = "S1";
  stack.plate = "left";
  stack.group = "toe";
  stack.nominal_mm = {100.0, 100.0};
  stack.fastener = std::move(fastener);
  stack.plate_thickness_mm = 12.0;
  stack.layers = std::move(layers);
  return stack;
}

inline PlateShape plate_500() {
  return {"left", {{0.0, 0.0}, {500.0, 0.0}, {500.0, 300.0}, {0.0, 300.0}}, {}, 12.0, true};
}

/// No error of any kind: what is decided then follows from geometry alone.
inline FairingRules exact_rules() {
  FairingRules rules;
  rules.drilling = {0.0, 0.0, 0.0};
  rules.setting_sigma_mm = 0.0;
  return rules;
}

inline std::vector<Option> exact_options(const Stack& stack, const PlateShape& plate,
                                         const FairingRules& rules = exact_rules()) {
  const StackCase entry{&stack, &plate,
                        std::vector<Eigen::Matrix2d>(stack.layers.size(), Eigen::Matrix2d::Zero())};
  return options_for(entry, rules);
}

/// The cheapest option that is allowed, first of equals; null when none is.
inline const Option* cheapest(const std::vector<Option>& options) {
  const Option* best = nullptr;
  for (const Option& option : options) {
    if (option.allowed && (best == nullptr || option.cost < best->cost)) best = &option;
  }
  return best;
}

}  // namespace fairhole::test

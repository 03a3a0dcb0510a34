// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check_plan_neighbours.h"

#include <fmt/core.h>

#include <algorithm>

#include "fairhole/base/length.h"

namespace fairhole::detail {
namespace {

void add(Problems& problems, Code code, const StackPlan& plan, std::string what, std::string remedy) {
  problems.push_back({code, fmt::format("stack {}", plan.id), std::move(what), std::move(remedy)});
}

void check_pairs(Problems& problems, const Assembly& assembly, const Plan& plan) {
  for (const PlatePair& pair : assembly.pairs) {
    for (const StackPlan& a : plan.stacks) {
      for (const StackPlan& b : plan.stacks) {
        if (a.plate != pair.a || b.plate != pair.b || a.id != b.id || !is_drilled(a) || !is_drilled(b))
          continue;
        const double apart = (pair.b_from_a * a.centre_mm - b.centre_mm).norm();
        if (apart <= kRoundingMm) continue;
        add(problems, codes::kPlanPairApart, a,
            fmt::format("{} and {} are drilled together, and want it {} mm apart", pair.a, pair.b,
                        format_mm(apart)),
            "one centre for both plates, or drill them apart");
      }
    }
  }
}

// Widest hole of a stack in the metal that another has too: its own, or the seat of a bush in a part of both.
double widest_beside(const StackPlan& stack, const StackPlan& other) {
  double widest = stack.finish_diameter_mm;
  for (const LayerPlan& layer : stack.layers) {
    for (const LayerPlan& beside : other.layers) {
      if (!layer.new_plate && !beside.new_plate && layer.joint == beside.joint)
        widest = std::max(widest, layer.bush_outside_mm.value_or(0.0));
    }
  }
  return widest;
}

void check_pitch(Problems& problems, const Assembly& assembly, const Plan& plan, const FairingRules& rules) {
  for (std::size_t i = 0; i < plan.stacks.size(); ++i) {
    for (std::size_t j = i + 1; j < plan.stacks.size(); ++j) {
      const StackPlan& a = plan.stacks[i];
      const StackPlan& b = plan.stacks[j];
      if (a.plate != b.plate || !is_drilled(a) || !is_drilled(b)) continue;
      const double shank =
          std::max(assembly.stacks[i].fastener.diameter_mm, assembly.stacks[j].fastener.diameter_mm);
      const double least =
          least_pitch_mm(rules.edges.least, shank, std::max(widest_beside(a, b), widest_beside(b, a)));
      const double pitch = (a.centre_mm - b.centre_mm).norm();
      // Holes drawn nearer than the sizes asked for allow are for whoever answers for the drawing: no choice
      // of sizes mends them.
      const double drawn = (assembly.stacks[i].nominal_mm - assembly.stacks[j].nominal_mm).norm();
      const double asked =
          std::max(asked_mm(assembly.stacks[i].fastener), asked_mm(assembly.stacks[j].fastener));
      const bool as_drawn = drawn < least_pitch_mm(rules.edges.least, shank, asked);
      if (pitch >= least - kRoundingMm || as_drawn) continue;
      add(problems, codes::kPlanPitch, a, fmt::format("{} is {} mm away", b.id, format_mm(pitch)),
          fmt::format("at least {} mm", format_mm(least)));
    }
  }
}

}  // namespace

Problems check_plan_neighbours(const Assembly& seated, const Plan& plan, const FairingRules& rules) {
  Problems problems;
  check_pairs(problems, seated, plan);
  check_pitch(problems, seated, plan, rules);
  return problems;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/fairing/decision.h"
#include "limits.h"

/// The ways to treat the old holes of a stack, each an option with its rule.
namespace fairhole::detail {

/// A stack with its figures worked out once.
struct Bench {
  const StackCase& given;
  const Stack& stack;
  const FairingRules& rules;
  std::vector<double> growth_mm;        ///< of each layer's radius relative to the new hole as drilled
  std::vector<double> plate_growth_mm;  ///< the same without the new hole's own error
  double drill_growth_mm = 0.0;

  Bench(const StackCase& stack_case, const FairingRules& fairing_rules);
  const OldLayer& layer(int index) const { return stack.layers[static_cast<std::size_t>(index)]; }
  double growth(int index) const { return growth_mm[static_cast<std::size_t>(index)]; }
  double plate_growth(int index) const { return plate_growth_mm[static_cast<std::size_t>(index)]; }
};

/// Radius that holds a plane normal error of this covariance with this probability, to 1e-6 mm.
double holding_radius_mm(const Eigen::Matrix2d& cov_mm2, double probability);

/// The old holes that serve (indices of layers), and those to be made: blank metal and plugged holes.
struct Holes {
  std::vector<int> serving;
  std::vector<int> made;
};

/// Extra opening, on diameter, beyond what was measured of a torn hole.
double tear_mm(const Bench& bench, const OldLayer& layer);

Option transfer(const Bench& bench, const Holes& holes);
Option clear(const Bench& bench, const Holes& holes);
Option open_out(const Bench& bench, const Holes& holes, double finish_mm);
Option drill_to_drawing(const Bench& bench, const Holes& holes);

// What the ways share.
double long_mm(const OldLayer& layer);   ///< longest diameter; requires a diameter
double short_mm(const OldLayer& layer);  ///< shortest diameter
Eigen::Vector2d half_axis_mm(const OldLayer& layer);
std::string layer_name(const OldLayer& layer);  ///< "A7 of near angle"
bool is_threaded(const OldLayer& layer);  ///< tapped or blind: takes the fastener itself, cannot be reamed
bool holds_place(const OldLayer& layer);  ///< dowel, countersunk or fixed: the stack's centre is this hole's
/// A hole that carries location, or the thread of a screw, is the centre; two of them that disagree leave
/// none.
struct Held {
  std::optional<Eigen::Vector2d> centre_mm;
  int by = -1;  ///< index of the layer that holds it
  std::string fault;
};
Held held_place(const Bench& bench, const Holes& holes);
HoleSize size_of(const Bench& bench, double hole_mm, double fastener_mm);
/// All limits for a hole of `size`: plate, layers cut (made or `cut`), and heads in the others.
std::vector<Limit> limits_for(const Bench& bench, const Holes& holes, const HoleSize& size,
                              const std::vector<int>& cut);
/// What speaks against the centre: limits, plate outline, keep-outs. Empty: nothing.
std::string place_fault(const Bench& bench, const std::vector<Limit>& limits, const HoleSize& size,
                        const Eigen::Vector2d& centre);
StackEvent empty_event(const Bench& bench, const Eigen::Vector2d& centre);
/// Allowed is what nothing forbids.
void finish_option(Option& option);

}  // namespace fairhole::detail

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
  /// Of a layer's radius relative to the hole of another layer.
  double growth_about(int index, int other) const;
};

/// Radius that holds a plane normal error of this covariance with this probability, to 1e-6 mm.
double holding_radius_mm(const Eigen::Matrix2d& cov_mm2, double probability);

/// The old holes that serve (indices of layers), those to be made (blank metal and plugged holes), and those
/// that get a bush.
struct Holes {
  std::vector<int> serving;
  std::vector<int> made;
  std::vector<int> bushed = {};
  double bush_outside_mm = 0.0;
};

/// Extra opening, on diameter, beyond what was measured of a torn hole.
double tear_mm(const Bench& bench, const OldLayer& layer);

/// Least diameter of the finished hole: one that a shank fills as planned, another as long as the shank
/// passes.
double least_finished_mm(const Bench& bench, double finish_mm);

Option transfer(const Bench& bench, const Holes& holes);
Option clear(const Bench& bench, const Holes& holes);
Option open_out(const Bench& bench, const Holes& holes, double finish_mm);
Option drill_to_drawing(const Bench& bench, const Holes& holes);
/// Each set of old holes bushed that may be, with each outside at hand and the ways that the rest then has
/// (`ways_with`).
std::vector<Option> bush_ways(const Bench& bench, const Holes& holes);
/// Every way that leaves the sets of holes as they are.
std::vector<Option> ways_with(const Bench& bench, const Holes& holes);

// What a bush's seat asks of the other ways.
/// Of the old holes to be bushed the end discs, grown by their doubt, made smaller by what the seat is larger
/// than a circle of `circle_mm`: it encloses these where the seat encloses the holes.
std::vector<Circle> seat_discs(const Bench& bench, const Holes& holes, double circle_mm);
/// Least that is left on diameter between the seats about `centre` and the old holes; `guide`: about this
/// layer's hole instead, as it comes to stand; -1: none. Infinite without a bush.
double seat_margin_mm(const Bench& bench, const Holes& holes, const Eigen::Vector2d& centre, int guide = -1);
/// How far the seats could stand off `centre` and still take in the old holes as measured.
double seat_zone_mm(const Bench& bench, const Holes& holes, const Eigen::Vector2d& centre);
/// Why the seats do not take in their old holes. Empty: they do.
std::string seat_fault(const Bench& bench, const Holes& holes, double margin_mm,
                       const char* where = "about this centre");
void fill_seats(const Bench& bench, const Holes& holes, StackEvent& event);
/// The widest bore that leaves a bush its wall.
double widest_bore_mm(const FairingRules& rules, double outside_mm);

// What the ways share.
double long_mm(const OldLayer& layer);   ///< longest diameter; requires a diameter
double short_mm(const OldLayer& layer);  ///< shortest diameter
Eigen::Vector2d half_axis_mm(const OldLayer& layer);
double farthest_mm(const OldLayer& layer, const Eigen::Vector2d& centre);  ///< of its rim from there
/// Every set of these, none left out, the empty one not among them; each in rising order. A stack has few
/// layers: of more than six the first six.
std::vector<std::vector<int>> sets_of(std::vector<int> layers);
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

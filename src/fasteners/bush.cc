// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/bush.h"

#include <fmt/format.h>

#include "fairhole/fits/fit.h"
#include "fairhole/fits/spacing.h"

namespace fairhole::fasteners {
namespace {

/// The bush's outside in the hole as measured, or in its class.
Result<SizeLimits> outside_of(const BushOrder& order) {
  if (!order.bore_mm) return limits_of(order.outside_class, order.hole_nominal_mm);
  const FitRequest request{order.hole_nominal_mm, fmt::format("{}", order.hole_nominal_mm), std::nullopt,
                           order.outside_class};
  return shank_for_bore(request, *order.bore_mm, order.bore_sigma_mm);
}

Result<SizeLimits> hole_of(const BushOrder& order) {
  if (!order.bore_mm) return limits_of(order.seat_class, order.hole_nominal_mm);
  return SizeLimits{nanometres(*order.bore_mm - 2.0 * order.bore_sigma_mm),
                    nanometres(*order.bore_mm + 2.0 * order.bore_sigma_mm)};
}

}  // namespace

Result<BushDesign> design_bush(const BushOrder& order) {
  const bool sized = order.hole_nominal_mm > order.bolt_nominal_mm && order.bolt_nominal_mm > 0.0 &&
                     order.length_mm > 0.0 && order.pressed_bore_mm <= order.bolt_nominal_mm &&
                     order.bush.modulus_mpa > 0.0 && order.part.modulus_mpa > 0.0 &&
                     (order.metal_round_mm == 0.0 || order.metal_round_mm > 1.05 * order.hole_nominal_mm) &&
                     order.bore_class.is_hole() && order.seat_class.is_hole() &&
                     !order.outside_class.is_hole();
  if (!sized) {
    return Problem{codes::kBadBush, order.hole, "a bush whose sizes, classes or metals cannot be",
                   "the bolt is smaller than the hole, metal stands round it, the outside has a shaft class "
                   "and the bore "
                   "a hole class"};
  }
  const Result<SizeLimits> outside = outside_of(order);
  if (!outside) return outside.problems();
  const Result<SizeLimits> hole = hole_of(order);
  if (!hole) return hole.problems();
  const Result<SizeLimits> bore = limits_of(order.bore_class, order.bolt_nominal_mm);
  if (!bore) return bore.problems();

  BushDesign design;
  design.outside = *outside;
  design.bore = *bore;
  design.wall_mm = (outside->min_mm() - bore->max_mm()) / 2.0;
  const double least_wall_mm = order.least_wall_mm.value_or(least_bush_wall_mm(order.bolt_nominal_mm));
  if (design.wall_mm < least_wall_mm) {
    return Problem{codes::kBushWall, order.hole,
                   fmt::format("a bush of {:.4g} mm round a bolt of {:.4g} mm has {:.2f} mm of wall",
                               order.hole_nominal_mm, order.bolt_nominal_mm, design.wall_mm),
                   fmt::format("open the hole to {:.4g} mm or more, or open out all layers instead",
                               order.bolt_nominal_mm + 2.0 * least_wall_mm + 0.1)};
  }
  design.least_interference_mm = outside->min_mm() - hole->max_mm();
  design.most_interference_mm = outside->max_mm() - hole->min_mm();
  const double round_mm = order.metal_round_mm > 0.0 ? order.metal_round_mm : 3.0 * order.hole_nominal_mm;
  const double inside_mm = order.pressed_bore_mm > 0.0 ? order.pressed_bore_mm : order.bolt_nominal_mm;
  const PressedPair pair{order.hole_nominal_mm, round_mm, inside_mm, order.length_mm, order.bush, order.part};
  design.closes_least_mm = press(pair, design.least_interference_mm).bore_closes_mm;
  design.closes_most_mm = press(pair, design.most_interference_mm).bore_closes_mm;
  design.driving = driving(pair, design.most_interference_mm);
  design.notes.push_back(fmt::format("Ream the bore after pressing in: it closes by {:.3f} to {:.3f} mm.",
                                     design.closes_least_mm, design.closes_most_mm));
  if (design.least_interference_mm <= 0.0)
    design.notes.push_back(
        "At its loosest the bush is not held: choose a tighter class, or measure the hole.");
  return design;
}

}  // namespace fairhole::fasteners

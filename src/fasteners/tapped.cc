// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/tapped.h"

#include <fmt/format.h>

#include <cmath>

#include "round_up.h"

namespace fairhole::fasteners {

Result<TappedDesign> design_tapped(const TappedOrder& order, const Catalogue& catalogue) {
  constexpr double kClearMm = 0.5;
  constexpr double kSteelDiameters = 1.0, kCastIronDiameters = 1.5;
  const Result<Grip> grip = grip_of(order.stack);
  if (!grip) return grip.problems();
  const Result<Thread> thread = thread_named(catalogue, order.thread);
  if (!thread) return thread.problems();
  const bool sized = order.shank.min_nm > 0 && order.shank.max_nm >= order.shank.min_nm &&
                     order.full_thread_mm > 0.0 && order.relief_pitches >= 0.0 &&
                     order.shank_over_mm >= 0.0 && thread->major_mm <= order.shank.max_mm() + 0.01;
  if (!sized) {
    return Problem{codes::kBadTapped, order.stack.id,
                   fmt::format("a shank of {:.4g} mm with thread {} in {:.4g} mm of full thread",
                               order.shank.max_mm(), thread->name(), order.full_thread_mm),
                   "the shank is no smaller than the thread, and all sizes and rules are above 0"};
  }

  TappedDesign design;
  design.thread = *thread;
  design.grip = *grip;
  design.relief_mm = order.relief_pitches * thread->pitch_mm;
  design.shank_mm = up_to(0.1, grip->length_mm + grip->plus_minus_mm);
  const double thinnest_mm = grip->length_mm - grip->plus_minus_mm;
  design.counterbore_mm = up_to(0.5, design.shank_mm + order.shank_over_mm + design.relief_mm - thinnest_mm);
  design.counterbore_diameter_mm = up_to(0.5, order.shank.max_mm() + kClearMm);
  design.engaged_mm = (order.cast_iron ? kCastIronDiameters : kSteelDiameters) * thread->major_mm;
  design.length_mm = up_to(1.0, grip->length_mm + grip->plus_minus_mm + design.counterbore_mm +
                                    design.engaged_mm + thread->pitch_mm);
  const double deepest_mm = design.length_mm - thinnest_mm;
  if (deepest_mm > order.full_thread_mm + kRoundingMm) {
    return Problem{codes::kBadTapped, order.stack.id,
                   fmt::format("{:.4g} mm of full thread in the hole is too shallow", order.full_thread_mm),
                   fmt::format("tap it {:.4g} mm deep, or fasten it otherwise", up_to(0.5, deepest_mm))};
  }
  design.notes.push_back(
      fmt::format("Counterbore the tapped hole to {:.4g} mm, {:.4g} mm deep, so that no thread lies in the "
                  "joint's face.",
                  design.counterbore_diameter_mm, design.counterbore_mm));
  return design;
}

}  // namespace fairhole::fasteners

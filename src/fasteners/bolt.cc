// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/bolt.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/fasteners/tapped.h"
#include "round_up.h"
#include "stock_bolt.h"

namespace fairhole::fasteners {
namespace {

constexpr double kReliefUnderCoreMm = 0.2;
constexpr double kWasherClearMm = 0.5;  // hole of a washer over a shank that enters it, on diameter

Problem cannot(const BoltOrder& order, const std::string& what, const std::string& remedy) {
  return {codes::kBadBolt, order.stack.id, what, remedy};
}

/// The largest thread of the series up to a size for which there is a nut (BS 1083 has none of 11/16 in).
Result<Thread> largest_with_nut(const std::string& series, double limit_mm, const Catalogue& catalogue) {
  constexpr double kSmallerMm = 0.01;
  Result<Thread> thread = largest_thread(catalogue, series, limit_mm);
  while (thread && !hexagon_for(catalogue, hexagon_series_of(series), thread->major_mm))
    thread = largest_thread(catalogue, series, thread->major_mm - kSmallerMm);
  return thread;
}

Result<Thread> thread_of(const BoltOrder& order, const Catalogue& catalogue) {
  constexpr double kSameMm = 0.01;
  const BoltRules& rules = order.rules;
  if (rules.thread) {
    Result<Thread> thread = thread_named(catalogue, *rules.thread);
    if (thread && thread->major_mm > order.shank.max_mm() + kSameMm) {
      return cannot(order,
                    fmt::format("thread {} of {:.4g} mm does not pass a hole for a shank of {:.4g} mm",
                                thread->name(), thread->major_mm, order.shank.max_mm()),
                    "choose a smaller thread");
    }
    return thread;
  }
  if (order.kind != Kind::kClearanceBolt)
    return largest_with_nut(rules.thread_series, order.shank.min_mm() - rules.thread_under_mm, catalogue);
  Result<Thread> thread = largest_thread(catalogue, rules.thread_series, order.nominal_mm + kSameMm);
  if (thread && thread->major_mm < order.nominal_mm - kSameMm) {
    return cannot(order, fmt::format("no {} bolt of {:.4g} mm", rules.thread_series, order.nominal_mm),
                  fmt::format("state a thread; the next smaller is {}", thread->name()));
  }
  return thread;
}

/// The hexagon of the thread, or of the next size where that stands too little over the shank.
Result<Hexagon> head_hexagon(const BoltOrder& order, const Thread& thread, const Catalogue& catalogue) {
  constexpr double kLeastOverShank =
      1.35;  // flats over shank: what a standard M20 or 3/4 in bolt has under its head
  const std::string series = hexagon_series_of(thread.series);
  Result<Hexagon> hexagon = hexagon_for(catalogue, series, thread.major_mm);
  if (!hexagon || hexagon->across_flats_mm >= kLeastOverShank * order.nominal_mm) return hexagon;
  const Hexagon* next = nullptr;
  for (const Hexagon& other : catalogue.hexagons) {
    const bool serves = other.series == series && other.across_flats_mm >= kLeastOverShank * order.nominal_mm;
    if (serves && (next == nullptr || other.across_flats_mm < next->across_flats_mm)) next = &other;
  }
  if (next != nullptr) {
    hexagon->across_flats_mm = next->across_flats_mm;
    hexagon->head_mm = next->head_mm;
  }
  return hexagon;
}

/// Thickness the nut's washer needs, so that shank, relief and reserve find room; may be negative.
double washer_needed_mm(const BoltDesign& design, const BoltRules& rules) {
  const double shank_longest_mm = design.shank_mm + rules.shank_over_mm;
  const double reserve_mm = rules.threads_in_reserve * design.thread.pitch_mm;
  const double nut_face_least_mm = design.head_washer_mm + design.grip.length_mm - design.grip.plus_minus_mm;
  return shank_longest_mm + design.relief_mm + reserve_mm - nut_face_least_mm;
}

/// Washers from the one asked for to one that is made, the first that is thick enough.
std::optional<Problem> choose_washer(const BoltOrder& order, const Catalogue& catalogue, BoltDesign& design) {
  constexpr double kLeastMadeMm = 3.0;
  const double needed_mm = washer_needed_mm(design, order.rules);
  const auto take = [&](const Washer& washer) {
    design.nut_washer_mm = washer.thickness_mm;
    design.nut_washer_hole_mm = washer.hole_mm;
    design.nut_washer_outside_mm = washer.outside_mm;
  };
  design.nut_washer_hole_mm = design.thread.major_mm + 1.0;
  if (order.rules.washer_mm) {
    design.nut_washer_mm = *order.rules.washer_mm;
    // Under the head, too, another washer moves the shank's rounding to 0.1 mm.
    const double rounding_mm = order.rules.washer_under_head ? 0.1 : 0.0;
    if (*order.rules.washer_mm < needed_mm - kRoundingMm) {
      return cannot(order,
                    fmt::format("a washer of {:.4g} mm leaves no room for the thread's run-out",
                                *order.rules.washer_mm),
                    fmt::format("put {:.4g} mm or more under the nut", up_to(0.1, needed_mm + rounding_mm)));
    }
    return std::nullopt;
  }
  for (const std::string& series : {order.rules.washer_series, std::string("thick")}) {
    const Result<Washer> washer = washer_for(catalogue, series, design.thread.major_mm);
    if (!washer || washer->thickness_mm < needed_mm - kRoundingMm) continue;
    take(*washer);
    if (series != order.rules.washer_series) {
      design.notes.push_back(
          fmt::format("A {} washer leaves no room for the thread's run-out: a thick one of {:.4g} mm.",
                      order.rules.washer_series, washer->thickness_mm));
    }
    return std::nullopt;
  }
  design.nut_washer_mm = std::max(kLeastMadeMm, up_to(0.5, needed_mm));
  design.washer_made = true;
  design.nut_washer_outside_mm = up_to(1.0, 2.0 * design.thread.major_mm);
  const double doubt_mm = design.grip.plus_minus_mm + design.grip.bearing_plus_minus_mm;
  design.notes.push_back(fmt::format(
      "Washer to be made, {:.4g} mm thick, and no longer bolt spares it: relief and a thread in reserve take "
      "{:.1f} mm of it, the doubt of the grip {:.1f} mm. Measure the grip closer for a thinner one.",
      design.nut_washer_mm, design.nut_washer_mm - doubt_mm, doubt_mm));
  return std::nullopt;
}

void bore_washer_for_shank(const BoltOrder& order, BoltDesign& design) {
  const double deepest_mm = design.head_washer_mm + design.grip.length_mm - design.grip.plus_minus_mm;
  const bool enters = design.shank_mm + order.rules.shank_over_mm > deepest_mm + kRoundingMm;
  const double clear_mm = order.shank.max_mm() + kWasherClearMm;
  if (!enters || design.nut_washer_hole_mm >= clear_mm - kRoundingMm) return;
  design.nut_washer_hole_mm = up_to(0.5, clear_mm);
  if (design.washer_made) return;  // made to its hole
  design.notes.push_back(
      fmt::format("The shank may stand into the washer: bore it to {:.4g} mm.", design.nut_washer_hole_mm));
}

/// Where the catalogue holds none it is made.
void put_washer_under_head(const BoltOrder& order, const Catalogue& catalogue, BoltDesign& design) {
  constexpr double kMadeMm = 4.0;
  if (!order.rules.washer_under_head) return;
  const Result<Washer> washer = washer_for(catalogue, order.rules.washer_series, design.thread.major_mm);
  design.head_washer_made = !washer;
  design.head_washer_mm = order.rules.washer_mm.value_or(washer ? washer->thickness_mm : kMadeMm);
  const double clear_mm = order.shank.max_mm() + kWasherClearMm;
  design.head_washer_hole_mm = washer ? washer->hole_mm : up_to(0.5, clear_mm);
  if (design.head_washer_hole_mm >= clear_mm - kRoundingMm) return;
  design.head_washer_hole_mm = up_to(0.5, clear_mm);
  design.notes.push_back(
      fmt::format("Bore the washer under the head to {:.4g} mm, for the shank.", design.head_washer_hole_mm));
}

std::optional<Problem> shape_head(const BoltOrder& order, const Hexagon& hexagon, BoltDesign& design) {
  constexpr double kFlatOverShankMm = 1.0;
  if (order.kind != Kind::kRivetHeadedBolt) {
    design.hexagon = true;
    design.head = {HeadForm::kSnap, hexagon.across_flats_mm, hexagon.head_mm};
    design.across_corners_mm = hexagon.across_corners_mm();
    return std::nullopt;
  }
  if (!order.head || order.head->diameter_mm <= order.shank.max_mm() || order.head->height_mm <= 0.0 ||
      order.head->form == HeadForm::kCountersunk) {
    return cannot(order, "no head to match the rivets",
                  "state diameter and height of the neighbouring rivets' heads, snap or pan");
  }
  design.head = *order.head;
  if (order.head->form == HeadForm::kSnap) design.form_radius_mm = form_radius_mm(*order.head);
  design.flat_from_axis_mm = order.flat_from_axis_mm;
  if (order.flat_from_axis_mm && (*order.flat_from_axis_mm < order.shank.max_mm() / 2.0 + kFlatOverShankMm ||
                                  *order.flat_from_axis_mm >= order.head->diameter_mm / 2.0)) {
    return cannot(order, fmt::format("a flat {:.4g} mm from the axis", *order.flat_from_axis_mm),
                  fmt::format("keep it between {:.4g} and {:.4g} mm",
                              order.shank.max_mm() / 2.0 + kFlatOverShankMm, order.head->diameter_mm / 2.0));
  }
  return std::nullopt;
}

std::optional<Problem> bad_order(const BoltOrder& order) {
  const BoltRules& rules = order.rules;
  const bool sized = order.kind != Kind::kHotRivet && order.nominal_mm > 0.0 && order.shank.min_nm > 0 &&
                     order.shank.max_nm >= order.shank.min_nm;
  const bool ruled = rules.threads_past_nut >= 0 && rules.threads_in_reserve >= 0 &&
                     rules.relief_pitches >= 0.0 && rules.shank_over_mm >= 0.0 &&
                     rules.washer_mm.value_or(0.0) >= 0.0;
  if (sized && ruled) return std::nullopt;
  return cannot(order, "sizes or rules that cannot be",
                "state a shank above 0 with its limits, and no negative rule");
}

void lay_out_lengths(const BoltOrder& order, BoltDesign& design) {
  const BoltRules& rules = order.rules;
  const double nut_face_mm = design.head_washer_mm + design.grip.length_mm + design.nut_washer_mm;
  const double pitch_mm = design.thread.pitch_mm, off_mm = design.grip.plus_minus_mm;
  design.shank_most_mm = nut_face_mm - off_mm - rules.threads_in_reserve * pitch_mm - design.relief_mm;
  design.thread_from_mm = design.shank_mm + rules.shank_over_mm + design.relief_mm;
  constexpr int kPointPitches = 1;
  design.length_mm =
      up_to(1.0, nut_face_mm + off_mm + design.nut_mm + (rules.threads_past_nut + kPointPitches) * pitch_mm);
}

/// Thread, shank, head and the washer under it: what a bolt has wherever it goes.
Result<BoltDesign> begin_design(const BoltOrder& order, const Thread& thread, const Catalogue& catalogue) {
  const Result<Hexagon> hexagon = head_hexagon(order, thread, catalogue);
  if (!hexagon) return hexagon.problems();
  BoltDesign design;
  design.stack = order.stack.id;
  design.kind = order.kind;
  design.thread = thread;
  design.shank = order.shank;
  design.relief_diameter_mm = thread.core_mm() - kReliefUnderCoreMm;
  if (const auto problem = shape_head(order, *hexagon, design)) return *problem;
  put_washer_under_head(order, catalogue, design);
  return design;
}

}  // namespace

Result<BoltDesign> design_bolt(const BoltOrder& order, const Catalogue& catalogue) {
  if (const auto problem = bad_order(order)) return *problem;
  const Result<Grip> grip = grip_of(order.stack);
  if (!grip) return grip.problems();
  const Result<Thread> thread = thread_of(order, catalogue);
  if (!thread) return thread.problems();
  const Result<Hexagon> nut = hexagon_for(catalogue, hexagon_series_of(thread->series), thread->major_mm);
  if (!nut) return nut.problems();
  Result<BoltDesign> begun = begin_design(order, *thread, catalogue);
  if (!begun) return begun;

  BoltDesign design = *std::move(begun);
  design.grip = *grip;
  design.relief_mm = order.rules.relief_pitches * thread->pitch_mm;
  design.shank_mm = up_to(0.1, design.head_washer_mm + grip->bearing_mm + grip->bearing_plus_minus_mm);
  design.nut_mm =
      nut->nut_mm + (order.rules.lock_nut ? nut->lock_nut_mm.value_or(nut->nut_mm * 2.0 / 3.0) : 0.0);
  if (const auto problem = choose_washer(order, catalogue, design)) return *problem;
  bore_washer_for_shank(order, design);
  lay_out_lengths(order, design);
  if (order.kind == Kind::kClearanceBolt) add_stock_bolt(order.rules, catalogue, design);
  return design;
}

Result<BoltDesign> design_bolt_into(const TappedHole& hole, const BoltOrder& order,
                                    const Catalogue& catalogue) {
  if (const auto problem = bad_order(order)) return *problem;
  const Result<Thread> thread = thread_named(catalogue, hole.thread);
  if (!thread) return thread.problems();
  Result<BoltDesign> begun = begin_design(order, *thread, catalogue);
  if (!begun) return begun;
  BoltDesign design = *std::move(begun);
  design.into_thread = true;
  TappedOrder tapped{order.stack,
                     hole.thread,
                     order.shank,
                     hole.full_thread_mm,
                     hole.cast_iron,
                     order.rules.relief_pitches,
                     order.rules.shank_over_mm};
  if (design.head_washer_mm > 0.0)
    tapped.stack.layers.insert(tapped.stack.layers.begin(), {"washer", design.head_washer_mm, 0.0, true});
  const Result<TappedDesign> made = design_tapped(tapped, catalogue);
  if (!made) return made.problems();
  design.grip = made->grip;
  design.relief_mm = made->relief_mm;
  design.shank_mm = design.shank_most_mm = made->shank_mm;
  design.thread_from_mm = made->shank_mm + order.rules.shank_over_mm + made->relief_mm;
  design.length_mm = made->length_mm;
  design.notes.insert(design.notes.end(), made->notes.begin(), made->notes.end());
  return design;
}

}  // namespace fairhole::fasteners

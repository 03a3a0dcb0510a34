// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <limits>
#include <numbers>

#include "fairhole/base/length.h"
#include "fairhole/fits/drills.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

double shank_for(const FastenerSpec& spec, double finish_mm) {
  return is_fitted(spec.kind) ? finish_mm : finish_mm - spec.clearance_mm;
}

// Serving holes that are reamed; a slot is left and must pass the shank.
std::vector<int> reamed(const Bench& bench, const Holes& holes) {
  std::vector<int> cut;
  for (const int index : holes.serving) {
    if (bench.layer(index).form != HoleForm::kSlotted) cut.push_back(index);
  }
  return cut;
}

std::string form_fault(const Bench& bench, const Holes& holes, const std::vector<int>& cut,
                       double finish_mm) {
  if (cut.empty() && holes.bushed.empty()) return "a slot cannot be reamed round";
  for (const int index : cut) {
    const OldLayer& layer = bench.layer(index);
    const std::string name = layer_name(layer);
    if (is_threaded(layer))
      return fmt::format("{} is {} and cannot be reamed through", name, form_name(layer.form));
    if (layer.form == HoleForm::kBushed && !layer.largest_mm) {
      return fmt::format("{} is bushed, and nobody said how far the bush may be opened", name);
    }
    if (!layer.may_be_opened) return fmt::format("{} must not be opened out", name);
    if (layer.largest_mm && finish_mm > *layer.largest_mm + 1e-9) {
      return fmt::format("{} takes {} mm at the most", name, format_mm(*layer.largest_mm));
    }
  }
  return {};
}

// The two end discs of each hole to be cleaned up, grown by its doubt or as measured.
std::vector<Circle> discs_of(const Bench& bench, const std::vector<int>& cut, bool grown) {
  std::vector<Circle> discs;
  for (const int index : cut) {
    const OldLayer& layer = bench.layer(index);
    const double radius =
        (short_mm(layer) + tear_mm(bench, layer)) / 2.0 + (grown ? bench.growth(index) : 0.0);
    const Eigen::Vector2d axis = half_axis_mm(layer);
    discs.push_back({layer.centre_mm + axis, radius});
    if (!axis.isZero()) discs.push_back({layer.centre_mm - axis, radius});
  }
  return discs;
}

double opening_cost(const Bench& bench, const std::vector<int>& cut, double finish_mm) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double asked = asked_finish_mm(spec);
  const auto steps = std::count_if(spec.sizes_mm.begin(), spec.sizes_mm.end(), [&](double size) {
    return size > asked + 1e-6 && size <= finish_mm + 1e-6;
  });
  double metal_mm3 = 0.0;
  for (const int index : cut) {
    const OldLayer& layer = bench.layer(index);
    const double area =
        std::numbers::pi / 4.0 * (finish_mm * finish_mm - *layer.diameter_mm * *layer.diameter_mm);
    metal_mm3 += std::max(0.0, area) * layer.thickness_mm;
  }
  return bench.rules.costs.oversize * static_cast<double>(steps) +
         bench.rules.costs.metal_per_cm3 * metal_mm3 / 1000.0;
}

// Largest finish the limits about the centre and the walls of bushes allow. Edge and head room grow in
// proportion to the size.
double largest_at(const Bench& bench, const Holes& holes, const std::vector<int>& cut,
                  const std::vector<Limit>& limits, const Option& option) {
  double largest = std::numeric_limits<double>::infinity();
  for (const Limit& limit : limits) {
    largest = std::min(largest, option.finish_mm * limit.distance_mm(option.centre_mm) / limit.need_mm);
  }
  for (const int index : cut) largest = std::min(largest, bench.layer(index).largest_mm.value_or(largest));
  if (!holes.bushed.empty()) largest = std::min(largest, widest_bore_mm(bench.rules, holes.bush_outside_mm));
  const std::vector<double>& sizes = bench.stack.fastener.sizes_mm;
  return std::min(largest, sizes.empty() ? option.finish_mm : std::max(option.finish_mm, sizes.back()));
}

std::string slot_fault(const Bench& bench, const Holes& holes, const Eigen::Vector2d& centre,
                       double shank_mm) {
  for (const int index : holes.serving) {
    const OldLayer& layer = bench.layer(index);
    if (layer.form != HoleForm::kSlotted) continue;
    const Eigen::Vector2d axis = half_axis_mm(layer);
    const double off = distance_to_segment_mm(centre, layer.centre_mm - axis, layer.centre_mm + axis);
    const double room = short_mm(layer) / 2.0 - off - shank_mm / 2.0 - bench.growth(index);
    if (room < 0.0) {
      return fmt::format("slot {} does not pass a {} mm shank by {} mm", layer_name(layer),
                         format_mm(shank_mm), format_mm(-2.0 * room));
    }
  }
  return {};
}

void fill_opened(const Bench& bench, const Holes& holes, Option& option) {
  option.event = empty_event(bench, option.centre_mm);
  option.event.shank_mm = option.fastener_mm;
  option.event.new_hole_mm = option.finish_mm;
  for (const int index : holes.serving) {
    const OldLayer& layer = bench.layer(index);
    LayerEvent& entry = option.event.layers[static_cast<std::size_t>(index)];
    entry.role = layer.form == HoleForm::kSlotted ? Role::kPassed : Role::kEnclosed;
    entry.radius_mm += tear_mm(bench, layer) / 2.0;
    entry.opened_mm = option.finish_mm;
  }
  fill_seats(bench, holes, option.event);
}

/// What the finished hole may measure, and how far it may stand off, about the centre found.
void measure_opened(const Bench& bench, const Holes& holes, const std::vector<int>& cut,
                    const std::vector<Limit>& limits, Option& option) {
  option.least_diameter_mm = cut.empty()
                                 ? option.finish_mm
                                 : 2.0 * enclosing_radius_mm(discs_of(bench, cut, false), option.centre_mm);
  const double zone = cut.empty() ? std::numeric_limits<double>::infinity()
                                  : (option.finish_mm - option.least_diameter_mm) / 2.0;
  option.position_zone_mm = std::max(0.0, std::min(zone, seat_zone_mm(bench, holes, option.centre_mm)));
  option.largest_diameter_mm = largest_at(bench, holes, cut, limits, option);
  if (cut.empty()) return;
  option.reason = fmt::format(
      "Reamed to {} mm, one circle cleans up every old hole{}: they need {} mm as measured, {} mm with their "
      "doubt.",
      format_mm(option.finish_mm), holes.bushed.empty() ? "" : " that is left",
      format_mm(option.least_diameter_mm),
      format_mm(2.0 * enclosing_radius_mm(discs_of(bench, cut, true), option.centre_mm)));
}

/// Why a size does not clean up: the holes themselves, or what keeps the centre from where it would.
std::string short_of_size(const Bench& bench, const std::vector<Limit>& limits, const Held& held,
                          const Eigen::Vector2d& free_centre, const Option& option) {
  const std::string need = format_mm(option.finish_mm - option.margin_mm);
  if (option.need_mm > option.finish_mm) {
    return fmt::format("the old holes need {} mm as measured, {} mm with their doubt",
                       format_mm(option.least_diameter_mm), need);
  }
  if (held.centre_mm) {
    return held.by < 0
               ? fmt::format("about the centre of the plate drilled with this one {} mm is needed", need)
               : fmt::format("about {}, which must keep its place, {} mm is needed",
                             layer_name(bench.layer(held.by)), need);
  }
  return fmt::format("{}; clear of it, {} mm is needed to clean up the old holes",
                     limit_fault(limits, free_centre), need);
}

}  // namespace

double tear_mm(const Bench& bench, const OldLayer& layer) {
  return layer.form == HoleForm::kTorn ? bench.rules.tear_allowance_mm : 0.0;
}

Option open_out(const Bench& bench, const Holes& holes, double finish_mm) {
  const double shank = shank_for(bench.stack.fastener, finish_mm);
  const std::vector<int> cut = reamed(bench, holes);
  Option option;
  option.method = Method::kOpenOut;
  option.finish_mm = finish_mm;
  option.finish = Finish::kInPlace;
  option.fastener_mm = shank;
  option.counts_as_size = true;
  option.centre_mm = bench.stack.nominal_mm;
  option.cost = opening_cost(bench, cut, finish_mm);
  if (const Result<DrillStep> pilot = in_place_pilot(finish_mm, DrillUnit::kAny, bench.rules.own_drills))
    option.pilot_mm = pilot->diameter_mm;
  option.event = empty_event(bench, option.centre_mm);
  option.forbidden = form_fault(bench, holes, cut, finish_mm);
  option.hopeless = !option.forbidden.empty();
  if (option.hopeless) return option;
  fill_opened(bench, holes, option);
  const Held held = held_place(bench, holes);
  option.forbidden = held.fault;
  if (!option.forbidden.empty()) return option;

  const HoleSize size = size_of(bench, finish_mm, shank);
  const std::vector<Limit> limits = limits_for(bench, holes, size, cut);
  std::vector<Circle> grown = discs_of(bench, cut, true);
  for (const Circle& disc : seat_discs(bench, holes, finish_mm)) grown.push_back(disc);
  const std::optional<Eigen::Vector2d> centre = held.centre_mm ? held.centre_mm : best_centre(grown, limits);
  const Circle free = smallest_about(grown);
  option.need_mm = 2.0 * free.radius_mm;
  if (!centre) {
    option.forbidden = limit_fault(limits, free.centre_mm);
    return option;
  }
  option.centre_mm = *centre;
  option.margin_mm = finish_mm - 2.0 * enclosing_radius_mm(grown, *centre);
  measure_opened(bench, holes, cut, limits, option);
  const double seat_margin = seat_margin_mm(bench, holes, *centre);
  if (seat_margin < 0.0 && seat_margin <= option.margin_mm + kSameSizeMm) {
    const bool held_off = !held.centre_mm && seat_margin_mm(bench, holes, free.centre_mm) >= 0.0;
    const std::string limit = held_off ? limit_fault(limits, free.centre_mm) : std::string();
    option.forbidden = limit.empty() ? seat_fault(bench, holes, seat_margin)
                                     : limit + "; " + seat_fault(bench, holes, seat_margin, "clear of it");
  } else if (option.margin_mm < 0.0) {
    option.forbidden = short_of_size(bench, limits, held, free.centre_mm, option);
  } else {
    option.forbidden = place_fault(bench, limits, size, *centre);
  }
  if (option.forbidden.empty()) option.forbidden = slot_fault(bench, holes, *centre, shank);
  finish_option(option);
  return option;
}

Option drill_to_drawing(const Bench& bench, const Holes& holes) {
  const FastenerSpec& spec = bench.stack.fastener;
  Option option;
  option.method = Method::kDrillToDrawing;
  option.finish_mm = asked_finish_mm(spec);
  option.fastener_mm = spec.diameter_mm;
  option.counts_as_size = true;
  option.centre_mm = bench.given.given_centre_mm.value_or(bench.stack.nominal_mm);
  const double off_mm = (option.centre_mm - bench.stack.nominal_mm).norm();
  option.finish = holes.made.empty() ? Finish::kBench : Finish::kInPlace;
  const Result<DrillStep> pilot = in_place_pilot(option.finish_mm, DrillUnit::kAny, bench.rules.own_drills);
  if (option.finish == Finish::kInPlace && pilot) option.pilot_mm = pilot->diameter_mm;
  option.position_zone_mm = std::max(0.0, bench.rules.drawing_zone_mm - off_mm);
  option.margin_mm = 2.0 * (bench.rules.drawing_zone_mm - off_mm);
  option.least_diameter_mm = least_finished_mm(bench, option.finish_mm);
  option.largest_diameter_mm =
      option.finish_mm + (is_fitted(spec.kind) ? bench.rules.round_enough_mm : bench.rules.rivet_slack_mm);
  option.reason = "No old part has a hole here: drill to the drawing.";
  option.event = empty_event(bench, option.centre_mm);
  const HoleSize size = size_of(bench, option.finish_mm, spec.diameter_mm);
  option.forbidden = place_fault(bench, limits_for(bench, holes, size, {}), size, option.centre_mm);
  if (option.margin_mm < 0.0) {
    option.forbidden = fmt::format("the plate drilled with this one wants it {} mm from the drawing's place",
                                   format_mm(off_mm));
  }
  finish_option(option);
  return option;
}

}  // namespace fairhole::detail

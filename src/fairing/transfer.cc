// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>

#include "fairhole/base/length.h"
#include "fairhole/fits/drills.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

// The largest drill, of the list or the shop's own, that is no larger than `most_mm`; 0 when there is none.
double drill_up_to(double most_mm, std::span<const Drill> own) {
  double found = 0.0;
  for (const std::span<const Drill> drills : {drill_list(DrillUnit::kAny), own}) {
    for (const Drill& drill : drills) {
      if (drill.diameter_mm <= most_mm) found = std::max(found, drill.diameter_mm);
    }
  }
  return found;
}

// Why a hole as found does not suit the fastener it would get; empty when it does.
std::string unfit_as_found(const Bench& bench, const OldLayer& layer) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double asked = asked_finish_mm(spec);
  const std::string name = layer_name(layer);
  if (layer.form == HoleForm::kTorn) return fmt::format("{} is torn", name);
  if (layer.form == HoleForm::kSlotted) return fmt::format("{} is a slot, which guides no tool", name);
  if (is_fitted(spec.kind)) {
    if (layer.ovality_mm > bench.rules.round_enough_mm) {
      return fmt::format("{} is oval by {} mm; a fitted bolt wants a round hole", name,
                         format_mm(layer.ovality_mm));
    }
    if (short_mm(layer) < asked - bench.rules.round_enough_mm) {
      return fmt::format("{} is smaller than the bolt asked for ({} mm, {} mm)", name,
                         format_mm(short_mm(layer)), format_mm(asked));
    }
    if (!spec.sizes_mm.empty() && long_mm(layer) > spec.sizes_mm.back() + bench.rules.round_enough_mm) {
      return fmt::format("{} is {} mm, larger than any bolt at hand", name, format_mm(long_mm(layer)));
    }
    return {};
  }
  const double slack =
      spec.kind == FastenerKind::kRivet ? bench.rules.rivet_slack_mm : bench.rules.clearance_slack_mm;
  if (short_mm(layer) < spec.diameter_mm + bench.rules.clear_play_mm) {
    return fmt::format("{} is {} mm, too tight for the {} mm shank", name, format_mm(short_mm(layer)),
                       format_mm(spec.diameter_mm));
  }
  if (long_mm(layer) > asked + slack) {
    return fmt::format("{} is {} mm, too large for its {} of {} mm", name, format_mm(long_mm(layer)),
                       fastener_name(spec.kind), format_mm(spec.diameter_mm));
  }
  return {};
}

// A screw in a tapped or blind hole: the new plate gets a clearance hole at its place, drilled on the bench.
void to_thread(const Bench& bench, int index, Option& option) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double shank = spec.diameter_mm;
  const double clearance = is_fitted(spec.kind) ? bench.rules.thread_clearance_mm : spec.clearance_mm;
  option.finish_mm = shank + clearance;
  option.finish = Finish::kBench;
  const double off_mm = (option.centre_mm - bench.layer(index).centre_mm).norm();
  option.margin_mm = clearance - 2.0 * (bench.growth(index) + off_mm);
  option.position_zone_mm = std::max(0.0, clearance / 2.0 - off_mm);
  option.least_diameter_mm = shank + bench.rules.clear_play_mm;
  option.largest_diameter_mm = shank + clearance + bench.rules.clearance_slack_mm;
  option.event.shank_mm = shank;
  option.event.new_hole_mm = option.finish_mm;
  LayerEvent& layer = option.event.layers[static_cast<std::size_t>(index)];
  layer = {Role::kPassed, layer.centre_mm, Eigen::Vector2d::Zero(), shank / 2.0, 0.0};
  option.reason = fmt::format("The screw stands in {}: the plate gets a clearance hole at its place.",
                              layer_name(bench.layer(index)));
  if (option.margin_mm < 0.0) {
    option.forbidden =
        fmt::format("the clearance of {} mm does not cover the doubt of {} mm about the screw's place",
                    format_mm(clearance), format_mm(bench.growth(index)));
  }
}

// Drilled through the old part as a jig: a pilot on the bench, the finish in place.
void to_hole(const Bench& bench, int index, Option& option) {
  const OldLayer& layer = bench.layer(index);
  const double guide = short_mm(layer);
  option.finish_mm = *layer.diameter_mm;
  option.finish = Finish::kInPlace;
  const Result<DrillStep> usual = in_place_pilot(option.finish_mm, DrillUnit::kAny, bench.rules.own_drills);
  const double off_mm = (option.centre_mm - layer.centre_mm).norm();
  const double most =
      std::min(guide - 2.0 * (bench.growth(index) + off_mm), usual ? usual->diameter_mm : guide);
  const double pilot = std::max(drill_up_to(most, bench.rules.own_drills), bench.rules.least_pilot_mm);
  option.pilot_mm = pilot;
  option.margin_mm = guide - pilot - 2.0 * (bench.growth(index) + off_mm);
  option.position_zone_mm = std::max(0.0, (guide - pilot) / 2.0 - off_mm);
  option.least_diameter_mm = least_finished_mm(bench, option.finish_mm);
  option.largest_diameter_mm = is_fitted(bench.stack.fastener.kind)
                                   ? option.finish_mm + bench.rules.round_enough_mm
                                   : asked_finish_mm(bench.stack.fastener) + bench.rules.clearance_slack_mm;
  option.event.pilot_mm = pilot;
  option.event.layers[static_cast<std::size_t>(index)].role = Role::kGuides;
  option.reason = fmt::format("Only {} has a hole here: drill the plate to it, as it is.", layer_name(layer));
  option.forbidden = unfit_as_found(bench, layer);
  if (option.forbidden.empty() && option.margin_mm < 0.0) {
    option.forbidden = fmt::format("a {} mm pilot may miss {}: its place is doubtful by {} mm",
                                   format_mm(pilot), layer_name(layer), format_mm(bench.growth(index)));
  }
}

}  // namespace

double least_finished_mm(const Bench& bench, double finish_mm) {
  const FastenerSpec& spec = bench.stack.fastener;
  return is_fitted(spec.kind) ? finish_mm : std::min(finish_mm, spec.diameter_mm + bench.rules.clear_play_mm);
}

Option transfer(const Bench& bench, const Holes& holes) {
  Option option;
  option.method = Method::kTransfer;
  if (holes.serving.size() != 1) {
    option.forbidden = fmt::format("{} old holes stand here, not one", holes.serving.size());
    option.hopeless = true;
    option.event = empty_event(bench, bench.stack.nominal_mm);
    option.centre_mm = bench.stack.nominal_mm;
    return option;
  }
  const int index = holes.serving.front();
  const OldLayer& layer = bench.layer(index);
  option.centre_mm = bench.given.given_centre_mm.value_or(layer.centre_mm);
  option.event = empty_event(bench, option.centre_mm);
  is_threaded(layer) ? to_thread(bench, index, option) : to_hole(bench, index, option);
  if (!bench.stack.plate_is_new) option.forbidden = "there is no new plate to take the hole";
  option.hopeless = !option.forbidden.empty();
  option.fastener_mm = is_fitted(bench.stack.fastener.kind) && !is_threaded(layer)
                           ? option.finish_mm
                           : bench.stack.fastener.diameter_mm;
  fill_seats(bench, holes, option.event);
  const double seat_margin = seat_margin_mm(bench, holes, option.centre_mm, is_threaded(layer) ? -1 : index);
  option.margin_mm = std::min(option.margin_mm, seat_margin);
  if (is_threaded(layer)) {
    option.position_zone_mm = std::min(option.position_zone_mm, seat_zone_mm(bench, holes, option.centre_mm));
  }
  if (option.forbidden.empty()) option.forbidden = seat_fault(bench, holes, seat_margin);
  if (option.forbidden.empty()) {
    const HoleSize size = size_of(bench, option.finish_mm, option.fastener_mm);
    option.forbidden = place_fault(bench, limits_for(bench, holes, size, {}), size, option.centre_mm);
  }
  finish_option(option);
  return option;
}

}  // namespace fairhole::detail

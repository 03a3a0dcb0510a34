// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

// An old hole the shank must pass; a screw standing in a thread is a hole as wide as its shank.
Circle hole_to_pass(const Bench& bench, int index) {
  const OldLayer& layer = bench.layer(index);
  const double diameter = is_threaded(layer) ? bench.stack.fastener.diameter_mm : short_mm(layer);
  return {layer.centre_mm, diameter / 2.0};
}

// Centre of the widest way through the holes, each narrowed by its doubt, that keeps to the limits and leaves
// as much to spare in the seats of bushes. A slot is a disc that may slide along its axis; sliding each to
// the centre found and solving again only widens the way.
std::optional<Eigen::Vector2d> widest_way(const Bench& bench, const Holes& all, double clearance_mm,
                                          const std::vector<Limit>& limits) {
  const std::vector<int>& holes = all.serving;
  const bool alone = holes.size() == 1 && bench.stack.plate_is_new;
  std::vector<Circle> discs;
  discs.reserve(holes.size());
  double most = 0.0;
  const auto sure_mm = [&](int index) {
    const double radius = hole_to_pass(bench, index).radius_mm;
    if (!alone) return radius - bench.plate_growth(index);
    return std::min(radius + bench.rules.clear_play_mm / 2.0,
                    radius + clearance_mm / 2.0 - bench.growth(index));
  };
  for (const int index : holes) most = std::max(most, sure_mm(index));
  for (const int index : holes) discs.push_back({bench.layer(index).centre_mm, most - sure_mm(index)});
  // Where a hole has so much to spare for the shank and its play, a seat has as much for its old hole.
  const double spare_mm = 2.0 * most - bench.stack.fastener.diameter_mm - bench.rules.clear_play_mm;
  for (const Circle& seat : seat_discs(bench, all, spare_mm)) discs.push_back(seat);
  std::optional<Eigen::Vector2d> centre;
  constexpr int kRounds = 20;  // each round moves less; round holes need one
  for (int round = 0; round < kRounds; ++round) {
    centre = best_centre(discs, limits);
    if (!centre) return centre;
    for (std::size_t k = 0; k < holes.size(); ++k) {
      const Eigen::Vector2d axis = half_axis_mm(bench.layer(holes[k]));
      const Eigen::Vector2d middle = bench.layer(holes[k]).centre_mm;
      discs[k].centre_mm = nearest_on_segment(*centre, middle - axis, middle + axis);
    }
  }
  return centre;
}

double room_mm(const Bench& bench, int index, const Eigen::Vector2d& centre) {
  const OldLayer& layer = bench.layer(index);
  const Eigen::Vector2d axis = half_axis_mm(layer);
  const Eigen::Vector2d nearest = nearest_on_segment(centre, layer.centre_mm - axis, layer.centre_mm + axis);
  return hole_to_pass(bench, index).radius_mm - (nearest - centre).norm() -
         bench.stack.fastener.diameter_mm / 2.0;
}

std::string form_fault(const Bench& bench, const std::vector<int>& holes) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double slack =
      spec.kind == FastenerKind::kRivet ? bench.rules.rivet_slack_mm : bench.rules.clearance_slack_mm;
  int threads = 0;
  for (const int index : holes) {
    const OldLayer& layer = bench.layer(index);
    threads += is_threaded(layer) ? 1 : 0;
    if (layer.form == HoleForm::kTorn) return fmt::format("{} is torn", layer_name(layer));
    if (is_threaded(layer) || layer.form == HoleForm::kSlotted || is_fitted(spec.kind)) continue;
    if (long_mm(layer) > asked_finish_mm(spec) + slack) {
      return fmt::format("{} is {} mm, too large for a {} of {} mm", layer_name(layer),
                         format_mm(long_mm(layer)), fastener_name(spec.kind), format_mm(spec.diameter_mm));
    }
  }
  if (threads > 1) return "two parts are tapped for one screw";
  if (is_fitted(spec.kind) && threads == 0) return "a fitted bolt must fill its holes";
  return {};
}

// With a screw standing in its thread, the others and the new hole must suit wherever that is.
double margin_about_thread_mm(const Bench& bench, const std::vector<int>& holes, int thread,
                              const Eigen::Vector2d& centre, double clearance_mm) {
  double margin = clearance_mm - 2.0 * bench.growth(thread);
  for (const int index : holes) {
    if (index == thread) continue;
    const double doubt = std::hypot(bench.plate_growth(index), bench.plate_growth(thread));
    margin = std::min(margin, 2.0 * (room_mm(bench, index, centre) - doubt));
  }
  return margin;
}

// Least room on diameter that is left once every error has grown to the confidence asked for.
double grown_margin_mm(const Bench& bench, const std::vector<int>& holes, const Eigen::Vector2d& centre,
                       double clearance_mm) {
  for (const int index : holes) {
    if (is_threaded(bench.layer(index)))
      return margin_about_thread_mm(bench, holes, index, centre, clearance_mm);
  }
  if (!bench.stack.plate_is_new) {
    double margin = clearance_mm;
    for (const int index : holes) {
      margin = std::min(margin, 2.0 * (room_mm(bench, index, centre) - bench.plate_growth(index)));
    }
    return margin;
  }
  if (holes.size() == 1) {
    return 2.0 * room_mm(bench, holes.front(), centre) + clearance_mm - 2.0 * bench.growth(holes.front());
  }
  double margin = clearance_mm - 2.0 * bench.drill_growth_mm;
  for (const int index : holes) {
    margin = std::min(margin, 2.0 * (room_mm(bench, index, centre) - bench.plate_growth(index)));
  }
  return margin;
}

void judge(const Bench& bench, const std::vector<int>& holes, double clearance_mm, Option& option) {
  const auto tightest = std::min_element(holes.begin(), holes.end(), [&](int a, int b) {
    return room_mm(bench, a, option.centre_mm) < room_mm(bench, b, option.centre_mm);
  });
  const double room = 2.0 * room_mm(bench, *tightest, option.centre_mm);
  const double margin = grown_margin_mm(bench, holes, option.centre_mm, clearance_mm);
  option.margin_mm = margin - bench.rules.clear_play_mm;
  option.position_zone_mm = std::max(0.0, (room + clearance_mm) / 2.0);
  if (room < 0.0) {
    option.forbidden =
        fmt::format("the {} mm shank does not pass {} by {} mm", format_mm(bench.stack.fastener.diameter_mm),
                    layer_name(bench.layer(*tightest)), format_mm(-room));
  } else if (option.margin_mm < 0.0) {
    option.forbidden = fmt::format(
        "as measured the shank passes with {} mm of room, but with the doubt of the places {} mm "
        "is wanting",
        format_mm(room), format_mm(-option.margin_mm));
  }
}

void fill_event(const Bench& bench, const Holes& holes, Option& option) {
  const double shank = bench.stack.fastener.diameter_mm;
  option.event = empty_event(bench, option.centre_mm);
  option.event.shank_mm = shank;
  if (bench.stack.plate_is_new) option.event.new_hole_mm = option.finish_mm;
  for (const int index : holes.serving) {
    LayerEvent& layer = option.event.layers[static_cast<std::size_t>(index)];
    layer.role = Role::kPassed;
    if (is_threaded(bench.layer(index))) {
      layer = {Role::kPassed, layer.centre_mm, Eigen::Vector2d::Zero(), shank / 2.0, 0.0};
    }
  }
  fill_seats(bench, holes, option.event);
}

}  // namespace

Option clear(const Bench& bench, const Holes& holes) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double clearance = is_fitted(spec.kind) ? bench.rules.thread_clearance_mm : spec.clearance_mm;
  Option option;
  option.method = Method::kClear;
  option.finish_mm = spec.diameter_mm + clearance;
  option.centre_mm = bench.stack.nominal_mm;
  option.fastener_mm = spec.diameter_mm;
  fill_event(bench, holes, option);
  option.forbidden = form_fault(bench, holes.serving);
  option.hopeless = !option.forbidden.empty();
  const Held held = held_place(bench, holes);
  if (option.forbidden.empty()) option.forbidden = held.fault;
  if (!option.forbidden.empty()) return option;

  const HoleSize size = size_of(bench, option.finish_mm, spec.diameter_mm);
  const std::vector<Limit> limits = limits_for(bench, holes, size, {});
  const std::optional<Eigen::Vector2d> centre =
      held.centre_mm ? held.centre_mm : widest_way(bench, holes, clearance, limits);
  if (!centre) {
    option.forbidden = "edges and heads leave the hole no place";
    return option;
  }
  option.centre_mm = *centre;
  option.least_diameter_mm = spec.diameter_mm + bench.rules.clear_play_mm;
  option.largest_diameter_mm = option.finish_mm + bench.rules.clearance_slack_mm;
  option.reason =
      fmt::format("The {} of {} mm passes every old hole as it is; the plate is drilled {} mm.",
                  fastener_name(spec.kind), format_mm(spec.diameter_mm), format_mm(option.finish_mm));
  judge(bench, holes.serving, clearance, option);
  const double seat_margin = seat_margin_mm(bench, holes, option.centre_mm);
  option.margin_mm = std::min(option.margin_mm, seat_margin);
  option.position_zone_mm = std::min(option.position_zone_mm, seat_zone_mm(bench, holes, option.centre_mm));
  if (option.forbidden.empty()) option.forbidden = seat_fault(bench, holes, seat_margin);
  if (option.forbidden.empty()) option.forbidden = place_fault(bench, limits, size, option.centre_mm);
  finish_option(option);
  return option;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>
#include <limits>
#include <numbers>

#include "fairhole/base/length.h"
#include "ways.h"

namespace fairhole::detail {
namespace {

double disc_radius_mm(const Bench& bench, const OldLayer& layer) {
  return (short_mm(layer) + tear_mm(bench, layer)) / 2.0;
}

bool may_be_bushed(const OldLayer& layer) {
  const bool plain = layer.form == HoleForm::kThrough || layer.form == HoleForm::kTorn;
  return plain && !holds_place(layer) && layer.may_be_opened;
}

std::string names_of(const Bench& bench, const std::vector<int>& layers) {
  std::string names;
  for (const int index : layers) names += (names.empty() ? "" : " and ") + layer_name(bench.layer(index));
  return names;
}

// What no other seat mends: the wall, the part, the old hole's own size.
std::string never_fits(const Bench& bench, const Holes& holes, double bore_mm) {
  const double outside = holes.bush_outside_mm;
  const double wall = (outside - bore_mm) / 2.0;
  const double least_wall = least_wall_mm(bench.rules, bore_mm);
  if (wall < least_wall - kSameSizeMm) {
    return fmt::format("a bush of {} mm leaves {} mm of wall round {} mm, {} mm is the least",
                       format_mm(outside), format_mm(std::max(0.0, wall)), format_mm(bore_mm),
                       format_mm(least_wall));
  }
  for (const int index : holes.bushed) {
    const OldLayer& layer = bench.layer(index);
    if (layer.largest_mm && outside > *layer.largest_mm + kSameSizeMm) {
      return fmt::format("{} takes {} mm at the most, not a bush of {} mm", layer_name(layer),
                         format_mm(*layer.largest_mm), format_mm(outside));
    }
    const double need = long_mm(layer) + tear_mm(bench, layer) + 2.0 * bench.plate_growth(index);
    if (need > outside) {
      return fmt::format("{} alone needs {} mm with its doubt, more than a bush of {} mm", layer_name(layer),
                         format_mm(need), format_mm(outside));
    }
  }
  return {};
}

double seats_cost(const Bench& bench, const Holes& holes) {
  double metal_mm3 = 0.0;
  for (const int index : holes.bushed) {
    const OldLayer& layer = bench.layer(index);
    const double area =
        std::numbers::pi / 4.0 *
        (holes.bush_outside_mm * holes.bush_outside_mm - *layer.diameter_mm * *layer.diameter_mm);
    metal_mm3 += std::max(0.0, area) * layer.thickness_mm;
  }
  return bench.rules.costs.bush * static_cast<double>(holes.bushed.size()) +
         bench.rules.costs.metal_per_cm3 * metal_mm3 / 1000.0;
}

Option as_bush(const Bench& bench, Option option, const Holes& holes) {
  option.reason = fmt::format("Open {} to {} mm and press in a bush, bored {} mm with the rest.{}{}",
                              names_of(bench, holes.bushed), format_mm(holes.bush_outside_mm),
                              format_mm(option.finish_mm), option.reason.empty() ? "" : " ", option.reason);
  option.method = Method::kBush;
  option.bushed = holes.bushed;
  option.bush_outside_mm = holes.bush_outside_mm;
  option.cost += seats_cost(bench, holes);
  if (const std::string never = never_fits(bench, holes, option.finish_mm); !never.empty()) {
    option.forbidden = never;
    option.allowed = false;
    option.hopeless = true;
  }
  return option;
}

Option no_bush(const Bench& bench, std::string why) {
  Option option;
  option.method = Method::kBush;
  option.hopeless = true;
  option.centre_mm = bench.stack.nominal_mm;
  option.event = empty_event(bench, option.centre_mm);
  option.forbidden = std::move(why);
  return option;
}

}  // namespace

std::vector<Circle> seat_discs(const Bench& bench, const Holes& holes, double circle_mm) {
  std::vector<Circle> discs;
  for (const int index : holes.bushed) {
    const OldLayer& layer = bench.layer(index);
    const double radius =
        disc_radius_mm(bench, layer) + bench.growth(index) - (holes.bush_outside_mm - circle_mm) / 2.0;
    const Eigen::Vector2d axis = half_axis_mm(layer);
    discs.push_back({layer.centre_mm + axis, radius});
    if (!axis.isZero()) discs.push_back({layer.centre_mm - axis, radius});
  }
  return discs;
}

double seat_margin_mm(const Bench& bench, const Holes& holes, const Eigen::Vector2d& centre, int guide) {
  const Eigen::Vector2d about = guide < 0 ? centre : bench.layer(guide).centre_mm;
  double margin = std::numeric_limits<double>::infinity();
  for (const int index : holes.bushed) {
    const OldLayer& layer = bench.layer(index);
    const double growth = guide < 0 ? bench.growth(index) : bench.growth_about(index, guide);
    margin = std::min(
        margin, holes.bush_outside_mm - 2.0 * (farthest_mm(layer, about) + growth) - tear_mm(bench, layer));
  }
  return margin;
}

double seat_zone_mm(const Bench& bench, const Holes& holes, const Eigen::Vector2d& centre) {
  double zone = std::numeric_limits<double>::infinity();
  for (const int index : holes.bushed) {
    const OldLayer& layer = bench.layer(index);
    zone = std::min(zone, (holes.bush_outside_mm - tear_mm(bench, layer)) / 2.0 - farthest_mm(layer, centre));
  }
  return std::max(zone, 0.0);
}

std::string seat_fault(const Bench& bench, const Holes& holes, double margin_mm, const char* where) {
  if (margin_mm >= 0.0) return {};
  return fmt::format("{} {} needs a bush of {} mm, with its doubt", where, names_of(bench, holes.bushed),
                     format_mm(holes.bush_outside_mm - margin_mm));
}

void fill_seats(const Bench& bench, const Holes& holes, StackEvent& event) {
  for (const int index : holes.bushed) {
    LayerEvent& entry = event.layers[static_cast<std::size_t>(index)];
    entry.role = Role::kEnclosed;
    entry.opened_mm = holes.bush_outside_mm;
    entry.radius_mm += tear_mm(bench, bench.layer(index)) / 2.0;
  }
}

double widest_bore_mm(const FairingRules& rules, double outside_mm) {
  double low = 0.0, high = outside_mm;  // the wall never shrinks as the bore grows
  constexpr double kCloseMm = 1e-9;
  while (high - low > kCloseMm) {
    const double bore = (low + high) / 2.0;
    (outside_mm - bore >= 2.0 * least_wall_mm(rules, bore) ? low : high) = bore;
  }
  return low;
}

std::vector<Option> bush_ways(const Bench& bench, const Holes& holes) {
  const bool pinned = bench.stack.pinned_method == method_name(Method::kBush);
  std::vector<int> candidates;
  for (const int index : holes.serving) {
    if (may_be_bushed(bench.layer(index))) candidates.push_back(index);
  }
  const std::vector<double>& outsides = bench.stack.fastener.bush_outsides_mm;
  if (pinned && outsides.empty())
    return {no_bush(bench, "the fastener has no bush_outsides: state which outside diameters can be had")};
  if (pinned && candidates.empty()) return {no_bush(bench, "no old hole here may be opened for one")};
  // Of two ways that cost the same the worse hole is bushed, in whatever order the job lists them.
  std::stable_sort(candidates.begin(), candidates.end(),
                   [&bench](int a, int b) { return long_mm(bench.layer(a)) > long_mm(bench.layer(b)); });
  std::vector<Option> options;
  for (const std::vector<int>& set : sets_of(candidates)) {
    for (const double outside : outsides) {
      Holes rest{{}, holes.made, set, outside};
      for (const int index : holes.serving) {
        if (std::find(set.begin(), set.end(), index) == set.end()) rest.serving.push_back(index);
      }
      for (Option& option : ways_with(bench, rest))
        options.push_back(as_bush(bench, std::move(option), rest));
    }
  }
  return options;
}

}  // namespace fairhole::detail

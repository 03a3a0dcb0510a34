// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <map>
#include <tuple>

#include "design.h"
#include "fairhole/fits/fit.h"

namespace fairhole::schedule {
namespace {

/// What is bored on the lathe: the pilot that the stack's steps start from, or something to cut away.
double turned_bore_mm(const StackPlan& plan, double finish_mm) {
  constexpr double kLeftForTheRestMm = 1.0;
  for (const LayerPlan& layer : plan.layers) {
    if (layer.new_plate && layer.pilot_diameter_mm && *layer.pilot_diameter_mm < finish_mm)
      return *layer.pilot_diameter_mm;
  }
  return std::floor(finish_mm - kLeftForTheRestMm);
}

/// Limits of the bore: those that the stack's fitted shank asks for. Others are drilled; H7 stands in for
/// them where only the wall hangs on it.
ToleranceClass bore_class(const StackFastener& made) {
  if (made.fit.empty()) return {"H", 7};
  const Result<FitRequest> request = parse_fit(fmt::format("{} mm {}", made.finish_mm, made.fit));
  return request && request->hole ? *request->hole : ToleranceClass{"H", 7};
}

LayerBush bush_of(const StackPlan& plan, const LayerPlan& layer, const StackFastener& made,
                  const std::string& bush_fit, const ScheduleOptions& options) {
  LayerBush bush;
  bush.part = layer.part;
  bush.hole = layer.hole;
  bush.seat_mm = *layer.bush_outside_mm;
  bush.finish_mm = layer.finish_diameter_mm;
  bush.turned_bore_mm = turned_bore_mm(plan, layer.finish_diameter_mm);
  bush.length_mm = layer.thickness_mm;
  bush.reamed = !made.fit.empty();
  fasteners::BushOrder order;
  order.hole = fmt::format("{} of {}", layer.hole, layer.part);
  order.hole_nominal_mm = bush.seat_mm;
  order.bolt_nominal_mm = bush.finish_mm;
  order.bore_class = bore_class(made);
  if (const Result<FitRequest> fit = parse_fit(fmt::format("{} mm {}", bush.seat_mm, bush_fit));
      fit && fit->hole && fit->shaft) {
    order.seat_class = *fit->hole;
    order.outside_class = *fit->shaft;
  }
  bush.seat_class = order.seat_class.name();
  order.pressed_bore_mm = bush.turned_bore_mm;
  order.length_mm = bush.length_mm;
  order.least_wall_mm = options.bush_wall_mm;
  order.bush = order.part = metals().front();
  const Result<fasteners::BushDesign> design = design_bush(order);
  if (design) {
    bush.design = *design;
  } else {
    bush.open = sentence_of(design.problems());
  }
  return bush;
}

}  // namespace

std::vector<LayerBush> design_bushes(const StackPlan& plan, const StackFastener& made,
                                     const FastenerMaking& making, std::size_t index,
                                     const ScheduleOptions& options) {
  std::vector<LayerBush> bushes;
  for (const LayerPlan& layer : plan.layers) {
    if (!layer.bush_outside_mm) continue;
    bushes.push_back(bush_of(plan, layer, made, making.bush_fit.value_or(kUsualBushFit), options));
    bushes.back().stack = index;
  }
  return bushes;
}

void make_bush_pieces(const Catalogue& catalogue, FastenerSchedule& schedule) {
  std::map<std::tuple<double, double, double, double, bool, std::int64_t, std::int64_t>, std::size_t> known;
  for (std::size_t i = 0; i < schedule.bushes.size(); ++i) {
    const LayerBush& bush = schedule.bushes[i];
    if (!bush.design) continue;
    const auto key = std::make_tuple(bush.seat_mm, bush.turned_bore_mm, bush.finish_mm, bush.length_mm,
                                     bush.reamed, bush.design->bore.max_nm, bush.design->outside.max_nm);
    const auto [place, is_new] = known.emplace(key, schedule.bush_pieces.size());
    if (is_new) {
      BushPiece piece;
      piece.mark = fmt::format("B{}", schedule.bush_pieces.size() + 1);
      piece.piece_mm = bush.length_mm + fasteners::kFacingAndPartingMm;
      const Result<Bar> bar =
          bar_from(catalogue, BarShape::kRound, bush.design->outside.max_mm() + fasteners::kCleanUpMm);
      if (bar) piece.bar = *bar;
      schedule.bush_pieces.push_back(std::move(piece));
    }
    schedule.bush_pieces[place->second].bushes.push_back(i);
  }
}

}  // namespace fairhole::schedule

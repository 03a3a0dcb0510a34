// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "plan_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>

#include "schedule_csv.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

/// JSON has no NaN and no infinity; minus nought is nought.
Json number(double value) { return std::isfinite(value) ? Json(value + 0.0) : Json(nullptr); }
Json number(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }
Json pair(const Eigen::Vector2d& v) { return Json::array({number(v.x()), number(v.y())}); }

Json outline(const std::vector<Eigen::Vector2d>& points_mm) {
  Json list = Json::array();
  for (const Eigen::Vector2d& p : points_mm) list.push_back(pair(p));
  return list;
}

const PlateLayout* layout_of(const ReportInput& report, const std::string& plate) {
  const auto found = std::find_if(report.layouts.begin(), report.layouts.end(),
                                  [&](const PlateLayout& layout) { return layout.plate == plate; });
  return found == report.layouts.end() ? nullptr : &*found;
}

Json plate_json(const Plate& plate, const PlateLayout* layout, bool ready) {
  Json json;
  json["name"] = plate.name;
  json["hand"] = plate.hand.empty() ? Json(nullptr) : Json(plate.hand);
  json["marked_face"] = plate.marked_face;
  json["thickness"] = number(plate.thickness_mm);
  json["material"] = plate.material;
  json["outline"] = outline(plate.outline_mm);
  json["joint_line"] =
      plate.joint_line_mm ? Json::array({pair(plate.joint_line_mm->first), pair(plate.joint_line_mm->second)})
                          : Json(nullptr);
  json["drilled"] = drilling_way_name(plate.drilled);
  json["ready"] = ready;
  json["check_diagonals"] = Json::array();
  if (layout == nullptr) return json;
  for (const CheckDiagonal& d : layout->diagonals) {
    json["check_diagonals"].push_back({{"from", d.from},
                                       {"to", d.to},
                                       {"length", number(d.length_mm)},
                                       {"tolerance", number(d.tolerance_mm)}});
  }
  return json;
}

/// From where the plan has it, how far a freedom reaches either way.
Json reach_json(const SeatRange& range, double at, double unit) {
  return Json::array({number((range.least - at) * unit), number((range.most - at) * unit)});
}

Json mover_json(const MoverAt& each) {
  const SeatPlay& play = each.mover.play;
  constexpr double kDegrees = 180.0 / std::numbers::pi;
  Json json = {{"name", each.mover.name},
               {"dx", reach_json(play.dx_mm, each.at.dx_mm, 1.0)},
               {"dy", reach_json(play.dy_mm, each.at.dy_mm, 1.0)},
               {"turn_deg", reach_json(play.turn_rad, each.at.turn_rad, kDegrees)},
               {"followers", Json::array()}};
  for (const Mover::Follower& follower : each.mover.followers) {
    json["followers"].push_back({{"joint", each.joints[follower.seat]},
                                 {"by_dx", pair(follower.plate_from_mover.col(0))},
                                 {"by_dy", pair(follower.plate_from_mover.col(1))},
                                 {"pivot", pair(follower.pivot_mm)}});
  }
  return json;
}

Json seat_json(const SeatPlan& seat) {
  Json json;
  json["part"] = seat.part;
  json["face"] = seat.face;
  json["joint"] = seat.joint;
  json["plate"] = seat.plate;
  json["along"] = number(seat.along_mm);
  json["across"] = number(seat.across_mm);
  json["turn_deg"] = number(seat.turn.degrees());
  json["at_limit"] = seat.at_limit;
  json["set"] = pair({seat.set_x_mm, seat.set_y_mm});
  json["locating"] = Json::array();
  for (const std::string& id : {seat.locating_a, seat.locating_b}) {
    if (!id.empty()) json["locating"].push_back(id);
  }
  json["locating_at"] = Json::array();
  if (!seat.locating_a.empty()) json["locating_at"].push_back(pair(seat.hole_a_mm));
  if (!seat.locating_b.empty()) json["locating_at"].push_back(pair(seat.hole_b_mm));
  json["plate_from_face"] = {{"x", number(seat.plate_from_face.motion.shift_mm.x())},
                             {"y", number(seat.plate_from_face.motion.shift_mm.y())},
                             {"turn_deg", number(seat.plate_from_face.motion.turn.degrees())},
                             {"mirrored", seat.plate_from_face.motion.mirrored}};
  return json;
}

Json layer_json(const LayerPlan& layer) {
  Json json;
  json["part"] = layer.new_plate ? Json(nullptr) : Json(layer.part);
  json["face"] = layer.new_plate ? Json(nullptr) : Json(layer.face);
  json["joint"] = layer.joint.empty() ? Json(nullptr) : Json(layer.joint);
  json["hole"] = layer.hole.empty() ? Json(nullptr) : Json(layer.hole);
  json["new_plate"] = layer.new_plate;
  json["misfit"] = pair(layer.misfit_mm);
  json["found_diameter"] = number(layer.found_diameter_mm);
  json["ovality"] = number(layer.ovality_mm);
  json["finish_diameter"] = number(layer.finish_diameter_mm);
  json["pilot_diameter"] = number(layer.pilot_diameter_mm);
  json["bush_outside"] = number(layer.bush_outside_mm);
  json["thickness"] = number(layer.thickness_mm);
  json["action"] = layer.action;
  json["state"] = state_name(layer.state);
  return json;
}

const char* finish_name(Finish finish) {
  switch (finish) {
    case Finish::kBench:
      return "bench";
    case Finish::kInPlace:
      return "in place";
    case Finish::kNone:
      break;
  }
  return "none";
}

/// What a check of the drilled plate compares with: how far a hole may stand from x, y, and its diameter,
/// once piloted and once finished.
Json limits_json(const StackPlan& stack, const LaidHole* laid) {
  Json json;
  const std::optional<double> pilot_mm = laid != nullptr ? laid->pilot_mm : std::nullopt;
  if (pilot_mm) {
    const PilotLimits limits =
        pilot_limits(*pilot_mm, std::max(*pilot_mm, stack.finish_diameter_mm), laid->in_place_steps);
    json["pilot"] = {{"position_zone", number(stack.position_zone_mm)},
                     {"drill", number(*pilot_mm)},
                     {"min", number(limits.min_mm)},
                     {"max", number(limits.max_mm)}};
  } else {
    json["pilot"] = nullptr;
  }
  json["finished"] = {{"position_zone", number(stack.position_zone_mm)},
                      {"min", number(stack.least_diameter_mm)},
                      {"max", number(stack.largest_diameter_mm)}};
  return json;
}

Json way_json(const OtherWay& way) {
  return {{"method", method_name(way.method)},
          {"finish_diameter", number(way.finish_diameter_mm)},
          {"allowed", way.allowed},
          {"taken", way.taken},
          {"cost", way.allowed ? number(way.cost) : Json(nullptr)},
          {"odds_lower_bound", way.allowed ? number(way.odds_lower_bound) : Json(nullptr)},
          {"why", way.why}};
}

Json alternative_json(const Alternative& alternative) {
  const PlanCount& count = alternative.count;
  return {{"name", alternative.name},         {"plugs", count.plugs},
          {"bushes", count.bushes},           {"opened", count.opened},
          {"odd_sizes", count.odd_sizes},     {"sizes", count.sizes},
          {"undecided", count.undecided},     {"metal_cm3", number(count.metal_cm3)},
          {"odds", number(alternative.odds)}, {"same", alternative.same}};
}

Json stack_json(const StackPlan& stack, const LaidHole* laid, const FastenerSchedule& schedule) {
  const FastenerPiece* piece = schedule.piece_of({stack.plate, stack.id});
  const StackFastener* fastener = schedule.stack_of({stack.plate, stack.id});
  Json json;
  json["id"] = stack.id;
  json["plate"] = stack.plate;
  json["group"] = stack.group;
  json["x"] = number(stack.centre_mm.x());
  json["y"] = number(stack.centre_mm.y());
  json["mark_x"] = laid != nullptr ? number(laid->mark_mm.x()) : Json(nullptr);
  json["mark_y"] = laid != nullptr ? number(laid->mark_mm.y()) : Json(nullptr);
  json["nominal"] = pair(stack.nominal_mm);
  json["method"] = method_name(stack.method);
  json["state"] = state_name(stack.state);
  json["finish_diameter"] = number(stack.finish_diameter_mm);
  json["finish"] = finish_name(stack.finish);
  json["fastener"] = stack.fastener;
  json["fastener_mark"] = piece != nullptr ? Json(piece->mark) : Json(nullptr);
  json["fit"] = fastener != nullptr && !fastener->fit.empty() ? Json(fastener->fit) : Json(nullptr);
  json["grip"] = number(stack.grip_mm);
  json["odds"] = number(stack.odds);
  json["odds_lower_bound"] = number(stack.odds_lower_bound);
  json["cost"] = number(stack.cost);
  json["margin"] = number(stack.margin_mm);
  json["position_zone"] = number(stack.position_zone_mm);
  json["limits"] = limits_json(stack, laid);
  json["order"] = laid != nullptr ? Json(laid->order) : Json(nullptr);
  json["locating"] = laid != nullptr && laid->locating;
  json["reason"] = stack.reason;
  json["ruled_out"] = stack.ruled_out;
  json["ways"] = Json::array();
  for (const OtherWay& way : stack.ways) json["ways"].push_back(way_json(way));
  json["layers"] = Json::array();
  for (const LayerPlan& layer : stack.layers) json["layers"].push_back(layer_json(layer));
  return json;
}

}  // namespace

const LaidHole* laid_hole(const ReportInput& report, const StackPlan& stack) {
  const PlateLayout* layout = layout_of(report, stack.plate);
  if (layout == nullptr) return nullptr;
  const auto found = std::find_if(layout->holes.begin(), layout->holes.end(),
                                  [&](const LaidHole& h) { return h.id == stack.id; });
  return found == layout->holes.end() ? nullptr : &*found;
}

std::string plan_json(const Job& job, const ReportInput& report) {
  Json json;
  json["format"] = "fairhole plan 1";
  json["units"] = "mm";
  json["job"] = job.title;
  json["date"] = report.title.date.empty() ? Json(nullptr) : Json(report.title.date);
  json["ready"] = !report.not_to_be_drilled;
  json["notice"] = report.not_to_be_drilled ? Json("NOT TO BE DRILLED") : Json(nullptr);
  json["way_of_drilling"] = report.way_of_drilling;
  json["turning_within"] = number(job.turning_mm);
  json["plates"] = Json::array();
  for (const Plate& plate : job.plates) {
    const PlateLayout* layout = layout_of(report, plate.name);
    json["plates"].push_back(plate_json(plate, layout, layout != nullptr));
  }
  json["seats"] = Json::array();
  for (const SeatPlan& seat : report.plan.seats) json["seats"].push_back(seat_json(seat));
  json["movers"] = Json::array();
  for (const MoverAt& mover : report.movers) json["movers"].push_back(mover_json(mover));
  json["stacks"] = Json::array();
  for (const StackPlan& stack : report.plan.stacks)
    json["stacks"].push_back(stack_json(stack, laid_hole(report, stack), report.schedule));
  json["cost"] = number(report.plan.cost);
  json["bound"] = number(report.plan.bound);
  json["proven"] = report.plan.proven;
  json["odds"] = number(report.plan.odds);
  json["odds_sigma"] = number(report.plan.odds_sigma);
  json["alternatives"] = Json::array();
  for (const Alternative& alternative : report.plan.alternatives) {
    json["alternatives"].push_back(alternative_json(alternative));
  }
  json["warnings"] = Json::array();
  for (const auto* warnings : {&report.plan.warnings, &report.warnings, &report.open_loops}) {
    for (const std::string& warning : *warnings) json["warnings"].push_back(warning);
  }
  json["problems"] = Json::array();
  for (const Problem& problem : report.problems) {
    json["problems"].push_back({{"code", code_name(problem.code)},
                                {"where", problem.where},
                                {"what", problem.what},
                                {"remedy", problem.remedy}});
  }
  return json.dump(1) + "\n";
}

std::string holes_csv(const ReportInput& report) {
  std::string csv =
      "plate,id,group,x,y,mark_x,mark_y,method,state,finish_diameter,pilot_diameter,finish,fastener,grip,"
      "odds,order,"
      "locating\n";
  for (const StackPlan& stack : report.plan.stacks) {
    const LaidHole* laid = laid_hole(report, stack);
    csv += fmt::format(
        "{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}\n", csv_field(stack.plate), csv_field(stack.id),
        csv_field(stack.group), csv_number(stack.centre_mm.x()), csv_number(stack.centre_mm.y()),
        csv_number(laid ? std::optional(laid->mark_mm.x()) : std::nullopt),
        csv_number(laid ? std::optional(laid->mark_mm.y()) : std::nullopt), method_name(stack.method),
        state_name(stack.state), csv_number(stack.finish_diameter_mm),
        csv_number(laid ? laid->pilot_mm : std::nullopt), finish_name(stack.finish),
        csv_field(stack.fastener), csv_number(stack.grip_mm), csv_number(stack.odds),
        laid ? fmt::format("{}", laid->order) : "", laid && laid->locating ? "yes" : "no");
  }
  return csv;
}

}  // namespace fairhole::job

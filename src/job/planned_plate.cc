// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "planned_plate.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <nlohmann/json.hpp>

#include "json_text.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

std::string text_of(const Json& json, const char* key) {
  const Json& value = json.at(key);
  return value.is_string() ? value.get<std::string>() : std::string();
}

std::optional<double> number_of(const Json& value) {
  return value.is_number() ? std::optional(value.get<double>()) : std::nullopt;
}

Eigen::Vector2d point_of(const Json& value) { return {value.at(0).get<double>(), value.at(1).get<double>()}; }

HoleLimits limits_of(const Json& json) {
  return {json.at("position_zone").get<double>(), json.at("min").get<double>(), json.at("max").get<double>()};
}

PlannedHole hole_of(const Json& stack) {
  PlannedHole hole;
  hole.id = stack.at("id").get<std::string>();
  hole.centre_mm = {stack.at("x").get<double>(), stack.at("y").get<double>()};
  hole.finish_mm = stack.at("finish_diameter").get<double>();
  const Json& limits = stack.at("limits");
  if (const Json& pilot = limits.at("pilot"); !pilot.is_null()) {
    hole.pilot = limits_of(pilot);
    hole.pilot_mm = pilot.at("drill").get<double>();
  }
  hole.finished = limits_of(limits.at("finished"));
  hole.mark = text_of(stack, "fastener_mark");
  hole.fit = text_of(stack, "fit");
  for (const Json& layer : stack.at("layers")) {
    if (layer.at("new_plate").get<bool>()) continue;
    hole.mates.push_back({text_of(layer, "part"), text_of(layer, "hole"),
                          hole.centre_mm + point_of(layer.at("misfit")),
                          number_of(layer.at("found_diameter")), layer.at("action") == "ream"});
  }
  return hole;
}

bool is_drilled(const Json& stack) {
  const std::string method = stack.at("method").get<std::string>();
  return method != "leave-out" && method != "undecided";
}

Result<PlanRead> read(const Json& json, const NamedText& plan, const std::string& wanted) {
  if (!json.at("ready").get<bool>()) {
    return Problem{codes::kCheckBackPlan, plan.name,
                   "this plan is NOT TO BE DRILLED: there is nothing to check",
                   "mend what its \"problems\" name and run it again"};
  }
  std::vector<std::string> names;
  for (const Json& plate : json.at("plates")) names.push_back(plate.at("name").get<std::string>());
  const bool known = std::find(names.begin(), names.end(), wanted) != names.end();
  if (wanted.empty() ? names.size() != 1 : !known) {
    return Problem{codes::kCheckBackPlate, plan.name,
                   wanted.empty() ? fmt::format("the plan has {} plates", names.size())
                                  : fmt::format("the plan has no plate \"{}\"", wanted),
                   fmt::format("write --plate and one of: {}", fmt::join(names, ", "))};
  }
  PlanRead read;
  read.job = text_of(json, "job");
  read.date = text_of(json, "date");
  read.turning_mm = json.at("turning_within").get<double>();
  read.plate.name = wanted.empty() ? names.front() : wanted;
  for (const Json& stack : json.at("stacks")) {
    if (stack.at("plate") == read.plate.name && is_drilled(stack)) read.plate.holes.push_back(hole_of(stack));
  }
  return read;
}

}  // namespace

Result<PlanRead> read_plan(const NamedText& plan, const std::string& plate) {
  const Result<Json> json = parse_json(plan.text, plan.name);
  if (!json) return json.problems();
  const Problem none{codes::kCheckBackPlan, plan.name, "this is no plan of `fairhole run`, or an older one",
                     "name the plan.json of the results, as it was written"};
  if (!json->is_object() || json->value("format", "") != "fairhole plan 1") return none;
  try {
    return read(*json, plan, plate);
  } catch (const Json::exception&) {  // a key that is not there, or of another kind
    return none;
  }
}

}  // namespace fairhole::job

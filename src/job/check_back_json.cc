// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check_back_json.h"

#include "covariance_json.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

Json number_or_null(const std::optional<double>& value) {
  return value ? number_json(*value) : Json(nullptr);
}

Json hole_json(const HoleVerdict& hole) {
  Json json;
  json["id"] = hole.id;
  json["dx"] = hole.offset_mm ? number_json(hole.offset_mm->x()) : Json(nullptr);
  json["dy"] = hole.offset_mm ? number_json(hole.offset_mm->y()) : Json(nullptr);
  json["diameter"] = number_or_null(hole.diameter_mm);
  json["verdict"] = verdict_name(hole.verdict);
  json["remedy"] = hole.remedy;
  json["position"] = verdict_name(hole.position);
  json["size"] = verdict_name(hole.diameter);
  json["measured_as"] = hole.measured_as.empty() ? Json(nullptr) : Json(hole.measured_as);
  json["sxx"] = number_json(hole.offset_cov_mm2(0, 0));
  json["sxy"] = number_json(hole.offset_cov_mm2(0, 1));
  json["syy"] = number_json(hole.offset_cov_mm2(1, 1));
  json["s_diameter"] = number_json(hole.diameter_sigma_mm);
  json["limits"] = {{"position_zone", number_json(hole.limits.zone_mm)},
                    {"min", number_json(hole.limits.min_mm)},
                    {"max", number_json(hole.limits.max_mm)}};
  json["shank"] =
      hole.shank ? Json{{"min", hole.shank->min_mm()}, {"max", hole.shank->max_mm()}} : Json(nullptr);
  return json;
}

}  // namespace

Json outcome_json(const CheckBack& checked) {
  const Inspection& found = checked.inspection;
  Json json;
  json["stage"] = stage_name(found.stage);
  json["plate"] = found.plate;
  json["holes"] = Json::array();
  for (const HoleVerdict& hole : found.holes) json["holes"].push_back(hole_json(hole));
  json["unknown"] = found.unknown;
  json["shanks"] = Json::array();
  for (const FinalShank& shank : found.shanks) {
    json["shanks"].push_back({{"mark", shank.mark},
                              {"holes", shank.holes},
                              {"min", shank.shank.min_mm()},
                              {"max", shank.shank.max_mm()}});
  }
  json["trade_off"] = Json::array();
  for (const fasteners::GroupingChoice& choice : found.trade_off)
    json["trade_off"].push_back({{"sizes", choice.groups}, {"turning", choice.turning_mm}});
  json["notes"] = found.notes;
  return json;
}

}  // namespace fairhole::job

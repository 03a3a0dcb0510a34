// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/infer_json.h"

#include <cmath>

#include "json_text.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

/// Nanometres are exact for both units' series; what rounding adds below them is noise in a file.
double tidy(double value) {
  constexpr double kPerUnit = 1e6;
  const double rounded = std::round(value * kPerUnit) / kPerUnit;
  return rounded == 0.0 ? 0.0 : rounded;  // no -0
}

/// An item as a job's pattern states it (docs/formats/job.md, patterns).
struct Statement {
  Json operator()(const NominalHole& hole) const {
    return {{"hole", hole.id}, {"x", tidy(hole.centre_mm.x())}, {"y", tidy(hole.centre_mm.y())}};
  }
  Json operator()(const Row& row) const { return stated("row", row); }
  Json operator()(const Grid& grid) const {
    Json json = stated(grid.stagger_mm != 0.0 ? "staggered" : "grid", grid.row);
    json["rows"] = grid.rows;
    json["gauge"] = tidy(grid.gauge_mm);
    if (grid.stagger_mm != 0.0) json["stagger"] = tidy(grid.stagger_mm);
    return json;
  }
  Json operator()(const BoltCircle& circle) const {
    return {{"circle", circle.prefix},
            {"x", tidy(circle.centre_mm.x())},
            {"y", tidy(circle.centre_mm.y())},
            {"radius", tidy(circle.radius_mm)},
            {"count", circle.count},
            {"start_deg", tidy(circle.start.degrees())},
            {"step_deg", tidy(circle.step.degrees())}};
  }

 private:
  static Json stated(const char* kind, const Row& row) {
    Json json = {{kind, row.prefix},
                 {"x", tidy(row.start_mm.x())},
                 {"y", tidy(row.start_mm.y())},
                 {"pitch", tidy(row.pitch_mm)},
                 {"count", row.count}};
    if (row.direction.radians() != 0.0) json["direction_deg"] = tidy(row.direction.degrees());
    return json;
  }
};

Json statement(const PatternItem& item) { return std::visit(Statement{}, item); }

Json dimension_json(const Dimension& dimension) {
  Json candidates = Json::array();
  for (const RoundValue& c : dimension.candidates) {
    const bool inch = c.unit == Unit::kInch;
    candidates.push_back({{"value", tidy(c.value_mm)},
                          {"read_as", inch ? format_inches(c.value_mm, 32) : format_mm(c.value_mm) + " mm"},
                          {"odds", c.odds}});
  }
  return {{"name", dimension.name},
          {"measured", dimension.measured_mm},
          {"sigma", dimension.sigma_mm},
          {"candidates", candidates}};
}

Json id_or_null(const std::optional<HoleId>& id) { return id ? Json(*id) : Json(nullptr); }

Json place_json(const Place& place) {
  Json json = {{"hole", place.nominal},
               {"measured", id_or_null(place.measured)},
               {"dx", place.measured ? Json(place.residual_mm.x()) : Json(nullptr)},
               {"dy", place.measured ? Json(place.residual_mm.y()) : Json(nullptr)},
               {"strayed", place.strayed}};
  if (place.measured_on_second) json["measured_on_second"] = *place.measured_on_second;
  return json;
}

/// What was found and how sure it is; `stated`: the items' statements too.
Json findings(const Inference& inference, bool stated) {
  Json items = Json::array(), loose = Json::array();
  for (const InferredItem& item : inference.items) {
    Json json = Json::object();
    if (stated) json["item"] = statement(item.item);
    json["odds"] = item.odds;
    json["staggered"] = item.staggered;
    json["dimensions"] = Json::array();
    for (const Dimension& dimension : item.dimensions)
      json["dimensions"].push_back(dimension_json(dimension));
    json["places"] = Json::array();
    for (const Place& place : item.places) json["places"].push_back(place_json(place));
    items.push_back(std::move(json));
  }
  for (const LooseHole& hole : inference.loose) {
    loose.push_back({{"hole", hole.hole.id},
                     {"measured", hole.measured},
                     {"x", hole.hole.centre_mm.x()},
                     {"y", hole.hole.centre_mm.y()}});
  }
  return {{"unit", inference.unit == Unit::kInch ? "in" : "mm"},
          {"unit_odds", inference.unit_odds},
          {"scatter", inference.scatter_mm},
          {"turn_deg", inference.turn.degrees()},
          {"turn_sigma_deg", inference.turn_sigma.degrees()},
          {"placed", inference.placed},
          {"independent_holes", inference.independent_holes},
          {"items", items},
          {"loose", loose}};
}

}  // namespace

bool is_shape_only(std::string_view measured_text) {
  const Result<Json> json = parse_json(measured_text, {});
  if (!json || !json->is_object()) return false;
  const auto found = json->find("shape_only");
  return found != json->end() && found->is_boolean() && found->get<bool>();
}

std::string infer_json(const Inference& inference) { return findings(inference, true).dump(1) + "\n"; }

Result<std::string> pattern_file(const Inference& inference, bool other_hand, const std::string& where) {
  std::vector<PatternItem> stated = inference.pattern_items();
  if (other_hand) stated = fairhole::other_hand(stated);
  const Result<Pattern> pattern = expand(stated, std::nullopt, where);
  if (!pattern) return pattern.problems();
  Json holes = Json::array(), items = Json::array();
  for (const NominalHole& hole : *pattern)
    holes.push_back({{"id", hole.id}, {"x", tidy(hole.centre_mm.x())}, {"y", tidy(hole.centre_mm.y())}});
  for (const PatternItem& item : stated) items.push_back(statement(item));
  const Json file = {{"format", "fairhole pattern 1"},
                     {"units", "mm"},
                     {"hand", other_hand ? "other" : "as measured"},
                     {"holes", holes},
                     {"items", items},
                     {"doubts", findings(inference, false)}};
  return file.dump(1) + "\n";
}

}  // namespace fairhole::job

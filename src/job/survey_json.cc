// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/survey_json.h"

#include <nlohmann/json.hpp>
#include <numbers>
#include <optional>

#include "covariance_json.h"
#include "fairhole/base/angle.h"

namespace fairhole {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return number_json(value); }
Json number(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }

Json hole_json(const MeasuredHole& h) {
  const bool sized = h.diameter_mm.has_value();
  return {{"id", h.id},
          {"x", number(h.centre_mm.x())},
          {"y", number(h.centre_mm.y())},
          {"sxx", number(h.centre_cov_mm2(0, 0))},
          {"sxy", number(h.centre_cov_mm2(0, 1))},
          {"syy", number(h.centre_cov_mm2(1, 1))},
          {"diameter", number(h.diameter_mm)},
          {"s_diameter", sized ? number(h.diameter_sigma_mm) : Json(nullptr)},
          {"ovality", sized ? number(h.ovality_mm) : Json(nullptr)},
          {"ovality_axis_deg", h.ovality_mm > 0.0 ? number(degrees_of(h.ovality_axis_rad)) : Json(nullptr)}};
}

Json reading_json(const ReadingVerdict& v) {
  Json slip = nullptr;
  if (v.slip) {
    slip = {{"name", v.slip->name}, {"size", number(v.slip->size_mm)}, {"odds", number(v.slip->odds)}};
  }
  return {{"row", v.row},
          {"residual", number(v.residual_mm)},
          {"w", number(v.w)},
          {"redundancy", number(v.redundancy)},
          {"mdb", number(v.mdb_mm)},
          {"rejected", v.rejected},
          {"slip", slip}};
}

Json covariance_of(const MeasuredFace& face) {
  std::vector<HoleId> ids;
  for (const MeasuredHole& h : face.holes) ids.push_back(h.id);
  return covariance_json(ids, face.covariance_mm2);
}

Json tapes_json(const SurveyResult& r) {
  Json scales = Json::array();
  for (const TapeScale& s : r.scales) {
    scales.push_back({{"tape", s.tape}, {"scale", number(s.scale)}, {"s_scale", number(s.sigma)}});
  }
  Json zeros = Json::array();
  for (const TapeZero& z : r.zeros) {
    zeros.push_back({{"set_up", z.set_up}, {"zero", number(z.zero_mm)}, {"s_zero", number(z.sigma_mm)}});
  }
  return {{"scales", std::move(scales)}, {"zeros", std::move(zeros)}};
}

Json next_json(const NextReading& n) {
  return {{"kind", kind_name(n.kind)}, {"from", n.from}, {"to", n.to}, {"gain", number(n.gain_mm)}};
}

Json doubt_json(const MirrorDoubt& d) {
  return {{"holes", d.holes}, {"line", Json::array({d.line_from, d.line_to})}, {"remedy", d.remedy}};
}

template <class Items, class Make>
Json array_of(const Items& items, Make make) {
  Json out = Json::array();
  for (const auto& item : items) out.push_back(make(item));
  return out;
}

}  // namespace

std::string survey_json(const SurveyResult& r) {
  const Json out = {{"holes", array_of(r.face.holes, hole_json)},
                    {"dof", r.dof},
                    {"chi2", number(r.chi2)},
                    {"chi2_p", number(r.chi2_p)},
                    {"readings", array_of(r.readings, reading_json)},
                    {"unchecked", r.unchecked},
                    {"together", r.together},
                    {"next", array_of(r.next, next_json)},
                    {"square_deg", number(degrees_of(r.square_rad))},
                    {"s_square_deg", number(degrees_of(r.square_sigma_rad))},
                    {"tapes", tapes_json(r)},
                    {"shape_only", r.shape_only},
                    {"mirror_doubts", array_of(r.mirror_doubts, doubt_json)},
                    {"notes", r.notes},
                    {"covariance", covariance_of(r.face)}};
  return out.dump() + "\n";
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/register_json.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/LU>
#include <cmath>
#include <set>

#include "fairhole/base/odds_words.h"
#include "fairhole/report/registration_picture.h"
#include "json_text.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kSettled = 0.99;
constexpr const char* kSearchCut =
    "The search came to its limit: poses may fit that were not looked at. Pin a hole or say where the "
    "pattern lies.\n";

/// Reads the members of one hole; collects what is wrong.
class HoleReader {
 public:
  HoleReader(const Json& hole, std::string where, Problems& problems)
      : hole_(hole), where_(std::move(where)), problems_(problems) {
    if (!hole_.is_object()) complain("this is no hole", "write {\"id\": \"H1\", \"x\": 0, \"y\": 0}");
  }

  std::string id() {
    const auto found = hole_.find("id");
    if (hole_.is_object() && found != hole_.end() && found->is_string() && !found->get<std::string>().empty())
      return found->get<std::string>();
    if (hole_.is_object()) complain("\"id\" is missing or no text", "give every hole a name");
    return {};
  }
  double number(const char* key, bool needed) {
    if (!hole_.is_object()) return 0.0;
    const auto found = hole_.find(key);
    if (found == hole_.end() || found->is_null()) {
      if (needed) complain(fmt::format("\"{}\" is missing", key), "state it in mm");
      return 0.0;
    }
    if (!found->is_number() || !std::isfinite(found->get<double>())) {
      complain(fmt::format("\"{}\" is no number", key), "state it in mm");
      return 0.0;
    }
    return found->get<double>();
  }
  std::optional<double> diameter_mm() {
    const double value = number("diameter", false);
    return value > 0.0 ? std::optional(value) : std::nullopt;
  }

 private:
  void complain(std::string what, std::string remedy) {
    problems_.push_back({codes::kHolesFile, where_, std::move(what), std::move(remedy)});
  }
  const Json& hole_;
  std::string where_;
  Problems& problems_;
};

constexpr std::size_t kMostHolesOfAFile = 10'000;

Result<Json> holes_of(std::string_view text, const std::string& file) {
  Result<Json> json = parse_json(text, file);
  if (!json) return json;
  if (!json->is_object() || !json->contains("holes") || !(*json)["holes"].is_array()) {
    return Problem{codes::kHolesFile, file, "there is no list \"holes\"",
                   "write {\"holes\": [{\"id\", \"x\", \"y\"}]}"};
  }
  if (const std::size_t count = (*json)["holes"].size(); count > kMostHolesOfAFile) {
    return Problem{codes::kHolesFile, file, fmt::format("{} holes", count),
                   fmt::format("a face has up to {}; this cannot be what was meant", kMostHolesOfAFile)};
  }
  return json;
}

void check_twice(const HoleId& id, const std::string& where, std::set<HoleId>& seen, Problems& problems) {
  if (!id.empty() && !seen.insert(id).second)
    problems.push_back(
        {codes::kHolesFile, where, fmt::format("hole {} stands here twice", id), "rename one"});
}

/// The covariance over all holes, its order that of `holes`.
void read_covariance(const Json& json, const std::string& file, MeasuredFace& face, Problems& problems) {
  const auto found = json.find("covariance");
  if (found == json.end() || found->is_null()) return;
  const auto complain = [&](const char* what) {
    problems.push_back(
        {codes::kHolesFile, file + ": covariance", what,
         "write {\"order\": [\"H1.x\", \"H1.y\", ...], \"mm2\": [[...]]} over the holes in their order"});
  };
  if (!found->is_object() || !found->contains("order") || !found->contains("mm2"))
    return complain("\"order\" or \"mm2\" is missing");
  const Json& order = (*found)["order"];
  const Json& rows = (*found)["mm2"];
  const std::size_t size = 2 * face.holes.size();
  if (!order.is_array() || !rows.is_array() || order.size() != size || rows.size() != size)
    return complain("its size is not two rows a hole");
  for (std::size_t i = 0; i < size; ++i) {
    const std::string expected = face.holes[i / 2].id + (i % 2 == 0 ? ".x" : ".y");
    if (!order[i].is_string() || order[i].get<std::string>() != expected)
      return complain("its order is not that of the holes");
  }
  Eigen::MatrixXd cov(size, size);
  for (std::size_t i = 0; i < size; ++i) {
    if (!rows[i].is_array() || rows[i].size() != size)
      return complain("a row has another length than the order");
    for (std::size_t j = 0; j < size; ++j) {
      if (!rows[i][j].is_number()) return complain("an element is no number");
      cov(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = rows[i][j].get<double>();
    }
  }
  face.covariance_mm2 = cov;
}

Json pose_json(const FaceFromPattern& pose) {
  return {{"x", pose.motion.shift_mm.x()},
          {"y", pose.motion.shift_mm.y()},
          {"turn_deg", pose.motion.turn.degrees()},
          {"mirrored", pose.motion.mirrored}};
}

Json rival_json(const FaceFromPattern& pose, std::size_t matched, double odds, const std::string& how) {
  return {{"pose", pose_json(pose)}, {"matched", matched}, {"odds", odds}, {"how", how}};
}

/// "scale": 1.003, ...: what each term comes to, accepted or not; null where these holes cannot tell.
Json distortion_json(const Distortion& distortion) {
  const auto value = [&](DistortionTerm term) {
    const auto& estimate = distortion[term].estimate;
    return estimate ? Json(estimate->value) : Json(nullptr);
  };
  Json terms = Json::object();
  for (std::size_t k = 0; k < kDistortionTerms; ++k) {
    const auto term = static_cast<DistortionTerm>(k);
    const auto& estimate = distortion[term].estimate;
    if (!estimate) continue;
    terms[distortion_name(term)] = {{"value", estimate->value},
                                    {"sigma", estimate->sigma},
                                    {"low", estimate->low},
                                    {"high", estimate->high},
                                    {"f", estimate->f},
                                    {"dof", estimate->dof},
                                    {"p", estimate->p},
                                    {"size_mm", estimate->size_mm},
                                    {"over_mm", estimate->over_mm},
                                    {"limit_mm", estimate->limit_mm}};
  }
  Json accepted = Json::array();
  for (const DistortionTerm term : distortion.accepted) accepted.push_back(distortion_name(term));
  return {{"scale", value(DistortionTerm::kScale)},
          {"shear_deg", value(DistortionTerm::kShear)},
          {"aspect", value(DistortionTerm::kAspect)},
          {"bow", value(DistortionTerm::kBow)},
          {"twist_deg", value(DistortionTerm::kTwist)},
          {"accepted", accepted},
          {"terms", terms}};
}

std::string joined(const std::vector<HoleId>& ids) { return fmt::format("{}", fmt::join(ids, ", ")); }

/// Rounded to the places shown: nought has no sign.
double shown(double value, int places) {
  const double unit = std::pow(10.0, places);
  return std::round(value * unit) / unit + 0.0;
}

std::string pose_words(const Motion& pose) {
  return fmt::format("x {:.2f} mm, y {:.2f} mm, turned {:.3f} degrees", shown(pose.shift_mm.x(), 2),
                     shown(pose.shift_mm.y(), 2), shown(pose.turn.degrees(), 3));
}

}  // namespace

Result<Pattern> parse_pattern(std::string_view text, const std::string& file) {
  const Result<Json> json = holes_of(text, file);
  if (!json) return json.problems();
  Pattern pattern;
  Problems problems;
  std::set<HoleId> seen;
  for (const Json& hole : (*json)["holes"]) {
    const std::string where = fmt::format("{}: holes[{}]", file, pattern.size());
    HoleReader reader(hole, where, problems);
    NominalHole nominal;
    nominal.id = reader.id();
    const double x_mm = reader.number("x", true);
    nominal.centre_mm = {x_mm, reader.number("y", true)};
    nominal.diameter_mm = reader.diameter_mm();
    check_twice(nominal.id, where, seen, problems);
    pattern.push_back(std::move(nominal));
  }
  if (!problems.empty()) return problems;
  return pattern;
}

Result<MeasuredFace> parse_measured(std::string_view text, const std::string& file) {
  const Result<Json> json = holes_of(text, file);
  if (!json) return json.problems();
  MeasuredFace face;
  Problems problems;
  std::set<HoleId> seen;
  for (const Json& item : (*json)["holes"]) {
    const std::string where = fmt::format("{}: holes[{}]", file, face.holes.size());
    HoleReader reader(item, where, problems);
    MeasuredHole hole;
    hole.id = reader.id();
    const double x_mm = reader.number("x", true);
    hole.centre_mm = {x_mm, reader.number("y", true)};
    const double sxy = reader.number("sxy", false);
    hole.centre_cov_mm2 << reader.number("sxx", false), sxy, sxy, reader.number("syy", false);
    if (hole.centre_cov_mm2(0, 0) < 0.0 || hole.centre_cov_mm2(1, 1) < 0.0 ||
        hole.centre_cov_mm2.determinant() < -1e-12) {
      problems.push_back({codes::kHolesFile, where, "sxx, sxy, syy are no covariance",
                          "sxx and syy are squares of sigmas in mm2, and sxy^2 is at most sxx * syy"});
    }
    hole.diameter_mm = reader.diameter_mm();
    hole.diameter_sigma_mm = reader.number("s_diameter", false);
    check_twice(hole.id, where, seen, problems);
    face.holes.push_back(std::move(hole));
  }
  if (problems.empty()) read_covariance(*json, file, face, problems);
  if (!problems.empty()) return problems;
  return face;
}

bool is_settled(const Registration& registration) { return registration.odds >= kSettled; }

std::string register_json(const Registration& r, const Distortion& distortion) {
  Json cov = Json::array();
  for (int i = 0; i < 3; ++i) cov.push_back({r.pose_cov(i, 0), r.pose_cov(i, 1), r.pose_cov(i, 2)});
  Json matches = Json::array();
  for (const Match& m : r.matches) {
    matches.push_back({{"nominal", m.nominal},
                       {"measured", m.measured},
                       {"dx", m.residual_mm.x()},
                       {"dy", m.residual_mm.y()},
                       {"p", m.p}});
  }
  Json swaps = Json::array();
  for (const Swap& swap : r.swaps) {
    swaps.push_back({{"measured", swap.measured},
                     {"nominal", swap.nominal.empty() ? Json(nullptr) : Json(swap.nominal)},
                     {"alternative", swap.alternative},
                     {"odds", swap.odds}});
  }
  Json rivals = Json::array();
  if (!is_settled(r))
    rivals.push_back(rival_json(r.face_from_pattern, r.matches.size(), r.odds, "the likeliest"));
  for (const Rival& rival : r.rivals) {
    rivals.push_back(rival_json(rival.face_from_pattern, rival.matches.size(), rival.odds,
                                fmt::format("{}; {}", rival.how, rival.tell_apart)));
  }
  const Json out = {{"pose", is_settled(r) ? pose_json(r.face_from_pattern) : Json(nullptr)},
                    {"cov", cov},
                    {"matches", matches},
                    {"missing", r.missing},
                    {"extra", r.extra},
                    {"rivals", rivals},
                    {"swaps", swaps},
                    {"complete", r.complete},
                    {"scatter", r.scatter_mm},
                    {"independent_holes", r.independent_holes},
                    {"distortion", distortion_json(distortion)}};
  return out.dump(1) + "\n";
}

std::string register_text(const Registration& r, const Distortion& distortion) {
  const Motion& pose = r.face_from_pattern.motion;
  std::string text = fmt::format("The pattern {} at {}{}.\n", is_settled(r) ? "lies" : "lies most likely",
                                 pose_words(pose), pose.mirrored ? ", seen from its other side" : "");
  text += fmt::format("{} holes matched; they scatter {:.2f} mm about the drawing.\n", r.matches.size(),
                      r.scatter_mm);
  for (const Match& m : r.matches) {
    text += fmt::format("  {:<8} is {:<8} off by {:+.2f}, {:+.2f} mm{}\n", m.measured, m.nominal,
                        shown(m.residual_mm.x(), 2), shown(m.residual_mm.y(), 2),
                        m.p < 0.9 ? "; right with " + odds_words(m.p) : "");
  }
  if (!r.missing.empty()) text += fmt::format("Not found on the part: {}\n", joined(r.missing));
  if (!r.extra.empty()) text += fmt::format("Not on the drawing: {}\n", joined(r.extra));
  for (const Swap& swap : r.swaps) {
    text += fmt::format("{} may be {}{} with {:.1f} in 100.\n", swap.measured, swap.alternative,
                        swap.nominal.empty() ? "" : fmt::format(" instead of {}", swap.nominal),
                        100.0 * swap.odds);
  }
  for (const Rival& rival : r.rivals) {
    text += fmt::format("It fits with {:.1f} in 100 {}: {}, {} holes; {}.\n", 100.0 * rival.odds, rival.how,
                        pose_words(rival.face_from_pattern.motion), rival.matches.size(), rival.tell_apart);
  }
  for (const std::string& words : distortion_words(distortion)) text += words + "\n";
  if (!r.complete) text += kSearchCut;
  return text;
}

std::string rivals_words(const Registration& r) {
  if (r.rivals.empty()) return "more poses fit about as well than can be listed";
  const Rival& first = r.rivals.front();
  const std::size_t others = r.rivals.size() - 1;
  return fmt::format("the pattern fits as well {}{}", first.how,
                     others == 0   ? std::string()
                     : others == 1 ? ", or in one other way"
                                   : fmt::format(", or in {} other ways", others));
}

}  // namespace fairhole::job

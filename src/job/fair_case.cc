// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/fair_case.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "fairhole/base/angle.h"
#include "fairhole/job/load.h"
#include "json_text.h"
#include "node.h"

namespace fairhole::job {
namespace {

constexpr Bounds kHalfTurn{-180.0, 180.0, false};
constexpr Bounds kHalfTurnUp{0.0, 180.0, false};
constexpr std::size_t kMostHoles = 5000;

/// One limit: how far either way, or [least, most].
SeatRange read_limit(Node& limits, const char* key, bool is_length) {
  const std::optional<Node> node = limits.child(key);
  if (!node) {
    limits.problem(codes::kJobKeyMissing, fmt::format("\"{}\" is missing", key),
                   fmt::format("state \"{}\"; 0 if the part cannot move so", key));
    return {};
  }
  const auto number = [is_length](const Node& at, bool either_sign) {
    return is_length ? at.as_length_mm(either_sign ? kAny : kNotNegative).value_or(0.0)
                     : at.as_number(either_sign ? kHalfTurn : kHalfTurnUp).value_or(0.0);
  };
  if (!node->is_list()) {
    const double most = number(*node, false);
    return {-most, most};
  }
  const std::vector<Node> ends = node->elements();
  if (ends.size() != 2) {
    node->problem(codes::kFairCase, fmt::format("{} numbers where two must stand", ends.size()),
                  "write [least, most], or one number for both ways");
    return {};
  }
  const SeatRange range{number(ends[0], true), number(ends[1], true)};
  if (range.least > range.most) {
    node->problem(codes::kFairCase, fmt::format("{} is more than {}", range.least, range.most),
                  "write [least, most], or one number for both ways");
  }
  return range;
}

SeatPlay read_play(Node& part) {
  SeatPlay play;
  std::optional<Node> limits = part.child("limits");
  if (!limits) return play;
  limits->members();  // says so if it is no object
  if (!limits->is_object()) return play;
  play.dx_mm = read_limit(*limits, "dx", true);
  play.dy_mm = read_limit(*limits, "dy", true);
  const SeatRange turn_deg = read_limit(*limits, "rot_deg", false);
  play.turn_rad = {Angle::degrees(turn_deg.least).radians(), Angle::degrees(turn_deg.most).radians()};
  return play;
}

class CaseReader {
 public:
  void read_part(Node part) {
    const std::string id = part.text("id");
    name_once(id, part, part_ids_, "part");
    const int index = static_cast<int>(out.parts.size());
    out.parts.push_back(id);
    out.joint.parts.push_back(read_play(part));
    Eigen::Vector2d pivot_mm = Eigen::Vector2d::Zero();
    if (const std::optional<Node> ref = part.child("ref")) {
      pivot_mm = ref->as_point_mm().value_or(pivot_mm);
    } else {
      part.problem(codes::kJobKeyMissing, "\"ref\" is missing",
                   "state the point [x, y] about which the part turns");
    }
    std::set<std::string> hole_ids;
    for (Node& hole : part.list("holes", true)) read_hole(hole, index, pivot_mm, hole_ids);
  }
  FairCase out;

 private:
  void read_hole(Node& hole, int part, const Eigen::Vector2d& pivot_mm, std::set<std::string>& ids) {
    name_once(hole.text("id"), hole, ids, "hole of this part");
    const std::string stack = hole.text("stack");
    const auto [at, is_new] = stack_index_.try_emplace(stack, static_cast<int>(out.stacks.size()));
    if (is_new) out.stacks.push_back(stack);
    const double x_mm = hole.length_mm("x", kAny);
    const double y_mm = hole.length_mm("y", kAny);
    const double diameter_mm = hole.length_mm("d", kAboveZero);
    out.joint.discs.push_back(disc_on_part(part, at->second, {x_mm, y_mm}, diameter_mm / 2.0, pivot_mm));
  }
  static void name_once(const std::string& id, const Node& node, std::set<std::string>& seen,
                        const char* kind) {
    if (!id.empty() && !seen.insert(id).second) {
      node.problem(codes::kJobNameTwice, fmt::format("another {} is called \"{}\" too", kind, id),
                   "rename one");
    }
  }
  std::set<std::string> part_ids_;
  std::map<std::string, int> stack_index_;
};

void read_bolts(Node& top, std::vector<double>& bolts_mm) {
  if (top.has("bolt") && top.has("bolts")) {
    top.problem(codes::kFairCase, "both \"bolt\" and \"bolts\" are stated", "keep one of them");
  }
  if (const std::optional<Node> bolt = top.child("bolt")) {
    if (const std::optional<double> d = bolt->as_length_mm(kAboveZero)) bolts_mm.push_back(*d);
  }
  for (const Node& bolt : top.list("bolts")) {
    if (const std::optional<double> d = bolt.as_length_mm(kAboveZero)) bolts_mm.push_back(*d);
  }
  std::sort(bolts_mm.begin(), bolts_mm.end());
  bolts_mm.erase(std::unique(bolts_mm.begin(), bolts_mm.end()), bolts_mm.end());
}

}  // namespace

Result<FairCase> parse_fair_case(std::string_view text, const std::string& file) {
  const Result<nlohmann::ordered_json> json = parse_json(text, file);
  if (!json) return json.problems();
  NodeContext context;
  context.file = file;
  Node top(*json, context, "");
  top.members();  // says so if it is no object
  CaseReader reader;
  for (const Node& part : top.list("parts", true)) reader.read_part(part);
  read_bolts(top, reader.out.bolts_mm);
  FairCase& out = reader.out;
  out.joint.stacks = static_cast<int>(out.stacks.size());
  if (out.joint.discs.empty() && context.problems.empty()) {
    context.problems.push_back({codes::kFairCase, file, "there is no hole in the case",
                                "give a part \"holes\": [{\"id\", \"stack\", \"x\", \"y\", \"d\"}]"});
  }
  if (out.joint.discs.size() > kMostHoles) {
    context.problems.push_back({codes::kJobTooLarge, file, fmt::format("{} holes", out.joint.discs.size()),
                                fmt::format("split the case; it takes at most {}", kMostHoles)});
  }
  if (!context.problems.empty()) return context.problems;
  return std::move(out);
}

FairAnswer solve_fair_case(const FairCase& fair_case) {
  const auto stacks = static_cast<std::size_t>(fair_case.joint.stacks);
  FairAnswer answer;
  answer.least = least_worst(fair_case.joint, std::vector<double>(stacks, 0.0));
  for (const double bolt : fair_case.bolts_mm) {
    answer.of_bolt.push_back(
        cheapest_levels(fair_case.joint, std::vector<StackLevels>(stacks, {{bolt}, {0.0, 1.0}})));
  }
  return answer;
}

}  // namespace fairhole::job

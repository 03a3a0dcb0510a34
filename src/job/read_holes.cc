// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "fairhole/fairing/plan.h"
#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "fairhole/job/register_json.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

constexpr std::size_t kMostHolesOfPatterns = 5 * kMostHolesOfAJob;  // drawn, whether used or not
constexpr Bounds kCount{1.0, 10000.0};                              // of a row; the pattern's own limit

Eigen::Vector2d read_point_mm(Node& node) {
  const double x_mm = node.length_mm("x", kAny);
  const double y_mm = node.length_mm("y", kAny);
  return {x_mm, y_mm};
}

Row read_row(Node& node, const char* key) {
  Row row;
  row.prefix = node.text(key);
  row.first = node.whole("first", kNotNegative, 1);
  row.start_mm = read_point_mm(node);
  row.direction = Angle::degrees(node.number("direction_deg", kAny, 0.0));
  row.pitch_mm = node.length_mm("pitch", kAboveZero);
  row.count = node.whole("count", kCount);
  return row;
}

PatternItem read_grid(Node& node, const char* key, bool staggered) {
  Grid grid;
  grid.row = read_row(node, key);
  grid.gauge_mm = node.length_mm("gauge", kAny);
  grid.rows = node.whole("rows", kCount);
  grid.stagger_mm = node.length_mm("stagger", kAny, staggered ? grid.row.pitch_mm / 2.0 : 0.0);
  return grid;
}

PatternItem read_circle(Node& node) {
  BoltCircle circle;
  circle.prefix = node.text("circle");
  circle.first = node.whole("first", kNotNegative, 1);
  circle.centre_mm = read_point_mm(node);
  circle.radius_mm = node.length_mm("radius", kAboveZero);
  circle.count = node.whole("count", kCount);
  circle.start = Angle::degrees(node.number("start_deg", kAny, 0.0));
  circle.step = Angle::degrees(node.number("step_deg", kAny, 360.0 / std::max(circle.count, 1)));
  return circle;
}

std::optional<PatternItem> read_item(Node node) {
  std::optional<PatternItem> item;
  if (node.has("hole")) {
    NominalHole hole;
    hole.id = node.text("hole");
    hole.centre_mm = read_point_mm(node);
    if (node.has("diameter")) hole.diameter_mm = node.length_mm("diameter", kAboveZero, 1.0);
    item = hole;
  } else if (node.has("row")) {
    item = read_row(node, "row");
  } else if (node.has("grid")) {
    item = read_grid(node, "grid", false);
  } else if (node.has("staggered")) {
    item = read_grid(node, "staggered", true);
  } else if (node.has("circle")) {
    item = read_circle(node);
  } else if (node.is_object()) {
    node.problem(codes::kJobKeyMissing, "this says no kind of hole",
                 "start with \"hole\", \"row\", \"grid\", \"staggered\" or \"circle\"");
    return std::nullopt;
  }
  node.done();
  return item;
}

HoleOverride read_override(Node node) {
  HoleOverride decided;
  if (node.has("method")) {
    // "undecided" is no decision.
    decided.method = node.word(
        "method", {"transfer", "open-out", "clear", "bush", "plug", "drill-to-drawing", "leave-out"});
  }
  if (node.has("finish")) decided.finish_mm = node.length_mm("finish", kAboveZero, 1.0);
  node.done();
  return decided;
}

/// The holes listed, or those of the pattern file named.
Result<Pattern> read_pattern(Node& node, Job& job) {
  if (!node.is_object()) {
    std::vector<PatternItem> items;
    for (const Node& element : node.elements()) {
      if (std::optional<PatternItem> item = read_item(element)) items.push_back(std::move(*item));
    }
    return expand(items, std::nullopt, node.where());
  }
  const std::string name = node.text("file");
  node.done();
  if (name.empty()) return Pattern{};
  job.pattern_files.push_back(name);
  const Result<std::string> text = read_file((std::filesystem::path(job.folder) / name).string(), name);
  if (!text) return text.problems();
  const Result<Pattern> holes = parse_pattern(*text, name);
  if (!holes) return holes.problems();
  return expand({holes->begin(), holes->end()}, std::nullopt, name);
}

}  // namespace

Patterns read_patterns(Node& root, Job& job) {
  Patterns patterns;
  std::size_t holes = 0;
  for (auto& [name, node] : root.entries("patterns", true)) {
    const Result<Pattern> pattern = read_pattern(node, job);
    if (pattern) {
      patterns[name] = *pattern;
    } else {
      append(root.context().problems, pattern.problems());
      patterns[name] = {};  // the name is known; what is wrong with it has been said
    }
    holes += patterns[name].size();
    if (holes <= kMostHolesOfPatterns) continue;
    node.problem(
        codes::kJobTooLarge, fmt::format("{} holes in the patterns up to here", holes),
        fmt::format("all patterns together take up to {}; look at the counts", kMostHolesOfPatterns));
    break;
  }
  return patterns;
}

Motion read_place(Node node) {
  Motion motion;
  motion.shift_mm = {node.length_mm("x", kAny), node.length_mm("y", kAny)};
  motion.turn = Angle::degrees(node.number("turn_deg", kAny, 0.0));
  node.done();
  return motion;
}

HoleGroup read_group(Node node, const Patterns& patterns) {
  HoleGroup group;
  group.name = node.text("name");
  group.on = node.text("on");
  group.fastener = node.text("fastener");
  group.packing_mm = node.length_mm("packing", kNotNegative, 0.0);
  const std::string prefix = node.text("prefix", false);
  Motion carrier_from_pattern;
  if (const std::optional<Node> at = node.child("at")) carrier_from_pattern = read_place(*at);
  carrier_from_pattern.mirrored = node.word("hand", {"as drawn", "other"}) == "other";
  const std::string pattern_name = node.text("pattern");
  const auto pattern = patterns.find(pattern_name);
  if (pattern != patterns.end()) {
    group.holes = placed(pattern->second, carrier_from_pattern);
    for (NominalHole& hole : group.holes) hole.id = prefix + hole.id;
  } else if (!pattern_name.empty()) {
    std::vector<std::string> names;
    for (const auto& [name, holes] : patterns) names.push_back(name);
    const std::optional<std::string> near = nearest(pattern_name, names);
    node.context().problems.push_back(
        {codes::kJobNameUnknown, node.where("pattern"),
         fmt::format("there is no pattern \"{}\"", pattern_name),
         near ? fmt::format("did you mean \"{}\"?", *near) : "add it to \"patterns\""});
  }
  const std::optional<double> diameter_mm =
      node.has("diameter") ? std::optional(node.length_mm("diameter", kAboveZero, 1.0)) : std::nullopt;
  for (NominalHole& hole : group.holes) {
    if (!hole.diameter_mm) hole.diameter_mm = diameter_mm;
  }
  for (auto& [id, decided] : node.entries("holes")) {
    const bool known = std::any_of(group.holes.begin(), group.holes.end(),
                                   [&name = id](const NominalHole& hole) { return hole.id == name; });
    if (!known && !group.holes.empty()) {
      decided.problem(codes::kJobNameUnknown, fmt::format("the group has no hole \"{}\"", id),
                      "name a hole of the group's pattern");
    }
    group.overrides[id] = read_override(decided);
  }
  node.done();
  return group;
}

}  // namespace fairhole::job

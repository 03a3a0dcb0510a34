// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "fairhole/job/load.h"
#include "outline.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

constexpr double kMostPullMm = 50.0;

std::optional<Pull> read_pull(Node& plate) {
  std::optional<Node> node = plate.child("pull");
  if (!node) return std::nullopt;
  Pull pull;
  const Bounds bounds{-kMostPullMm, kMostPullMm};
  pull.shift_mm = {node->length_mm("x", bounds, 0.0), node->length_mm("y", bounds, 0.0)};
  pull.sigma_mm = node->length_mm("sigma", kAboveZero);
  node->done();
  return pull;
}

std::optional<std::pair<Eigen::Vector2d, Eigen::Vector2d>> read_joint_line_mm(Node& plate) {
  std::optional<Node> node = plate.child("joint_line");
  if (!node) return std::nullopt;
  std::pair<Eigen::Vector2d, Eigen::Vector2d> line_mm;
  for (const auto& [key, end] : {std::pair{"from", &line_mm.first}, std::pair{"to", &line_mm.second}}) {
    const std::optional<Node> point = node->child(key);
    if (!point) {
      node->problem(codes::kJobKeyMissing, fmt::format("\"{}\" is missing", key),
                    "state both ends of the line");
    } else if (const std::optional<Eigen::Vector2d> at_mm = point->as_point_mm()) {
      *end = *at_mm;
    }
  }
  node->done();
  return line_mm;
}

std::optional<DrillSetup> read_drill_setup(Node& plate) {
  std::optional<Node> node = plate.child("drill_program");
  if (!node) return std::nullopt;
  DrillSetup setup;
  setup.fixture = node->text("fixture");
  setup.work_offset =
      node->word("work_offset", {"G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"}, true);
  setup.safe_height_mm = node->length_mm("safe_height", {5.0, 500.0}, setup.safe_height_mm);
  setup.clear_height_mm = node->length_mm("clear_height", {0.5, 5.0}, setup.clear_height_mm);
  setup.through_mm = node->length_mm("through", {0.0, 50.0}, setup.through_mm);
  node->done();
  return setup;
}

/// A plate gives its name to its files.
void check_file_name(const Node& node, const std::string& name) {
  const auto usable = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || c == ' ' || c == '.';
  };
  constexpr std::size_t kLongest = 60;
  if (!name.empty() && name.size() <= kLongest && std::all_of(name.begin(), name.end(), usable) &&
      name.front() != '.' && name.front() != ' ' && name.front() != '-' && name.back() != ' ' &&
      name.back() != '.') {
    return;
  }
  node.context().problems.push_back(
      {codes::kJobBadName, node.where("name"), fmt::format("\"{}\" cannot name the plate's files", name),
       "use up to 60 letters, digits, blanks, points, - and _, a letter or digit first"});
}

}  // namespace

std::vector<Eigen::Vector2d> read_outline_mm(Node& node, const char* key) {
  std::vector<Eigen::Vector2d> outline_mm = node.points_mm(key, true);
  const std::optional<Node> child = node.child(key);
  if (!child || !child->is_list() || outline_mm.size() != child->elements().size())
    return {};  // reported above
  if (const std::optional<std::string> fault = outline_fault(outline_mm)) {
    child->problem(codes::kJobOutline, *fault, "go once round the outline, corner by corner");
    return {};
  }
  if (signed_area_mm2(outline_mm) < 0.0) std::reverse(outline_mm.begin() + 1, outline_mm.end());
  return outline_mm;
}

Plate read_plate(Node node) {
  Plate plate;
  plate.name = node.text("name");
  check_file_name(node, plate.name);
  if (node.has("hand")) plate.hand = node.word("hand", {"LEFT", "RIGHT"});
  plate.marked_face = node.text("marked_face");
  plate.thickness_mm = node.length_mm("thickness", kAboveZero);
  plate.material = node.text("material", false);
  plate.outline_mm = read_outline_mm(node, "outline");
  plate.joint_line_mm = read_joint_line_mm(node);
  plate.joined_after_drilling =
      node.word("joined", {"before drilling", "after drilling"}) == std::string("after drilling");
  plate.pull = read_pull(node);
  const std::string drilled = node.word("drilled", {"marked out", "template", "CNC"});
  plate.drilled = drilled == "CNC"        ? DrillingWay::kCnc
                  : drilled == "template" ? DrillingWay::kTemplate
                                          : DrillingWay::kMarkedOut;
  plate.drill_setup = read_drill_setup(node);
  for (Node keep_out : node.list("keep_outs")) {
    const std::string name = keep_out.text("name");
    plate.keep_outs.push_back({name, read_outline_mm(keep_out, "outline")});
    keep_out.done();
  }
  node.done();
  return plate;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <tuple>

#include "fairhole/job/load.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

constexpr double kMostPlayMm = 100.0;
constexpr double kMostPlayDeg = 10.0;

/// A number p for +- p, or [least, most].
std::pair<double, double> read_range(Node& play, const char* key, bool degrees) {
  const std::optional<Node> node = play.child(key);
  if (!node) return {0.0, 0.0};
  const double most = degrees ? kMostPlayDeg : kMostPlayMm;
  const auto read = [degrees](const Node& value, Bounds bounds) {
    return (degrees ? value.as_number(bounds) : value.as_length_mm(bounds)).value_or(0.0);
  };
  if (!node->is_list()) {
    const double p = read(*node, {0.0, most});
    return {-p, p};
  }
  const std::vector<Node> ends = node->elements();
  if (ends.size() != 2) {
    node->problem(codes::kJobWrongType,
                  fmt::format("{} numbers where a least and a most must stand", ends.size()),
                  "write [least, most], or one number for both ways");
    return {0.0, 0.0};
  }
  const double low = read(ends[0], {-most, most}), high = read(ends[1], {-most, most});
  if (low > high) {
    node->problem(codes::kJobOutOfRange, fmt::format("{} is more than {}", low, high), "write [least, most]");
    return {0.0, 0.0};
  }
  return {low, high};
}

Play read_play(Node& joint) {
  Play play;
  std::optional<Node> node = joint.child("play");
  if (!node) return play;
  std::tie(play.along_min_mm, play.along_max_mm) = read_range(*node, "along", false);
  std::tie(play.across_min_mm, play.across_max_mm) = read_range(*node, "across", false);
  const auto [least_deg, most_deg] = read_range(*node, "turn_deg", true);
  play.turn_min = Angle::degrees(least_deg);
  play.turn_max = Angle::degrees(most_deg);
  node->done();
  return play;
}

FastenerKind fastener_kind(const std::string& word) {
  for (const FastenerKind kind : {FastenerKind::kRivet, FastenerKind::kRivetHeadedFittedBolt,
                                  FastenerKind::kFittedBolt, FastenerKind::kClearanceBolt}) {
    if (word == fastener_name(kind)) return kind;
  }
  return FastenerKind::kFittedBolt;
}

/// The user's own seat: a play of one place.
void read_pin(Node& joint_node, Joint& joint) {
  std::optional<Node> node = joint_node.child("pinned_seat");
  if (!node) return;
  const double along_mm = node->length_mm("along", kAny, 0.0);
  const double across_mm = node->length_mm("across", kAny, 0.0);
  const Angle turn = Angle::degrees(node->number("turn_deg", {-kMostPlayDeg, kMostPlayDeg}, 0.0));
  const Play& play = joint.play;
  const auto outside = [](double value, double least, double most) {
    return value < least - 1e-9 || value > most + 1e-9;
  };
  if (outside(along_mm, play.along_min_mm, play.along_max_mm) ||
      outside(across_mm, play.across_min_mm, play.across_max_mm) ||
      outside(turn.radians(), play.turn_min.radians(), play.turn_max.radians())) {
    node->problem(codes::kJobOutOfRange, "the pinned seat lies outside the joint's play",
                  "pin it within the play, or state more play");
  }
  joint.pinned = SeatShift{along_mm, across_mm, turn};
  joint.play = {along_mm, along_mm, across_mm, across_mm, turn, turn};
  node->done();
}

}  // namespace

std::vector<PinnedPair> read_pins(Node& node) {
  std::vector<PinnedPair> pins;
  for (const auto& [drawn, value] : node.entries("pins")) {
    if (const std::optional<std::string> measured = value.as_text()) pins.push_back({drawn, *measured});
  }
  return pins;
}

Joint read_joint(Node node) {
  Joint joint;
  joint.name = node.text("name");
  joint.part = node.text("part");
  joint.face = node.text("face");
  joint.on = node.text("on");
  joint.on_marked_face = node.word("side", {"marked", "other"}, true) == "marked";
  if (const std::optional<Node> seat = node.child("seat")) {
    joint.seat.motion = read_place(*seat);
  } else {
    node.problem(codes::kJobKeyMissing, "\"seat\" is missing",
                 "say where the face's datum corner stands: {\"x\", \"y\", \"turn_deg\"}");
  }
  joint.play = read_play(node);
  read_pin(node, joint);
  joint.groups = node.texts("groups", true);
  joint.blank = node.texts("blank");
  joint.pins = read_pins(node);
  joint.tied_to_old_plate = node.yes("tied_to_old_plate", false);
  node.done();
  return joint;
}

FastenerSpec read_fastener(const std::string& name, Node node, const Catalogue& catalogue,
                           FastenerMaking& making) {
  FastenerSpec fastener;
  fastener.name = name;
  fastener.kind = fastener_kind(
      node.word("kind", {"rivet", "rivet-headed fitted bolt", "fitted bolt", "clearance bolt"}, true));
  fastener.diameter_mm = node.length_mm("diameter", kAboveZero);
  const bool fitted =
      fastener.kind == FastenerKind::kFittedBolt || fastener.kind == FastenerKind::kRivetHeadedFittedBolt;
  fastener.clearance_mm = node.length_mm("clearance", kNotNegative, fitted ? 0.0 : fastener.clearance_mm);
  fastener.head_diameter_mm = node.length_mm("head_diameter", kNotNegative, 0.0);
  const auto read_diameters = [](const std::vector<Node>& from, std::vector<double>& to) {
    for (const Node& size : from) {
      if (const std::optional<double> size_mm = size.as_length_mm(kAboveZero)) to.push_back(*size_mm);
    }
  };
  read_diameters(node.list("sizes", true), fastener.sizes_mm);
  // The tools that ream a hole ream a seat: where nothing is said bushes come as large as these.
  fastener.bush_outsides_mm = fastener.sizes_mm;
  if (node.has("bush_outsides")) {
    fastener.bush_outsides_mm.clear();
    read_diameters(node.list("bush_outsides"), fastener.bush_outsides_mm);
  }
  const double asked_mm = fastener.diameter_mm + (fitted ? 0.0 : fastener.clearance_mm);
  const auto rise = [](const std::vector<double>& sizes_mm) {
    return std::adjacent_find(sizes_mm.begin(), sizes_mm.end(), std::greater_equal<>()) == sizes_mm.end();
  };
  constexpr double kSameSizeMm = 0.02;  // finer than any two sizes on the rack
  const bool holds = std::any_of(fastener.sizes_mm.begin(), fastener.sizes_mm.end(),
                                 [&](double size_mm) { return std::abs(size_mm - asked_mm) < kSameSizeMm; });
  if (node.has("sizes") && !rise(fastener.sizes_mm)) {
    node.problem(codes::kJobSizes, "the sizes do not rise",
                 "list finish diameters from the smallest to the largest");
  } else if (node.has("sizes") && !holds) {
    node.problem(codes::kJobSizes,
                 fmt::format("no size is the hole asked for, {} ({})", format_inches(asked_mm),
                             format_mm(asked_mm, 2) + " mm"),
                 "add it to \"sizes\", which are finish diameters of the hole");
  }
  if (node.has("bush_outsides") && !rise(fastener.bush_outsides_mm)) {
    node.problem(codes::kJobSizes, "the outsides of bushes do not rise",
                 "list outside diameters from the smallest to the largest, or none where no hole is bushed");
  }
  making = read_making(node, catalogue);
  node.done();
  return fastener;
}

}  // namespace fairhole::job

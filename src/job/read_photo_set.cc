// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "fairhole/job/load.h"
#include "fairhole/job/photo_files.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

constexpr double kOnAxisMm = 1e-6;
constexpr double kMostAtSigmaMm = 50.0, kMostTurnSigmaDeg = 15.0;
constexpr double kLeastDpi = 50.0, kMostDpi = 5000.0;

void read_at(Node& node, PhotoSet& set) {
  set.face_from_board.mirrored = node.word("seen_from", {"measured side", "other side"}) == "other side";
  std::optional<Node> at = node.child("at");
  if (!at) {
    node.problem(codes::kJobKeyMissing, "\"at\" is missing",
                 "say where the sheet's lower left corner lies on the face, and which way its x points: "
                 "\"at\": { \"x\": 120, \"y\": 30, \"turn_deg\": 90 }");
    return;
  }
  set.face_from_board.shift_mm = {at->length_mm("x", kAny), at->length_mm("y", kAny)};
  set.face_from_board.turn = Angle::degrees(at->number("turn_deg", {-360.0, 360.0}, 0.0));
  set.at_sigma_mm = at->length_mm("sigma", {0.0, kMostAtSigmaMm, true}, set.at_sigma_mm);
  set.turn_sigma = Angle::degrees(at->number("turn_sigma_deg", {0.0, kMostTurnSigmaDeg, true}, 3.0));
  at->done();
}

/// Datum edges: those of the outline on the face's axes.
std::vector<std::string> datum_edges(const Face& face) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < face.outline_mm.size(); ++i) {
    const Eigen::Vector2d a = face.outline_mm[i], b = face.outline_mm[(i + 1) % face.outline_mm.size()];
    const bool on_x = std::abs(a.y()) + std::abs(b.y()) < kOnAxisMm,
               on_y = std::abs(a.x()) + std::abs(b.x()) < kOnAxisMm;
    if (on_x || on_y) names.push_back(face.edge_names[i]);
  }
  return names;
}

void read_edges_seen(Node& node, const Face& face, PhotoSet& set) {
  const std::vector<std::string> known = datum_edges(face);
  for (const Node& element : node.list("edges")) {
    const std::optional<std::string> name = element.as_text();
    if (!name) continue;
    if (std::ranges::count(known, *name) > 0)
      set.edges.push_back(*name);
    else
      element.problem(codes::kJobWord, fmt::format("\"{}\" is no datum edge of this face", *name),
                      known.empty() ? "leave \"edges\" out: no edge of the outline lies on the face's axes"
                                    : fmt::format("write {}", any_of(known)));
  }
}

void read_boards_said(Node& node, PhotoSet& set) {
  for (const auto& [board, value] : node.entries("check")) {
    const auto measured = value.as_point_mm();
    if (!measured) continue;
    if (measured->minCoeff() > 0.0)
      set.check_mm[board] = *measured;
    else
      value.problem(codes::kJobOutOfRange, "a check bar cannot measure that",
                    "write what the x and the y bar measured: [179.6, 269.5]");
  }
  for (const auto& [board, value] : node.entries("lift"))
    if (const auto lift = value.as_length_mm({-1000.0, 1000.0})) set.lift_mm[board] = *lift;
}

void check_source(const Node& node, const PhotoSet& set) {
  if (set.files.empty())
    node.problem(codes::kPhotoSource, "no picture is named",
                 "name at least one: \"files\": [\"photos/1.jpg\"]");
  if (set.dpi && (set.files.size() > 1 || !set.boards.empty()))
    node.problem(codes::kPhotoSource, "\"dpi\" is for one scan without a board",
                 "name one file and no \"boards\"; or leave \"dpi\" out, for a board gives the scale");
  if (!set.dpi && set.boards.empty())
    node.problem(
        codes::kPhotoSource, "nothing says how large things are",
        "name the BOARD.json of the sheet in the pictures in \"boards\", or the \"dpi\" of a flatbed "
        "scan");
}

void read_by_hand(Node& node, PhotoSet& set) {
  std::set<HoleId> names;
  for (Node& element : node.list("by_hand")) {
    HandMark mark;
    mark.at_mm = {element.length_mm("x", kAny), element.length_mm("y", kAny)};
    mark.is_hole = element.word("is", {"hole", "no hole"}) != "no hole";
    mark.name = element.text("name", false);
    if (!mark.is_hole && !mark.name.empty())
      element.problem(codes::kJobKeyUnknown, "\"name\" stands at what is no hole",
                      "leave it out, or say that it is a hole");
    if (!mark.name.empty() && !names.insert(mark.name).second)
      element.problem(codes::kJobNameTwice, fmt::format("hole \"{}\" is marked twice", mark.name),
                      "name each hole once");
    element.done();
    set.by_hand.push_back(mark);
  }
}

}  // namespace

PhotoSet read_photo_set(Node node, const Face& face) {
  PhotoSet set;
  set.files = node.texts("files", true);
  set.boards = node.texts("boards");
  set.frame = node.text("frame", false);
  read_boards_said(node, set);
  for (const Node& element : node.list("expect"))
    if (const auto diameter = element.as_length_mm(kAboveZero)) set.expect_mm.push_back(*diameter);
  if (node.has("focal_px")) set.focal_px = node.number("focal_px", {1.0, 1e6, true}, 1.0);
  if (node.has("dpi")) set.dpi = node.number("dpi", {kLeastDpi, kMostDpi}, kLeastDpi);
  set.rubbing = node.word("shows", {"bores", "rubbing"}) == "rubbing";
  read_at(node, set);
  read_edges_seen(node, face, set);
  read_by_hand(node, set);
  if (node.is_object()) check_source(node, set);
  node.done();
  return set;
}

}  // namespace fairhole::job

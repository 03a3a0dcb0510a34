// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "fairhole/job/load.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

const std::vector<std::string>& form_words() {
  static const std::vector<std::string> words = [] {
    std::vector<std::string> all;
    for (int form = 0; form <= static_cast<int>(HoleForm::kTorn); ++form) {
      all.emplace_back(form_name(static_cast<HoleForm>(form)));
    }
    return all;
  }();
  return words;
}

/// The thread of a tapped or blind hole.
std::optional<fasteners::TappedHole> read_tapped(Node& node, const Catalogue& catalogue) {
  const bool has_depth = node.has("thread_depth"), has_metal = node.has("thread_in");  // all are known keys
  if (!node.has("thread") && !has_depth && !has_metal) return std::nullopt;
  fasteners::TappedHole tapped;
  tapped.thread = node.text("thread");
  tapped.full_thread_mm = node.length_mm("thread_depth", kAboveZero);
  tapped.cast_iron = node.word("thread_in", {"steel", "cast iron"}) == "cast iron";
  if (!tapped.thread.empty() && !thread_named(catalogue, tapped.thread)) {
    node.context().problems.push_back({codes::kJobThread, node.where("thread"),
                                       fmt::format("no thread is called \"{}\"", tapped.thread),
                                       "write one thread, as M20 or 3/4 BSW"});
  }
  return tapped;
}

HoleNote read_hole_note(Node node, const Catalogue& catalogue) {
  HoleNote note;
  if (node.has("form")) note.form = form_from_name(node.word("form", form_words()));
  note.fixed = node.yes("fixed", false);
  if (node.has("may_be_opened")) note.may_be_opened = node.yes("may_be_opened", true);
  if (node.has("largest")) note.largest_mm = node.length_mm("largest", kAboveZero, 1.0);
  note.tapped = read_tapped(node, catalogue);
  if (note.tapped && note.form != HoleForm::kTapped && note.form != HoleForm::kBlind) {
    node.problem(codes::kJobTapped, "a thread, and a hole that is neither tapped nor blind",
                 "write \"form\": \"tapped\" or \"blind\", or take the thread away");
  }
  node.done();
  return note;
}

/// Length along the long datum edge, width away from it: a rectangle from the datum corner.
void set_rectangle(Face& face, double length_mm, double width_mm) {
  face.outline_mm = {{0.0, 0.0}, {length_mm, 0.0}, {length_mm, width_mm}, {0.0, width_mm}};
  face.edge_names = {"long datum edge", "far end", "far long edge", "datum end"};
}

void read_shape(Node& node, Face& face) {
  const bool has_length = node.has("length"), has_width = node.has("width");  // both are known keys
  const bool by_size = has_length || has_width;
  if (by_size == node.has("outline")) {
    node.problem(codes::kJobFaceShape,
                 by_size ? "length and width, and an outline too" : "neither length and width nor an outline",
                 "state length (along the long datum edge) and width, or an outline");
  } else if (by_size) {
    const double length_mm = node.length_mm("length", kAboveZero);
    const double width_mm = node.length_mm("width", kAboveZero);
    set_rectangle(face, length_mm, width_mm);
  } else {
    face.outline_mm = read_outline_mm(node, "outline");
    for (std::size_t i = 0; i < face.outline_mm.size(); ++i)
      face.edge_names.push_back(fmt::format("edge {}", i + 1));
  }
}

/// Edges where the metal does not end: the heel of an angle, a casting that goes on.
void read_edges(Node& node, Face& face) {
  face.free_edges.assign(face.outline_mm.size(), true);
  if (!face.free_edges.empty() && face.heel_fillet_mm > 0.0) face.free_edges[0] = false;
  for (const Node& element : node.list("no_edge")) {
    const std::optional<std::string> name = element.as_text();
    if (!name) continue;
    const auto found = std::find(face.edge_names.begin(), face.edge_names.end(), *name);
    if (found != face.edge_names.end()) {
      face.free_edges[static_cast<std::size_t>(found - face.edge_names.begin())] = false;
    } else {
      element.problem(codes::kJobWord, fmt::format("\"{}\" is no edge of this face", *name),
                      fmt::format("write {}", any_of(face.edge_names)));
    }
  }
}

Face read_face(Node node, const Catalogue& catalogue) {
  Face face;
  face.name = node.text("name");
  face.thickness_mm = node.length_mm("thickness", kAboveZero);
  face.heel_fillet_mm = node.length_mm("heel_fillet", kNotNegative, 0.0);
  face.toe_radius_mm = node.length_mm("toe_radius", kNotNegative, 0.0);
  read_shape(node, face);
  read_edges(node, face);
  face.measured_from =
      node.word("measured_from", {"outer", "faying"}, true) == "faying" ? Surface::kFaying : Surface::kOuter;
  face.datum_end = node.text("datum_end", false);
  const bool by_photos = node.has("photos");
  face.readings = node.texts("readings", !by_photos);
  if (face.readings.empty() && node.has("readings")) {
    node.problem(codes::kJobKeyMissing, "no readings file is named",
                 "name at least one: [\"readings/near.csv\"]");
  }
  for (const Node& set : node.list("photos")) face.photos.push_back(read_photo_set(set, face));
  if (by_photos && face.photos.empty() && face.readings.empty())
    node.problem(codes::kJobKeyMissing, "neither readings nor photographs",
                 "name a readings file, or photographs");
  face.may_be_opened = node.yes("may_be_opened", true);
  if (std::optional<Node> opposite = node.child("opposite")) {
    face.opposite = Face::Opposite{opposite->text("face"),
                                   opposite->word("x", {"same way", "other way"}, true) == "same way"};
    opposite->done();
  }
  for (auto& [id, note] : node.entries("holes")) face.holes[id] = read_hole_note(note, catalogue);
  face.pins = read_pins(node);
  node.done();
  return face;
}

}  // namespace

Part read_part(Node node, const Catalogue& catalogue) {
  Part part;
  part.id = node.text("id");
  part.kind = node.text("kind");
  for (const Node& face : node.list("faces", true)) part.faces.push_back(read_face(face, catalogue));
  node.done();
  return part;
}

}  // namespace fairhole::job

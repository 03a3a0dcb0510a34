// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "check.h"
#include "dxf_entities.h"
#include "dxf_groups.h"
#include "dxf_tables.h"
#include "fairhole/drawing/writers.h"

namespace fairhole::drawing {
namespace {

constexpr const char* kForbidden = "<>/\\\":;?*|=`'";
constexpr std::size_t kLongestName = 255;  // since R2000
constexpr std::size_t kLongestNameR12 = 31;

Problem layer_problem(const std::string& name, std::string what) {
  return {
      codes::kDrawingLayer, fmt::format("drawing layer \"{}\"", name), std::move(what),
      "a layer has a name of its own in plain words, of printable ASCII without < > / \\ \" : ; ? * | = ` '"};
}

/// What DXF has against a name, empty if nothing.
std::string name_fault(const std::string& name) {
  if (name.empty()) return "a layer without a name";
  if (name.size() > kLongestName)
    return fmt::format("a name of {} characters, {} at most", name.size(), kLongestName);
  if (name == "0") return "the name 0 belongs to the format";
  if (name.front() == ' ' || name.back() == ' ') return "a name that starts or ends with a space";
  const auto bad = std::find_if(name.begin(), name.end(), [](char c) {
    return c < ' ' || c > '~' || std::string_view(kForbidden).find(c) != std::string_view::npos;
  });
  return bad == name.end() ? "" : "a character that layer names cannot hold";
}

char upper(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

/// "finish in place, do not cut" -> FINISH_IN_PLACE_DO_NOT_CUT.
std::string old_name(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const bool kept = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                      c == '$' || c == '-' || c == '_';
    if (kept) {
      out += upper(c);
    } else if (!out.empty() && out.back() != '_') {
      out += '_';
    }
  }
  return out;
}

/// The layers' names as the file spells them, by their names in the drawing. Readers take AB and ab for one
/// name.
Result<std::vector<std::string>> spelled_names(const Drawing& drawing, DxfVersion version) {
  std::vector<std::string> names;
  std::map<std::string, std::string> taken;
  for (const Layer& layer : drawing.layers) {
    if (const std::string fault = name_fault(layer.name); !fault.empty())
      return layer_problem(layer.name, fault);
    const std::string name = version == DxfVersion::kR12 ? old_name(layer.name) : layer.name;
    if (version == DxfVersion::kR12 && name.size() > kLongestNameR12) {
      return layer_problem(layer.name, fmt::format("R12 takes {} characters at most", kLongestNameR12));
    }
    std::string key = name;
    std::transform(key.begin(), key.end(), key.begin(), upper);
    if (!taken.emplace(key, layer.name).second) {
      return layer_problem(layer.name, fmt::format("the same name as layer \"{}\"", taken[key]));
    }
    names.push_back(name);
  }
  return names;
}

std::optional<Problem> find_bad_layer_use(const Drawing& drawing) {
  for (const Layer& layer : drawing.layers) {
    if (layer.colour_index < 1 || layer.colour_index > 255) {
      return layer_problem(layer.name,
                           fmt::format("colour number {}, from 1 to 255 allowed", layer.colour_index));
    }
  }
  for (const Mark& mark : drawing.marks) {
    const bool listed = std::any_of(drawing.layers.begin(), drawing.layers.end(),
                                    [&](const Layer& layer) { return layer.name == mark.layer; });
    if (!listed) return layer_problem(mark.layer, "a mark on a layer that the drawing does not list");
  }
  return std::nullopt;
}

/// Where the drawing lies; a text counts by its place alone, so that the file does not depend on a font.
Box extents_without_fonts(const Drawing& drawing) {
  Drawing fontless;
  for (const Mark& mark : drawing.marks) {
    const auto* text = std::get_if<Text>(&mark.shape);
    fontless.add(text == nullptr ? mark.shape : Shape(Line{text->at_mm, text->at_mm}));
  }
  return bounds(fontless);
}

}  // namespace

Result<std::string> write_dxf(const Drawing& drawing, const DxfOptions& options) {
  if (auto problem = find_bad_mark(drawing)) return *problem;
  if (auto problem = find_bad_layer_use(drawing)) return *problem;
  const auto names = spelled_names(drawing, options.version);
  if (!names) return names.problems();

  const Box extents = extents_without_fonts(drawing);
  DxfGroups body(options.version);
  dxf::put_tables(body, drawing.layers, *names, extents);
  body.text(0, "SECTION");
  body.text(2, "ENTITIES");
  for (const Mark& mark : drawing.marks) {
    const auto at = std::find_if(drawing.layers.begin(), drawing.layers.end(),
                                 [&](const Layer& layer) { return layer.name == mark.layer; });
    put_entity(body, mark, (*names)[static_cast<std::size_t>(at - drawing.layers.begin())]);
  }
  body.text(0, "ENDSEC");
  dxf::put_objects(body);
  body.text(0, "EOF");

  // The header names the next free handle, known only now.
  DxfGroups file(options.version);
  dxf::put_header(file, extents, body.new_handle());
  file.append(body);
  return std::move(file).take();
}

}  // namespace fairhole::drawing

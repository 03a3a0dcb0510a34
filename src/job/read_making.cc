// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "fairhole/fits/fit.h"
#include "fairhole/job/load.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

/// A fit's two classes without a size: "H7/k6".
std::optional<std::string> read_fit(Node& node, const char* key) {
  if (!node.has(key)) return std::nullopt;
  const std::string text = node.text(key);
  const Result<FitRequest> fit = parse_fit("20 mm " + text);
  if (fit && fit->hole && fit->shaft && fit_limits(*fit)) return text;
  node.context().problems.push_back({codes::kJobFit, node.where(key),
                                     fmt::format("\"{}\" is no fit of a hole and a shank", text),
                                     "write a hole class and a shaft class, as H7/k6"});
  return std::nullopt;
}

std::optional<std::string> read_thread(Node& node, const Catalogue& catalogue) {
  if (!node.has("thread")) return std::nullopt;
  const std::string text = node.text("thread");
  const bool series = std::any_of(catalogue.threads.begin(), catalogue.threads.end(),
                                  [&](const Thread& thread) { return thread.series == text; });
  if (series || thread_named(catalogue, text)) return text;
  node.context().problems.push_back({codes::kJobThread, node.where("thread"),
                                     fmt::format("no series and no thread is called \"{}\"", text),
                                     "write metric, BSW, BSF, UNC or UNF, or one thread as M20 or 3/4 BSW"});
  return std::nullopt;
}

std::optional<std::string> read_head(Node& node, const char* key, const Catalogue& catalogue) {
  if (!node.has(key)) return std::nullopt;
  std::vector<std::string> names;
  for (const RivetHead& head : catalogue.heads) names.push_back(head.name);
  return node.word(key, names);
}

}  // namespace

FastenerMaking read_making(Node& node, const Catalogue& catalogue) {
  FastenerMaking making;
  making.fit = read_fit(node, "fit");
  making.bush_fit = read_fit(node, "bush_fit");
  making.thread = read_thread(node, catalogue);
  making.head = read_head(node, "head", catalogue);
  making.closing_head = read_head(node, "closing_head", catalogue);
  if (node.has("head_height")) making.head_height_mm = node.length_mm("head_height", kAboveZero, 1.0);
  making.head_on_marked_face = node.word("head_side", {"marked", "other"}) == "marked";
  if (node.has("flat")) making.flat_from_axis_mm = node.length_mm("flat", kAboveZero, 1.0);
  if (node.has("washer")) making.washer_mm = node.length_mm("washer", kNotNegative, 0.0);
  making.washer_under_head = node.yes("washer_under_head", false);
  making.lock_nut = node.yes("lock_nut", false);
  return making;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "node.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "fairhole/job/load.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

std::string kind_of(const Json& value) {
  if (value.is_object()) return "an object";
  if (value.is_array()) return "a list";
  if (value.is_string()) return "text";
  if (value.is_boolean()) return "true or false";
  if (value.is_null()) return "null";
  return "a number";
}

}  // namespace

std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known) {
  const auto distance = [](std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), 0U);
    for (std::size_t i = 1; i <= a.size(); ++i) {
      std::size_t diagonal = std::exchange(row[0], i);
      for (std::size_t j = 1; j <= b.size(); ++j) {
        const std::size_t change = diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U);
        diagonal = std::exchange(row[j], std::min({row[j] + 1, row[j - 1] + 1, change}));
      }
    }
    return row.back();
  };
  std::optional<std::string> best;
  std::size_t least = std::max<std::size_t>(2, word.size() / 2) + 1;
  for (const std::string& candidate : known) {
    const std::size_t longer = std::max(word.size(), candidate.size());
    if (longer - std::min(word.size(), candidate.size()) >= least) continue;  // so many letters at the least
    const std::size_t d = distance(word, candidate);
    if (d < least) {
      least = d;
      best = candidate;
    }
  }
  return best;
}

std::string any_of(const std::vector<std::string>& words) {
  if (words.size() < 2) return words.empty() ? std::string() : words.front();
  return fmt::format("{} or {}", fmt::join(words.begin(), words.end() - 1, ", "), words.back());
}

std::string Node::path(std::string_view key) const {
  return place_.empty() ? std::string(key) : fmt::format("{}.{}", place_, key);
}

std::string Node::where() const {
  return place_.empty() ? context_->file : fmt::format("{}: {}", context_->file, place_);
}

std::string Node::where(std::string_view key) const {
  return fmt::format("{}: {}", context_->file, path(key));
}

void Node::problem(Code code, std::string what, std::string remedy) const {
  context_->problems.push_back({code, where(), std::move(what), std::move(remedy)});
}

const Json* Node::find(const char* key) {
  asked_.insert(key);
  if (!value_->is_object()) return nullptr;
  const auto found = value_->find(key);
  return found == value_->end() ? nullptr : &*found;
}

bool Node::has(const char* key) { return find(key) != nullptr; }

std::optional<Node> Node::child(const char* key) {
  const Json* value = find(key);
  if (value == nullptr) return std::nullopt;
  return Node(*value, *context_, path(key));
}

std::optional<Node> Node::required_child(const char* key) {
  std::optional<Node> found = child(key);
  // A value that is no object has been reported where it was met; its missing keys are no news.
  if (!found && value_->is_object()) {
    problem(codes::kJobKeyMissing, fmt::format("\"{}\" is missing", key), fmt::format("state \"{}\"", key));
  }
  return found;
}

std::vector<Node> Node::elements() const {
  std::vector<Node> nodes;
  if (!value_->is_array()) {
    problem(codes::kJobWrongType, fmt::format("{} where a list must stand", kind_of(*value_)),
            "put it in square brackets: [ ... ]");
    return nodes;
  }
  for (std::size_t i = 0; i < value_->size(); ++i) {
    nodes.emplace_back((*value_)[i], *context_, fmt::format("{}[{}]", place_, i));
  }
  return nodes;
}

std::vector<std::pair<std::string, Node>> Node::members() const {
  std::vector<std::pair<std::string, Node>> nodes;
  if (!value_->is_object()) {
    problem(codes::kJobWrongType, fmt::format("{} where an object must stand", kind_of(*value_)),
            "write it as { \"name\": ... }");
    return nodes;
  }
  for (const auto& [name, value] : value_->items()) {
    if (name != "note")
      nodes.emplace_back(name, Node(value, *context_, fmt::format("{}[\"{}\"]", place_, name)));
  }
  return nodes;
}

std::vector<Node> Node::list(const char* key, bool required) {
  const std::optional<Node> found = required ? required_child(key) : child(key);
  return found ? found->elements() : std::vector<Node>{};
}

std::vector<std::pair<std::string, Node>> Node::entries(const char* key, bool required) {
  const std::optional<Node> found = required ? required_child(key) : child(key);
  return found ? found->members() : std::vector<std::pair<std::string, Node>>{};
}

std::optional<std::string> Node::as_text() const {
  if (value_->is_string()) return value_->get<std::string>();
  problem(codes::kJobWrongType, fmt::format("{} where text must stand", kind_of(*value_)),
          "put it in quotation marks");
  return std::nullopt;
}

std::optional<double> Node::as_number(Bounds bounds) const {
  if (!value_->is_number()) {
    problem(codes::kJobWrongType, fmt::format("{} where a number must stand", kind_of(*value_)),
            "write a number without quotation marks");
    return std::nullopt;
  }
  const double number = value_->get<double>();
  const bool too_small = bounds.above_least ? number <= bounds.least : number < bounds.least;
  if (!std::isfinite(number) || too_small || number > bounds.most) {
    problem(
        codes::kJobOutOfRange, fmt::format("{} cannot be", number),
        bounds.most < kAny.most
            ? fmt::format("give a number {} {} and at most {}", bounds.above_least ? "above" : "of at least",
                          bounds.least, bounds.most)
            : fmt::format("give a number {} {}", bounds.above_least ? "above" : "of at least", bounds.least));
    return std::nullopt;
  }
  return number;
}

std::optional<double> Node::as_length_mm(Bounds bounds) const {
  double length_mm = 0.0;
  if (value_->is_string() || value_->is_number()) {
    const std::string text = value_->is_string() ? value_->get<std::string>() : value_->dump();
    const Result<double> parsed = parse_length_mm(text, context_->units, where());
    if (!parsed) {
      append(context_->problems, parsed.problems());
      return std::nullopt;
    }
    length_mm = *parsed;
  } else {
    problem(codes::kJobWrongType, fmt::format("{} where a length must stand", kind_of(*value_)),
            "write a number in the job's units, or text with a unit such as \"3/16 in\"");
    return std::nullopt;
  }
  const bool too_small = bounds.above_least ? length_mm <= bounds.least : length_mm < bounds.least;
  if (too_small || length_mm > bounds.most) {
    problem(
        codes::kJobOutOfRange, fmt::format("a length of {} mm cannot be", length_mm),
        fmt::format("give a length {} {} mm", bounds.above_least ? "above" : "of at least", bounds.least));
    return std::nullopt;
  }
  return length_mm;
}

std::optional<Eigen::Vector2d> Node::as_point_mm() const {
  const std::vector<Node> coordinates = elements();
  if (!is_list()) return std::nullopt;
  if (coordinates.size() != 2) {
    problem(codes::kJobWrongType, fmt::format("{} numbers where a point must stand", coordinates.size()),
            "write [x, y]");
    return std::nullopt;
  }
  const std::optional<double> x_mm = coordinates[0].as_length_mm(kAny);
  const std::optional<double> y_mm = coordinates[1].as_length_mm(kAny);
  if (!x_mm || !y_mm) return std::nullopt;
  return Eigen::Vector2d(*x_mm, *y_mm);
}

std::string Node::text(const char* key, bool required, std::string otherwise) {
  const std::optional<Node> found = required ? required_child(key) : child(key);
  if (!found) return otherwise;
  std::optional<std::string> text = found->as_text();
  if (text && required && text->empty()) {
    found->problem(codes::kJobKeyMissing, "empty text", fmt::format("say what \"{}\" is", key));
  }
  return text ? *text : otherwise;
}

std::vector<std::string> Node::texts(const char* key, bool required) {
  std::vector<std::string> all;
  for (const Node& element : list(key, required)) {
    if (std::optional<std::string> text = element.as_text()) all.push_back(*text);
  }
  return all;
}

double Node::length_mm(const char* key, Bounds bounds, std::optional<double> otherwise) {
  const std::optional<Node> found = otherwise ? child(key) : required_child(key);
  // The stand-in of a required length only has to keep the checks that follow quiet.
  const double stand_in = otherwise.value_or(1.0);
  return found ? found->as_length_mm(bounds).value_or(stand_in) : stand_in;
}

double Node::number(const char* key, Bounds bounds, std::optional<double> otherwise) {
  const std::optional<Node> found = otherwise ? child(key) : required_child(key);
  const double stand_in = otherwise.value_or(1.0);
  return found ? found->as_number(bounds).value_or(stand_in) : stand_in;
}

int Node::whole(const char* key, Bounds bounds, std::optional<int> otherwise) {
  const std::optional<Node> found = otherwise ? child(key) : required_child(key);
  const int stand_in = otherwise.value_or(1);
  if (!found) return stand_in;
  const std::optional<double> number = found->as_number(bounds);
  if (!number) return stand_in;
  if (*number != std::floor(*number)) {
    found->problem(codes::kJobOutOfRange, fmt::format("{} is no whole number", *number),
                   "give a whole number");
    return stand_in;
  }
  return static_cast<int>(*number);
}

bool Node::yes(const char* key, bool otherwise) {
  const std::optional<Node> found = child(key);
  if (!found) return otherwise;
  if (found->value_->is_boolean()) return found->value_->get<bool>();
  found->problem(codes::kJobWrongType,
                 fmt::format("{} where true or false must stand", kind_of(*found->value_)),
                 "write true or false without quotation marks");
  return otherwise;
}

std::string Node::word(const char* key, const std::vector<std::string>& words, bool required) {
  const std::optional<Node> found = required ? required_child(key) : child(key);
  if (!found) return words.front();
  const std::optional<std::string> text = found->as_text();
  if (!text) return words.front();
  if (std::find(words.begin(), words.end(), *text) != words.end()) return *text;
  found->problem(codes::kJobWord, fmt::format("\"{}\" is not known here", *text),
                 fmt::format("write {}", any_of(words)));
  return words.front();
}

std::vector<Eigen::Vector2d> Node::points_mm(const char* key, bool required) {
  std::vector<Eigen::Vector2d> points_mm;
  for (const Node& element : list(key, required)) {
    if (const std::optional<Eigen::Vector2d> point_mm = element.as_point_mm()) points_mm.push_back(*point_mm);
  }
  return points_mm;
}

void Node::done() const {
  if (!value_->is_object()) {
    problem(codes::kJobWrongType, fmt::format("{} where an object must stand", kind_of(*value_)),
            "write it as { \"key\": ... }");
    return;
  }
  const std::vector<std::string> known(asked_.begin(), asked_.end());
  for (const auto& [key, value] : value_->items()) {
    if (key == "note" || asked_.contains(key)) continue;
    const std::optional<std::string> near = nearest(key, known);
    context_->problems.push_back({codes::kJobKeyUnknown, where(key),
                                  fmt::format("\"{}\" is not known here", key),
                                  near ? fmt::format("did you mean \"{}\"?", *near)
                                       : fmt::format("known here: {}", fmt::join(known, ", "))});
  }
}

}  // namespace fairhole::job

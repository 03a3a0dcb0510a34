// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/length.h"
#include "fairhole/base/problem.h"

namespace fairhole::job {

/// What all nodes of one file share.
struct NodeContext {
  std::string file;
  Unit units = Unit::kMm;
  Problems problems;
};

/// Limits a number must keep to.
struct Bounds {
  double least = -1e9;
  double most = 1e9;
  bool above_least = false;  ///< least itself is not allowed
};
inline constexpr Bounds kAny{};
inline constexpr Bounds kAboveZero{0.0, 1e9, true};
inline constexpr Bounds kNotNegative{0.0, 1e9, false};

/// One JSON value of a job file and where it stands. Asking for a key records a problem when it is missing or
/// of the wrong kind and goes on with a stand-in, so that one reading finds every problem. The keys asked for
/// are the keys known: done() reports all others with the nearest known one. "note" is open to people
/// everywhere.
class Node {
 public:
  Node(const nlohmann::ordered_json& value, NodeContext& context, std::string place)
      : value_(&value), context_(&context), place_(std::move(place)) {}

  const std::string& place() const { return place_; }
  std::string where() const;  ///< "job.json: parts[2].thickness"
  std::string where(std::string_view key) const;
  NodeContext& context() const { return *context_; }
  void problem(Code code, std::string what, std::string remedy) const;

  bool has(const char* key);  ///< asks for the key without taking it
  std::optional<Node> child(const char* key);
  std::vector<Node> list(const char* key, bool required = false);
  std::vector<std::pair<std::string, Node>> entries(const char* key, bool required = false);

  std::string text(const char* key, bool required = true, std::string otherwise = {});
  std::vector<std::string> texts(const char* key, bool required = false);
  double length_mm(const char* key, Bounds bounds, std::optional<double> otherwise = std::nullopt);
  double number(const char* key, Bounds bounds, std::optional<double> otherwise = std::nullopt);
  int whole(const char* key, Bounds bounds, std::optional<int> otherwise = std::nullopt);
  bool yes(const char* key, bool otherwise);
  /// One of `words`; the first when the key is absent and not required, or the word is none of them.
  std::string word(const char* key, const std::vector<std::string>& words, bool required = false);
  std::vector<Eigen::Vector2d> points_mm(const char* key, bool required = false);

  std::optional<std::string> as_text() const;
  std::optional<double> as_length_mm(Bounds bounds) const;
  std::optional<double> as_number(Bounds bounds) const;
  std::vector<Node> elements() const;  ///< of a list; a problem and nothing if it is none
  std::vector<std::pair<std::string, Node>> members() const;
  std::optional<Eigen::Vector2d> as_point_mm() const;  ///< [x, y]
  bool is_list() const { return value_->is_array(); }
  bool is_object() const { return value_->is_object(); }

  /// Reports keys nobody asked for.
  void done() const;

 private:
  const nlohmann::ordered_json* find(const char* key);
  std::optional<Node> required_child(const char* key);
  std::string path(std::string_view key) const;

  const nlohmann::ordered_json* value_;
  NodeContext* context_;
  std::string place_;
  std::set<std::string> asked_;
};

/// The word of `known` nearest to `word` (fewest letters changed, added, left out or swapped), if it is near.
std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known);

/// "a, b or c".
std::string any_of(const std::vector<std::string>& words);

}  // namespace fairhole::job

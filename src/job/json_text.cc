// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "json_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <vector>

#include "fairhole/job/load.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kMostLevels = 40;

/// "line 3, column 14" of a byte offset.
std::string line_and_column(std::string_view text, std::size_t offset) {
  const std::string_view before = text.substr(0, std::min(offset, text.size()));
  const auto lines = std::count(before.begin(), before.end(), '\n');
  const std::size_t line_start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
  return fmt::format("line {}, column {}", lines + 1, before.size() - line_start + 1);
}

int levels(std::string_view text) {
  int depth = 0, deepest = 0;
  bool in_text = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_text && c == '\\')
      ++i;
    else if (c == '"')
      in_text = !in_text;
    else if (!in_text && (c == '[' || c == '{'))
      deepest = std::max(deepest, ++depth);
    else if (!in_text && (c == ']' || c == '}'))
      --depth;
  }
  return deepest;
}

/// What the library lets pass: the last of two equal keys wins without a word, and a job must not lose one
/// silently; objects whose time to read grows with the square of their size, lists that fill the memory.
class Watch {
 public:
  explicit Watch(const std::string& file) : file_(file) {}

  bool operator()(int depth, Json::parse_event_t event, Json& parsed) {
    using Event = Json::parse_event_t;
    const auto level = static_cast<std::size_t>(depth);
    if (event == Event::object_start || event == Event::array_start) {
      open_.resize(std::max(open_.size(), level + 2));
      open_[level + 1] = {};
    }
    if (event == Event::key) {
      const std::string key = parsed.get<std::string>();
      if (!open_[level].keys.insert(key).second) {
        problems.push_back({codes::kJobKeyTwice, file_,
                            fmt::format("the key \"{}\" stands twice in one object", key),
                            "keep one of them"});
      }
      if (open_[level].keys.size() > kMostKeys) throw too_wide("keys in one object", kMostKeys);
    }
    const bool ends = event == Event::value || event == Event::object_end || event == Event::array_end;
    if (ends && level < open_.size() && ++open_[level].entries > kMostEntries)
      throw too_wide("entries in one list", kMostEntries);
    return true;
  }

  Problems problems;

 private:
  struct Level {
    std::set<std::string> keys;
    std::size_t entries = 0;
  };
  Problem too_wide(const char* of_what, std::size_t most) const {
    return {codes::kJobTooWide, file_, fmt::format("more than {} {}", most, of_what),
            "this cannot be what was meant"};
  }
  const std::string& file_;
  std::vector<Level> open_;
};

}  // namespace

Result<Json> parse_json(std::string_view text, const std::string& file) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  if (levels(text) > kMostLevels) {
    return Problem{codes::kJobTooDeep, file, fmt::format("brackets within brackets, {} deep", levels(text)),
                   fmt::format("no more than {} levels are read", kMostLevels)};
  }
  Watch watch(file);
  try {
    Json value = Json::parse(text, std::ref(watch));
    if (!watch.problems.empty()) return watch.problems;
    return value;
  } catch (const Problem& problem) {  // the only way out of the library's reading
    return problem;
  } catch (const Json::parse_error& error) {
    const std::size_t offset = error.byte == 0 ? 0 : error.byte - 1;
    const bool at_end = offset >= text.size();
    return Problem{codes::kJobNotJson, fmt::format("{}: {}", file, line_and_column(text, offset)),
                   at_end ? "the JSON ends too early" : "this is no JSON from here on",
                   at_end ? "close what is open; the file may have been cut off"
                          : "look for a missing comma, quotation mark or bracket just before"};
  } catch (const Json::exception& error) {
    return Problem{codes::kJobNotJson, file, "a number in it is too large to be read", "correct that number"};
  }
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "history.h"

#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "durable.h"
#include "fairhole/job/files.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

std::string line_of(const Change& change) {
  json line = {{"do", "change"},
               {"file", change.file},
               {"before", change.before},
               {"after", change.after},
               {"what", change.what}};
  if (change.joins) line["joins"] = true;
  return line.dump(-1, ' ', false, json::error_handler_t::replace) + "\n";
}

const char kUndoLine[] = "{\"do\":\"undo\"}\n";
const char kRedoLine[] = "{\"do\":\"redo\"}\n";

}  // namespace

bool History::take_change(Change change) {
  changes_.resize(holding_);
  last_ = {change.file, change.before, change.after};
  if (change.joins && holding_ > 0) {
    changes_.back().after = change.after;
    return true;
  }
  change.joins = false;
  changes_.push_back(std::move(change));
  ++holding_;
  return true;
}

bool History::take_undo() {
  const Change* change = to_undo();
  if (change == nullptr) return false;
  last_ = {change->file, change->after, change->before};
  --holding_;
  return true;
}

bool History::take_redo() {
  const Change* change = to_redo();
  if (change == nullptr) return false;
  last_ = {change->file, change->before, change->after};
  ++holding_;
  return true;
}

bool History::take(const std::string& line) {
  const json read = json::parse(line, nullptr, false);
  if (!read.is_object()) return false;
  const auto text = [&read](const char* key) {
    const auto found = read.find(key);
    return found != read.end() && found->is_string() ? found->get<std::string>() : std::string();
  };
  const std::string what = text("do");
  if (what == "change")
    return take_change(
        {text("file"), text("before"), text("after"), text("what"), read.value("joins", json()) == true});
  if (what == "undo") return take_undo();
  return what == "redo" && take_redo();
}

Problems History::load() {
  std::error_code error;
  if (!fs::exists(lines_path(), error)) return {};
  const auto bytes = job::read_file(lines_path().string(), "the history of changes", 1024);
  if (!bytes) return bytes.problems();
  std::size_t whole = 0;
  for (std::size_t start = 0; start < bytes->size();) {
    const std::size_t end = bytes->find('\n', start);
    if (end == std::string::npos || !take(bytes->substr(start, end - start))) break;
    whole = start = end + 1;
  }
  size_ = whole;
  if (whole < bytes->size()) {
    if (auto problems = replace_durably(lines_path(), bytes->substr(0, whole)); !problems.empty())
      return problems;
  }
  return {};
}

Problems History::forget_oldest() {
  if (changes_.size() <= kMostChanges) return {};
  const std::size_t dropped = std::min(changes_.size() - kMostChanges, holding_);
  changes_.erase(changes_.begin(), changes_.begin() + static_cast<std::ptrdiff_t>(dropped));
  holding_ -= dropped;
  std::string lines;
  std::set<Stamp> named;
  for (const Change& change : changes_) {
    lines += line_of(change);
    named.insert({change.before, change.after});
  }
  for (std::size_t i = holding_; i < changes_.size(); ++i) lines += kUndoLine;
  if (auto problems = replace_durably(lines_path(), lines); !problems.empty()) return problems;
  size_ = lines.size();
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder_ / "states", error)) {
    if (!named.contains(entry.path().filename().string())) fs::remove(entry.path(), error);
  }
  return {};
}

Problems History::keep(const Stamp& stamp, const std::string& bytes) const {
  if (stamp.empty()) return {};
  const fs::path path = folder_ / "states" / stamp;
  std::error_code error;
  if (fs::exists(path, error)) return {};
  return replace_durably(path, bytes);
}

Result<std::string> History::state(const Stamp& stamp) const {
  return job::read_file((folder_ / "states" / stamp).string(), "an earlier state of the file");
}

Problems History::write(const std::string& line) {
  auto problems = append_durably(lines_path(), line);
  if (problems.empty()) size_ += line.size();
  return problems;
}

Problems History::add(const Change& change) {
  if (auto problems = write(line_of(change)); !problems.empty()) return problems;
  take_change(change);
  return {};
}

Problems History::add_undo() {
  if (auto problems = write(kUndoLine); !problems.empty()) return problems;
  take_undo();
  return {};
}

Problems History::add_redo() {
  if (auto problems = write(kRedoLine); !problems.empty()) return problems;
  take_redo();
  return {};
}

Problems History::withdraw(const History& before) {
  *this = before;
  return shorten_durably(lines_path(), size_);
}

}  // namespace fairhole::bench

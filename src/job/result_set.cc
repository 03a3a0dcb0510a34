// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "result_set.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string_view>
#include <vector>

#include "fairhole/job/run.h"
#include "fairhole/job/sha256.h"

namespace fairhole::job {
namespace {

namespace fs = std::filesystem;

Problem cannot_write(const fs::path& path, const std::string& why) {
  return {codes::kOutCannotWrite, path.string(), fmt::format("cannot be written ({})", why),
          "look at permissions and free space; nothing was changed"};
}

/// Whether something of that name is there, a dangling link too. Names no file system takes are not.
bool is_there(const fs::path& path) {
  std::error_code error;
  return fs::exists(fs::symlink_status(path, error));
}

constexpr std::string_view kWorkPrefix = ".fairhole-";

/// A folder that two runs share belongs to one at a time while it writes; the other waits. The lock goes with
/// the process, however it ends. A file system without locks lets everybody in.
class Turn {
 public:
  explicit Turn(const fs::path& folder) : fd_(open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
    if (fd_ >= 0) flock(fd_, LOCK_EX);
  }
  ~Turn() {
    if (fd_ >= 0) close(fd_);
  }
  Turn(const Turn&) = delete;
  Turn& operator=(const Turn&) = delete;

 private:
  int fd_;
};

/// Where files lie while a set is replaced: gone afterwards, whatever happened.
class WorkFolder {
 public:
  explicit WorkFolder(fs::path path) : path_(std::move(path)) {}
  ~WorkFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  WorkFolder(const WorkFolder&) = delete;
  WorkFolder& operator=(const WorkFolder&) = delete;
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

/// Work folders of runs that were killed: whoever has the turn is alone here.
void sweep(const fs::path& folder) {
  std::error_code ignored;
  std::vector<fs::path> left;
  for (const auto& entry : fs::directory_iterator(folder, ignored)) {
    const std::string name = entry.path().filename().string();
    if (name.starts_with(std::string(kWorkPrefix) + "new-") ||
        name.starts_with(std::string(kWorkPrefix) + "before-"))
      left.push_back(entry.path());
  }
  for (const fs::path& path : left) fs::remove_all(path, ignored);
}

Problems write_all(const fs::path& folder, const NamedBytes& files) {
  for (const auto& [name, bytes] : files) {
    const fs::path path = folder / name;
    std::error_code error;
    fs::create_directories(path.parent_path(), error);
    if (error) return {cannot_write(path.parent_path(), error.message())};
    std::ofstream stream(path, std::ios::binary | std::ios::trunc);
    stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    stream.close();
    if (!stream) return {cannot_write(path, "no permission, or the disk is full")};
  }
  return {};
}

std::string manifest(const NamedBytes& files) {
  std::string text = "Files of one run of fairhole, replaced together by the next (SHA-256, name).\n";
  for (const auto& [name, bytes] : files) text += fmt::format("{}  {}\n", sha256_hex(bytes), name);
  return text;
}

/// Names that the manifest, or the mark of a run that was stopped, has on record; plain names only, whoever
/// wrote it.
void add_recorded(const fs::path& folder, const char* record, std::set<std::string>& names) {
  std::ifstream stream(folder / record);
  std::string line;
  std::getline(stream, line);
  constexpr std::size_t kNameAt = 64 + 2;
  while (std::getline(stream, line)) {
    if (line.size() <= kNameAt) continue;
    const std::string name = line.substr(kNameAt);
    if (fs::path(name).filename() == name && name != "." && name != "..") names.insert(name);
  }
  if (is_there(folder / record)) names.insert(record);
}

std::set<std::string> recorded(const fs::path& folder) {
  std::set<std::string> names;
  add_recorded(folder, kManifestName, names);
  add_recorded(folder, kUnfinishedName, names);
  return names;
}

/// What stands in the folder while files change places, and stays if the run is killed then: the names of
/// both sets.
std::string unfinished_mark(const std::set<std::string>& before, const NamedBytes& files) {
  std::set<std::string> names = before;
  for (const auto& [name, bytes] : files) names.insert(name);
  std::string text =
      "NOT TO BE USED: a run was stopped while it replaced these files; they may be of two plans. Run "
      "again.\n";
  for (const std::string& name : names) text += fmt::format("{:64}  {}\n", "of the old set or the new", name);
  return text;
}

/// Moves files between folders and can take it all back.
class Moves {
 public:
  std::error_code move(const fs::path& from, const fs::path& to) {
    std::error_code error;
    fs::rename(from, to, error);
    if (!error) done_.emplace_back(from, to);
    return error;
  }
  void take_back() {
    for (auto step = done_.rbegin(); step != done_.rend(); ++step) {
      std::error_code ignored;
      fs::rename(step->second, step->first, ignored);
    }
  }

 private:
  std::vector<std::pair<fs::path, fs::path>> done_;
};

Problems replace_files(const fs::path& folder, const NamedBytes& files, const std::set<std::string>& ours) {
  sweep(folder);
  const WorkFolder fresh(folder / fmt::format("{}new-{}", kWorkPrefix, getpid()));
  const WorkFolder before(folder / fmt::format("{}before-{}", kWorkPrefix, getpid()));
  std::error_code error;
  for (const WorkFolder* work : {&fresh, &before}) {
    fs::create_directory(work->path(), error);
    if (error) return {cannot_write(folder, error.message())};
  }
  if (Problems problems = write_all(fresh.path(), files); !problems.empty()) return problems;
  // The mark is written whole and put in its place before the first file moves. That of an earlier run stays
  // until this set is whole.
  const bool marked = is_there(folder / kUnfinishedName);
  if (Problems problems = write_all(before.path(), {{kUnfinishedName, unfinished_mark(ours, files)}});
      !problems.empty())
    return problems;
  fs::rename(before.path() / kUnfinishedName, folder / kUnfinishedName, error);
  if (error) return {cannot_write(folder, error.message())};
  Moves moves;
  for (const std::string& name : ours) {
    if (name == kUnfinishedName || !is_there(folder / name)) continue;
    error = moves.move(folder / name, before.path() / name);
    if (error) break;
  }
  if (!error) {
    std::set<fs::path> top;  // files, and folders with all that is in them
    for (const auto& [name, bytes] : files) top.insert(*fs::path(name).begin());
    for (const fs::path& name : top) {
      error = moves.move(fresh.path() / name, folder / name);
      if (error) break;
    }
  }
  if (error) moves.take_back();
  std::error_code ignored;
  if (!error || !marked) fs::remove(folder / kUnfinishedName, ignored);
  if (!error) return {};
  return {cannot_write(folder, error.message())};
}

/// The folder, made if need be; a folder that was made goes again when nothing came into it.
class Place {
 public:
  explicit Place(const fs::path& folder) : folder_(fs::absolute(folder).lexically_normal()) {
    fs::create_directories(folder_.parent_path(), error_);
    if (!error_) made_ = fs::create_directory(folder_, error_);
  }
  ~Place() {
    std::error_code ignored;
    if (made_ && fs::is_empty(folder_, ignored)) fs::remove(folder_, ignored);
  }
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;
  std::optional<Problem> problem() const {
    if (!error_) return std::nullopt;
    return cannot_write(folder_.parent_path(), error_.message());
  }

 private:
  fs::path folder_;
  std::error_code error_;
  bool made_ = false;
};

/// "out/" and "out" are one folder.
fs::path without_slash(const std::string& folder) {
  const fs::path path(folder);
  return path.has_filename() ? path : path.parent_path();
}

}  // namespace

Problems put_result_set(const std::string& folder_name, const NamedBytes& results) {
  const fs::path folder = without_slash(folder_name);
  NamedBytes files = results;
  files.emplace_back(kManifestName, manifest(results));
  std::error_code error;
  const fs::file_status status = fs::status(folder, error);
  if (fs::exists(status) && !fs::is_directory(status)) {
    return {{codes::kOutNotAFolder, folder_name, "this is no folder", "name a folder for the results"}};
  }
  const Place place(folder);
  if (const auto problem = place.problem()) return {*problem};
  const Turn turn(folder);
  const std::set<std::string> ours = recorded(folder);
  Problems problems;
  for (const auto& [name, bytes] : files) {
    if (ours.contains(name) || !is_there(folder / name)) continue;
    problems.push_back({codes::kOutForeign, (folder / name).string(), "this file is not from an earlier run",
                        "move it away, or name another folder"});
  }
  if (!problems.empty()) return problems;
  return replace_files(folder, files, ours);
}

Problems put_new_folder(const std::string& folder_name, const NamedBytes& files) {
  const fs::path folder = without_slash(folder_name);
  std::error_code error;
  const fs::file_status status = fs::status(folder, error);
  if (fs::exists(status) && !fs::is_directory(status)) {
    return {{codes::kOutNotAFolder, folder_name, "this is no folder", "name a folder that is new or empty"}};
  }
  const Place place(folder);
  if (const auto problem = place.problem()) return {*problem};
  const Turn turn(folder);
  if (!fs::is_empty(folder, error)) {
    return {
        {codes::kNewNotEmpty, folder_name, "the folder is not empty", "name a folder that is new or empty"}};
  }
  return replace_files(folder, files, {});
}

}  // namespace fairhole::job

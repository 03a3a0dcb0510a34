// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "result_set.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <sstream>

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

/// Deletes what was left in a working folder, whatever happened.
class WorkFolder {
 public:
  explicit WorkFolder(fs::path path) : path_(std::move(path)) {
    std::error_code ignored;
    fs::remove_all(path_, ignored);  // of a run that was killed
  }
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

/// Names an earlier run recorded; plain names only, whoever wrote the manifest.
std::set<std::string> recorded(const fs::path& folder) {
  std::set<std::string> names;
  std::ifstream stream(folder / kManifestName);
  std::string line;
  std::getline(stream, line);
  constexpr std::size_t kNameAt = 64 + 2;
  while (std::getline(stream, line)) {
    if (line.size() <= kNameAt) continue;
    const std::string name = line.substr(kNameAt);
    if (fs::path(name).filename() == name && name != "." && name != "..") names.insert(name);
  }
  if (is_there(folder / kManifestName)) names.insert(kManifestName);
  return names;
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
  const WorkFolder fresh(folder / fmt::format(".fairhole-new-{}", getpid()));
  const WorkFolder before(folder / fmt::format(".fairhole-before-{}", getpid()));
  std::error_code error;
  for (const WorkFolder* work : {&fresh, &before}) {
    fs::create_directory(work->path(), error);
    if (error) return {cannot_write(folder, error.message())};
  }
  if (Problems problems = write_all(fresh.path(), files); !problems.empty()) return problems;
  Moves moves;
  for (const std::string& name : ours) {
    if (!is_there(folder / name)) continue;
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
  if (!error) return {};
  moves.take_back();
  return {cannot_write(folder, error.message())};
}

/// The whole folder appears at once.
Problems make_folder(const fs::path& folder, const NamedBytes& files) {
  const fs::path parent = fs::absolute(folder).lexically_normal().parent_path();
  std::error_code error;
  fs::create_directories(parent, error);
  if (error) return {cannot_write(parent, error.message())};
  const WorkFolder fresh(parent / fmt::format(".fairhole-new-{}", getpid()));
  fs::create_directory(fresh.path(), error);
  if (error) return {cannot_write(parent, error.message())};
  if (Problems problems = write_all(fresh.path(), files); !problems.empty()) return problems;
  fs::rename(fresh.path(), fs::absolute(folder).lexically_normal(), error);
  if (error) return {cannot_write(folder, error.message())};
  return {};
}

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
  if (!fs::exists(status)) return make_folder(folder, files);
  if (!fs::is_directory(status)) {
    return {{codes::kOutNotAFolder, folder_name, "this is no folder", "name a folder for the results"}};
  }
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
  if (fs::exists(status) && !fs::is_empty(folder, error)) {
    return {
        {codes::kNewNotEmpty, folder_name, "the folder is not empty", "name a folder that is new or empty"}};
  }
  return fs::exists(status) ? replace_files(folder, files, {}) : make_folder(folder, files);
}

}  // namespace fairhole::job

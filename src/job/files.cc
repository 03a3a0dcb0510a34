// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/files.h"

#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>

#include "fairhole/job/load.h"
#include "fairhole/job/run.h"

namespace fairhole::job {

namespace fs = std::filesystem;

Result<std::string> read_file(const std::string& path, const std::string& name, unsigned most_mb) {
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (!fs::exists(status)) {
    return Problem{codes::kFileUnreadable, name, "there is no such file", "look at the name and the folder"};
  }
  if (!fs::is_regular_file(status)) {
    return Problem{codes::kFileUnreadable, name, "this is no file", "name a file"};
  }
  if (fs::file_size(path, error) >> 20U >= most_mb) {
    return Problem{codes::kFileUnreadable, name, fmt::format("more than {} MB", most_mb),
                   "this cannot be what was meant"};
  }
  std::ifstream stream(path, std::ios::binary);
  std::ostringstream bytes;
  if (stream.peek() != std::ifstream::traits_type::eof()) bytes << stream.rdbuf();
  if (!stream.is_open() || stream.bad()) {
    return Problem{codes::kFileUnreadable, name, "the file cannot be read", "look at its permissions"};
  }
  return bytes.str();
}

namespace {

std::optional<Problem> in_the_way(const std::string& path) {
  std::error_code error;
  if (!fs::exists(fs::symlink_status(path, error))) return std::nullopt;
  return Problem{codes::kOutForeign, path, "a file of that name is there already",
                 "name another file, or move that one away; nothing was changed"};
}

}  // namespace

Problems write_new_file(const std::string& path, const std::string& bytes) {
  std::error_code error;
  if (auto problem = in_the_way(path)) return {*problem};
  const std::string fresh = fmt::format("{}.fairhole-new-{}", path, getpid());
  std::ofstream stream(fresh, std::ios::binary | std::ios::trunc);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  stream.close();
  if (stream) fs::rename(fresh, path, error);
  if (stream && !error) return {};
  fs::remove(fresh, error);
  return {{codes::kOutCannotWrite, path,
           "cannot be written (no permission, no such folder, or the disk is full)",
           "look at permissions and free space; nothing was changed"}};
}

Problems write_new_files(const std::vector<NewFile>& files) {
  Problems problems;
  for (const NewFile& file : files)
    if (auto problem = in_the_way(file.path)) problems.push_back(*problem);
  for (std::size_t i = 0; i < files.size() && problems.empty(); ++i) {
    problems = write_new_file(files[i].path, files[i].bytes);
    std::error_code error;
    for (std::size_t done = 0; done < i && !problems.empty(); ++done) fs::remove(files[done].path, error);
  }
  return problems;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

/// Other programs as second readers of what we write.
namespace fairhole::test {

struct CommandResult {
  int status = -1;     ///< exit status, -1 if the shell could not be started
  std::string output;  ///< stdout and stderr
};

inline CommandResult run_command(const std::string& command) {
  CommandResult result;
  std::FILE* pipe = popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) return result;
  std::array<char, 4096> buffer{};
  while (const std::size_t n = std::fread(buffer.data(), 1, buffer.size(), pipe)) {
    result.output.append(buffer.data(), n);
  }
  const int status = pclose(pipe);
  result.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return result;
}

/// A script of tests/checks run with Debian's own python3.
inline CommandResult run_check(const std::string& script, const std::string& arguments) {
  return run_command("/usr/bin/python3 " FAIRHOLE_SOURCE_DIR "/tests/checks/" + script + " " + arguments);
}

/// A file of the running test alone, so that tests may run side by side.
inline std::string scratch_file(const std::string& name) {
  const auto* info = testing::UnitTest::GetInstance()->current_test_info();
  std::string folder = std::string(info->test_suite_name()) + "." + info->name();
  for (char& c : folder) c = c == '/' ? '-' : c;
  const std::filesystem::path path = std::filesystem::path(testing::TempDir()) / "fairhole" / folder;
  std::filesystem::create_directories(path);
  return (path / name).string();
}

inline std::string write_scratch(const std::string& name, std::string_view bytes) {
  const std::string path = scratch_file(name);
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

}  // namespace fairhole::test

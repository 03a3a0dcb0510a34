// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "fairhole/job/load.h"

namespace fairhole::job::test {

/// A small sound job: a bracket with three holes on a plate. Tests change one thing in it.
inline nlohmann::ordered_json sound_job() {
  return nlohmann::ordered_json::parse(R"({
    "format": "fairhole job 1", "title": "Bracket", "units": "mm",
    "plates": [{"name": "plate", "marked_face": "outer", "thickness": 12,
                "outline": [[0, 0], [400, 0], [400, 250], [0, 250]]}],
    "parts": [{"id": "bracket", "kind": "bracket",
               "faces": [{"name": "foot", "thickness": 16, "length": 200, "width": 120, "measured_from": "outer",
                          "readings": ["foot.csv"]}]}],
    "patterns": {"foot": [{"hole": "B1", "x": 110, "y": 90}, {"hole": "B2", "x": 240, "y": 90},
                          {"hole": "B3", "x": 110, "y": 150}]},
    "hole_groups": [{"name": "foot", "on": "plate", "pattern": "foot", "fastener": "bolt"}],
    "joints": [{"name": "bracket on plate", "part": "bracket", "face": "foot", "on": "plate", "side": "marked",
                "seat": {"x": 80, "y": 60, "turn_deg": 0}, "groups": ["foot"]}],
    "fasteners": {"bolt": {"kind": "fitted bolt", "diameter": 20, "sizes": [20, 22]}}
  })");
}

inline Result<Job> parsed(const nlohmann::ordered_json& job) { return parse_job(job.dump(), "job.json", ""); }

/// Every problem as its line of text.
inline std::vector<std::string> lines(const Problems& problems) {
  std::vector<std::string> all;
  for (const Problem& problem : problems) all.push_back(describe(problem));
  return all;
}

/// A folder of its own, gone afterwards.
class Scratch {
 public:
  Scratch() {
    const ::testing::TestInfo* info = ::testing::UnitTest::GetInstance()->current_test_info();
    std::string name = std::string("fairhole-") + info->test_suite_name() + "-" + info->name();
    for (char& c : name) c = c == '/' ? '-' : c;
    path_ = std::filesystem::temp_directory_path() / name;
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~Scratch() { std::filesystem::remove_all(path_); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

}  // namespace fairhole::job::test

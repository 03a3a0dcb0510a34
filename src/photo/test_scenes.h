// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "fairhole/photo/adjust.h"

/// The ray-traced pictures of fixtures/photos with their truth.
namespace fairhole::photo::test {

inline std::string scene_file(const std::string& name) {
  std::ifstream file(std::string(FAIRHOLE_SOURCE_DIR) + "/fixtures/photos/" + name, std::ios::binary);
  std::stringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

inline nlohmann::json scene_json(const std::string& name) { return nlohmann::json::parse(scene_file(name)); }

inline Eigen::Vector2d point(const nlohmann::json& j) { return {j[0].get<double>(), j[1].get<double>()}; }

inline Board scene_board(const std::string& name) {
  const nlohmann::json file = scene_json("boards.json");
  for (const auto& j : file["boards"]) {
    if (j["name"] != name) continue;
    Board board{.name = name, .dictionary = j["dictionary"], .paper_mm = point(j["paper_mm"])};
    for (const auto& m : j["markers"]) {
      BoardMarker marker{.id = m["id"]};
      for (std::size_t c = 0; c < 4; ++c) marker.corners_mm[c] = point(m["corners"][c]);
      board.markers.push_back(marker);
    }
    for (const auto& b : j["check_bars"])
      board.check_bars.push_back({b["axis"] == "x", point(b["a"]), point(b["b"]), b["length_mm"]});
    return board;
  }
  return {};
}

struct SceneHole {
  std::string id;
  Eigen::Vector2d truth_mm;  ///< in the frame board, true mm
  double bore_diameter_mm = 0.0;
  std::vector<std::optional<Eigen::Vector2d>> pixels = {};
};

struct Scene {
  std::vector<Board> boards;
  std::vector<std::string> photos;
  PhotoOptions options;
  std::vector<SceneHole> holes;
};

inline Scene load_scene(const std::string& name) {
  const auto job = scene_json(name + ".job.json"), truth = scene_json(name + ".truth.json");
  Scene scene;
  for (const auto& b : job["boards"]) {
    const std::string board = b["board"];
    scene.boards.push_back(scene_board(board));
    scene.options.bars.push_back({board, b["check_bar_x"]["measured"], b["check_bar_y"]["measured"]});
    scene.options.lifts[board] = {-b["part_top_height_above_print"].get<double>(), 0.1};
  }
  for (const auto& p : job["photos"]) scene.photos.push_back(p);
  for (const auto& h : truth["holes"]) {
    SceneHole hole{h["id"], point(h["board_xyz"][scene.boards[0].name])};
    hole.bore_diameter_mm =
        (h["bore_diameter_major"].get<double>() + h["bore_diameter_minor"].get<double>()) / 2.0;
    for (const std::string& photo : scene.photos) {
      const auto seen = h["px"].find(photo);
      hole.pixels.push_back(seen == h["px"].end() ? std::nullopt : std::optional(point(*seen)));
    }
    scene.holes.push_back(hole);
  }
  return scene;
}

}  // namespace fairhole::photo::test

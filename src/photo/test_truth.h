// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "fairhole/photo/camera.h"
#include "test_scenes.h"

/// The true cameras of the ray-traced pictures, with the part's own frame as the world.
namespace fairhole::photo::test {

struct TrueHole {
  std::string id, style;
  Eigen::Vector2d face_mm, pixel;
  double bore_mm = 0.0;
};
struct Distractor {
  std::string kind;
  Eigen::Vector2d face_mm;
};
struct TruePhoto {
  std::string file;
  View view;
  std::vector<TrueHole> holes;  ///< those that lie in this picture
  std::vector<Distractor> distractors;
  std::vector<std::vector<Eigen::Vector2d>> sheets_px, markers_px;
};

inline Eigen::Matrix4d pose(const nlohmann::json& j) {
  Eigen::Matrix4d out;
  for (std::size_t row = 0; row < 4; ++row)
    for (std::size_t column = 0; column < 4; ++column)
      out(static_cast<Eigen::Index>(row), static_cast<Eigen::Index>(column)) = j[row][column];
  return out;
}

inline View true_camera(const nlohmann::json& photo) {
  View view;
  view.lens.focal_px = photo["K"][0][0];
  view.lens.centre_px = {photo["K"][0][2].get<double>(), photo["K"][1][2].get<double>()};
  view.lens.k1 = photo["dist_k1k2p1p2k3"][0];
  view.lens.k2 = photo["dist_k1k2p1p2k3"][1];
  for (std::size_t row = 0; row < 3; ++row) {
    view.origin_mm[static_cast<Eigen::Index>(row)] = photo["t_cam_from_world"][row];
    for (std::size_t column = 0; column < 3; ++column)
      view.camera_from_world(static_cast<Eigen::Index>(row), static_cast<Eigen::Index>(column)) =
          photo["R_cam_from_world"][row][column];
  }
  return view;
}

inline TruePhoto true_photo(const std::string& scene, std::size_t index) {
  const nlohmann::json truth = scene_json(scene + ".truth.json"), photo = truth["photos"][index];
  TruePhoto out;
  out.file = photo["file"];
  const View world = true_camera(photo);
  const auto& boards = truth["boards"];
  const Eigen::Matrix4d part = truth.contains("T_world_from_part") ? pose(truth["T_world_from_part"])
                                                                   : pose(boards[0]["T_world_from_board"]) *
                                                                         pose(boards[0]["T_board_from_part"]);
  out.view = world;
  out.view.camera_from_world = world.camera_from_world * part.topLeftCorner<3, 3>();
  out.view.origin_mm = world.camera_from_world * part.topRightCorner<3, 1>() + world.origin_mm;

  constexpr double kBorderPx = 60.0;
  const double width = photo["width"], height = photo["height"];
  for (const auto& h : truth["holes"]) {
    const Eigen::Vector2d px = point(h["px"][out.file]);
    if (px.x() < kBorderPx || px.y() < kBorderPx || px.x() > width - kBorderPx || px.y() > height - kBorderPx)
      continue;
    out.holes.push_back(
        {h["id"], h["style"], point(h["part_xy"]), px,
         0.5 * (h["bore_diameter_major"].get<double>() + h["bore_diameter_minor"].get<double>())});
  }
  for (const auto& d : truth["distractors"]) out.distractors.push_back({d["kind"], point(d["part_xy"])});

  for (const auto& b : boards) {
    const Board board = scene_board(b["board"]);
    const Eigen::Matrix4d place = pose(b["T_world_from_board"]);
    const double sx = b["print_scale_x"], sy = b["print_scale_y"];
    const auto seen = [&](const Eigen::Vector2d& p) {
      const Eigen::Vector4d at = place * Eigen::Vector4d(p.x() * sx, p.y() * sy, 0.0, 1.0);
      return project(world, at.head<3>()).value_or(Eigen::Vector2d(-1.0, -1.0));
    };
    const double w = board.paper_mm.x(), h = board.paper_mm.y();
    out.sheets_px.push_back({seen({0.0, 0.0}), seen({w, 0.0}), seen({w, h}), seen({0.0, h})});
    for (const BoardMarker& marker : board.markers) {
      out.markers_px.emplace_back();
      for (const Eigen::Vector2d& corner : marker.corners_mm) out.markers_px.back().push_back(seen(corner));
    }
  }
  return out;
}

}  // namespace fairhole::photo::test

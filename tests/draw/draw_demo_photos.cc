// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "../../src/photo/test_face_render.h"
#include "fairhole/job/board_json.h"

/// Draws the demo job's photographs from its truth: draw_demo_photos JOB_FOLDER. tools/make-demo-photos calls
/// it.
namespace {

using namespace fairhole;
using photo::test::DrawnFace;

struct Sheet {
  int number = 0;
  Motion face_from_sheet;
  Eigen::Vector2d scale = Eigen::Vector2d::Ones();  ///< printed over designed
  double lift_mm = 0.1;
};

/// A camera over a point of the face.
struct Shot {
  std::string file;
  Eigen::Vector2d at_mm;
  double distance_mm, slant_rad, bearing_rad;  ///< bearing in the face's frame
  int width_px = 2400, height_px = 1800;
  unsigned seed = 1;
};

constexpr double kFocalOfWidth = 0.86;

DrawnFace face_of(const nlohmann::json& truth, const std::string& key, const Eigen::Vector2d& size,
                  double thickness) {
  DrawnFace face;
  face.thickness_mm = thickness;
  face.grain = 0.02;
  face.outline_mm = {{0, 0}, {size.x(), 0}, size, {0, size.y()}};
  for (const auto& [id, h] : truth.at(key).items()) {
    photo::test::DrawnHole hole;
    hole.centre_mm = {h["x"].get<double>(), h["y"].get<double>()};
    hole.bore_mm = h["diameter"];
    hole.oval_mm = h["ovality"];
    hole.oval_axis_rad = Angle::degrees(h["axis_deg"].get<double>()).radians();
    hole.chamfer_mm = 0.7;
    hole.face = 0.42;
    hole.chamfer = 0.62;
    hole.wall = 0.025;
    hole.bench = 0.04;  // in the shade of the part
    hole.depth_mm = thickness;
    hole.seed = static_cast<unsigned>(face.holes.size() + 1);
    face.holes.push_back(hole);
  }
  return face;
}

void write(const std::string& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary) << bytes;
  fmt::print("{}: {} kB\n", file, bytes.size() / 1000);
}

/// The first sheet's frame is the world of the photographs.
void shoot(const std::string& folder, const DrawnFace& face, const std::vector<Sheet>& sheets,
           const std::vector<Shot>& shots) {
  const Motion world_from_face = sheets.front().face_from_sheet.inverse();
  DrawnFace world = in_world(face, world_from_face);
  for (photo::test::DrawnHole& hole : world.holes) hole.oval_axis_rad += world_from_face.turn.radians();
  for (const Sheet& sheet : sheets) {
    const Motion place = world_from_face * sheet.face_from_sheet;
    world.boards.push_back({*photo::make_board("A4", sheet.number), place.shift_mm, place.turn.radians(),
                            sheet.lift_mm, sheet.scale});
  }
  for (const Shot& shot : shots) {
    photo::test::FaceCamera camera;
    camera.width_px = shot.width_px;
    camera.height_px = shot.height_px;
    camera.seed = shot.seed;
    const photo::Lens lens{.focal_px = kFocalOfWidth * shot.width_px,
                           .centre_px = {0.5 * shot.width_px + 4.0, 0.5 * shot.height_px - 3.0},
                           .k1 = 0.02};
    // look_at() puts the picture's x square to the bearing; the roll sets it along the face's x.
    const double bearing = shot.bearing_rad + world_from_face.turn.radians();
    camera.view = photo::test::look_at(lens, world_from_face * shot.at_mm, shot.distance_mm, shot.slant_rad,
                                       bearing, -shot.bearing_rad - 0.5 * std::numbers::pi);
    write(folder + "/photos/" + shot.file, photo::test::photo_file(draw_face(world, camera), 85));
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::string folder = argv[1];
  const nlohmann::json truth = nlohmann::json::parse(std::ifstream(folder + "/truth.json"));
  const double down = -0.5 * std::numbers::pi;
  const Angle square = Angle::degrees(0.0);
  for (int number = 0; number < 4; ++number)
    write(fmt::format("{}/photos/board-{}.json", folder, number),
          job::board_json(*photo::make_board("A4", number)));

  // The bracket lies on the bench with the sheet beside it.
  shoot(folder, face_of(truth, "right-aft-bracket/foot", {174, 134}, 16.0),
        {{0, {{205.0, -70.0}, Angle::degrees(3.0), false}, {1.0016, 0.9988}, -15.9}},
        {{"right-aft-bracket.jpg", {195.0, 75.0}, 640.0, 0.36, down + 0.1, 2000, 1500, 11}});
  // Two sheets on the beam, three photographs along it.
  shoot(folder, face_of(truth, "beam/back", {1400, 300}, 20.0),
        {{1, {{292.0, 2.0}, square, false}, {1.0016, 0.9988}, 0.1},
         {2, {{861.0, 1.5}, Angle::degrees(0.4), false}, {1.0016, 0.9988}, 0.1}},
        {{"beam-1.jpg", {255.0, 150.0}, 620.0, 0.3, down, 2200, 1300, 21},
         {"beam-2.jpg", {680.0, 150.0}, 770.0, 0.3, down + 0.2, 2200, 1300, 22},
         {"beam-3.jpg", {1135.0, 150.0}, 650.0, 0.3, down - 0.2, 2200, 1300, 23}});
  // The guide's foot rubbed through the sheet, which was printed on both sides of the holes.
  DrawnFace guide = face_of(truth, "left-aft-guide/foot", {76, 216}, 32.0);
  guide.rubbing = true;
  shoot(folder, guide, {{3, {{-47.0, -40.0}, square, false}, {1.0016, 0.9988}, 0.0}},
        {{"left-aft-guide-rubbing.jpg", {38.0, 108.0}, 420.0, 0.25, down + 0.3, 2000, 1600, 31}});
  return 0;
}

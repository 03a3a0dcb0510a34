// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <chrono>

#include "test_scenes.h"

namespace fairhole::photo {
namespace {

void measure(const std::string& name) {
  const test::Scene scene = test::load_scene(name);
  std::vector<Picture> pictures;
  for (const std::string& photo : scene.photos) {
    Result<Picture> picture = decode_picture(test::scene_file(photo), photo);
    ASSERT_TRUE(picture);
    pictures.push_back(*std::move(picture));
  }
  const auto t0 = std::chrono::steady_clock::now();
  const Result<Cameras> cameras = find_cameras(pictures, scene.boards, scene.options);
  const auto t1 = std::chrono::steady_clock::now();
  if (!cameras) {
    for (const Problem& p : cameras.problems()) fmt::print("{}\n", describe(p));
    FAIL();
  }
  fmt::print("{} time {} ms\n", name, std::chrono::duration_cast<std::chrono::milliseconds>(t1 - t0).count());
  for (const PhotoFit& p : cameras->adjusted.photos)
    fmt::print(
        "f {:.1f}+-{:.1f} c {:.1f} {:.1f} k {:.4f} {:.4f} p {:.5f} {:.5f} growth {:.3f} rms {:.4f} used {} "
        "out {}\n",
        p.view.lens.focal_px, p.focal_sigma_px, p.view.lens.centre_px.x(), p.view.lens.centre_px.y(),
        p.view.lens.k1, p.view.lens.k2, p.view.lens.p1, p.view.lens.p2, p.growth_px, p.rms_px, p.edges_used,
        p.edges_left_out);
  for (const PlacedBoard& b : cameras->adjusted.boards)
    fmt::print(
        "board {} {:.2f} {:.2f} turn {:.4f} lift {:.3f}+-{:.3f} scale {:.5f} {:.5f} +- {:.5f} {:.5f}\n",
        b.seen, b.origin_mm.x(), b.origin_mm.y(), b.turn_rad, b.lift_mm, b.lift_sigma_mm, b.scale.x(),
        b.scale.y(), b.scale_sigma.x(), b.scale_sigma.y());
  for (const std::string& w : cameras->adjusted.warnings) fmt::print("{}\n", w);
  std::vector<HoleTie> ties;
  double squares = 0, worst = 0;
  int n = 0;
  for (const test::SceneHole& hole : scene.holes) {
    HoleTie tie;
    for (std::size_t p = 0; p < hole.pixels.size(); ++p)
      if (hole.pixels[p]) {
        tie.seen.push_back({static_cast<int>(p), *hole.pixels[p], Eigen::Matrix2d::Identity() * 0.01});
        const auto met = meet_plane(cameras->adjusted.photos[p].view, *hole.pixels[p]);
        const double e = (*met - hole.truth_mm).norm();
        squares += e * e;
        ++n;
        worst = std::max(worst, e);
      }
    ties.push_back(tie);
  }
  fmt::print("single: rms {:.4f} worst {:.4f}\n", std::sqrt(squares / n), worst);
  const auto done = adjust_photos(scene.boards, cameras->sights, ties, scene.options);
  ASSERT_TRUE(done);
  squares = 0;
  worst = 0;
  Eigen::VectorXd e(2 * static_cast<Eigen::Index>(scene.holes.size()));
  for (std::size_t i = 0; i < scene.holes.size(); ++i) {
    const auto h = static_cast<Eigen::Index>(i);
    e.segment<2>(2 * h) = done->holes[i].centre_mm - scene.holes[i].truth_mm;
    squares += e.segment<2>(2 * h).squaredNorm();
    worst = std::max(worst, e.segment<2>(2 * h).norm());
    fmt::print("{} {:.3f} {:.3f} sigma {:.3f} {:.3f}{}\n", scene.holes[i].id, e[2 * h], e[2 * h + 1],
               std::sqrt(done->covariance_mm2(2 * h, 2 * h)),
               std::sqrt(done->covariance_mm2(2 * h + 1, 2 * h + 1)),
               done->holes[i].disagrees ? " disagrees" : "");
  }
  fmt::print("joint: rms {:.4f} worst {:.4f} chi2 {:.2f} of {}\n",
             std::sqrt(squares / static_cast<double>(scene.holes.size())), worst,
             e.dot(done->covariance_mm2.ldlt().solve(e)), e.size());
}

TEST(Scenes, DevA) { measure("devA"); }
TEST(Scenes, DevB) { measure("devB"); }
TEST(Scenes, DevC) { measure("devC"); }
TEST(Scenes, DevD) { measure("devD"); }
TEST(Scenes, DevE) { measure("devE"); }

}  // namespace
}  // namespace fairhole::photo

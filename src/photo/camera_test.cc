// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/camera.h"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <opencv2/calib3d.hpp>
#include <random>

namespace fairhole::photo {
namespace {

constexpr double kPixelTol = 1e-8;  // both sides are closed formulas of the same model in double

View some_view() {
  View view;
  view.lens = {2950.0, {1993.1, 1507.4}, -0.12, 0.03, 4e-4, -3e-4};
  view.camera_from_world =
      (Eigen::AngleAxisd(3.0, Eigen::Vector3d::UnitX()) * Eigen::AngleAxisd(0.4, Eigen::Vector3d::UnitZ()))
          .matrix();
  view.origin_mm = {-120.0, 80.0, 700.0};
  return view;
}

// Second method: the projection of OpenCV's calib3d, which documents the same model.
TEST(Camera, ProjectsAsTheReferenceLibraryDoes) {
  const View view = some_view();
  const Lens& l = view.lens;
  const cv::Matx33d k(l.focal_px, 0, l.centre_px.x(), 0, l.focal_px, l.centre_px.y(), 0, 0, 1);
  const cv::Vec4d d(l.k1, l.k2, l.p1, l.p2);
  const Eigen::AngleAxisd turn(view.camera_from_world);
  const Eigen::Vector3d r = turn.angle() * turn.axis();
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-300.0, 300.0);
  for (int i = 0; i < 100; ++i) {
    const Eigen::Vector3d p{place(random), place(random), place(random) / 20.0};
    std::vector<cv::Point2d> seen;
    cv::projectPoints(std::vector<cv::Point3d>{{p.x(), p.y(), p.z()}}, cv::Vec3d(r.x(), r.y(), r.z()),
                      cv::Vec3d(view.origin_mm.x(), view.origin_mm.y(), view.origin_mm.z()), k, d, seen);
    const auto ours = project(view, p);
    ASSERT_TRUE(ours);
    EXPECT_NEAR(ours->x(), seen[0].x, kPixelTol);
    EXPECT_NEAR(ours->y(), seen[0].y, kPixelTol);
    const auto back = meet_plane(view, *ours, p.z());
    ASSERT_TRUE(back);
    EXPECT_LT((*back - p.head<2>()).norm(), kPixelTol);
  }
}

TEST(Camera, SaysWhereTheLensCannotBeUndone) {
  Lens lens{3000.0, {2000.0, 1500.0}, -0.5, 0.0, 0.0,
            0.0};  // turns at r = sqrt(1 / 1.5), where r (1 - r2 / 2) = 0.544
  EXPECT_TRUE(undistort(lens, {2000.0 + 0.54 * 3000.0, 1500.0}));
  EXPECT_FALSE(undistort(lens, {2000.0 + 0.56 * 3000.0, 1500.0}));
}

// The lens of the test above turns at r = 0.816: what lies beyond would come back into the picture.
TEST(Camera, DoesNotSeeWhatItsLensWouldFoldBack) {
  View view;
  view.lens = {3000.0, {2000.0, 1500.0}, -0.5, 0.0, 0.0, 0.0};
  EXPECT_TRUE(project(view, {0.81, 0.0, 1.0}));
  EXPECT_FALSE(project(view, {0.83, 0.0, 1.0}));
  EXPECT_FALSE(project(view, {1.3, 0.0, 1.0}));
}

TEST(Camera, DoesNotSeeBehindItself) {
  View view = some_view();
  EXPECT_FALSE(
      project(view, camera_centre_mm(view) - view.camera_from_world.transpose() * Eigen::Vector3d(0, 0, 10)));
}

}  // namespace
}  // namespace fairhole::photo

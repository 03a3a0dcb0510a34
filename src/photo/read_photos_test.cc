// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/read_photos.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace fairhole::photo {
namespace {

HoleImage seen(int photo, double x, double y, double diameter = 20.0) {
  HoleImage image;
  image.photo = photo;
  image.face_mm = {x, y};
  image.bore_diameter_mm = diameter;
  return image;
}

TEST(SameHoles, AreThoseOfOtherPicturesNearby) {
  const auto groups =
      same_holes({seen(0, 0, 0), seen(0, 50, 0), seen(1, 50.6, 0.2), seen(1, 7.5, 0), seen(2, 50.2, 0)});
  ASSERT_EQ(groups.size(), 3U);
  EXPECT_EQ(groups[0].size(), 1U);  // 7.5 mm are more than a third of 20
  EXPECT_EQ(groups[1].size(), 3U);
  EXPECT_EQ(groups[2].front().face_mm.x(), 7.5);
}

TEST(SameHoles, TwoOfOnePictureAreTwo) { EXPECT_EQ(same_holes({seen(0, 0, 0), seen(0, 1, 0)}).size(), 2U); }

TEST(DoubtWithMost, FollowsTheMajority) {
  HoleImage sound = seen(0, 0, 0), rivet = seen(1, 0, 0);
  rivet.doubtful = true;
  rivet.reasons = {"a rivet head?"};
  PhotoHole even, most;
  doubt_with_most({sound, rivet}, even);
  EXPECT_FALSE(even.doubtful);
  doubt_with_most({sound, rivet, rivet}, most);
  EXPECT_TRUE(most.doubtful);
  EXPECT_EQ(most.reasons, std::vector<std::string>{"a rivet head?"});
}

/// A scan of discs in closed form: Phi of the distance from the rim over the blur, in linear light.
Picture scanned_discs(double dpi, const std::vector<Eigen::Vector3d>& discs_mm) {
  Picture picture;
  picture.width_px = 1200;
  picture.height_px = 900;
  const double mm = 25.4 / dpi;
  for (int y = 0; y < picture.height_px; ++y)
    for (int x = 0; x < picture.width_px; ++x) {
      const Eigen::Vector2d p((x + 0.5) * mm, (picture.height_px - 0.5 - y) * mm);
      double light = 0.8;
      for (const Eigen::Vector3d& disc : discs_mm) {
        const double outside_px = ((p - disc.head<2>()).norm() - 0.5 * disc.z()) / mm;
        light -= 0.7 * 0.5 * std::erfc(outside_px / 0.9 / std::numbers::sqrt2);
      }
      picture.light.push_back(static_cast<float>(light));
    }
  return picture;
}

TEST(ReadScan, PutsDiscsWhereTheDotsToTheInchSay) {
  const std::vector<Eigen::Vector3d> discs{{40.0, 60.0, 17.0}, {110.0, 25.5, 21.5}};
  ReadOptions options;
  options.cameras.marks_on_sheet = true;
  const PhotoReading reading = read_scan(scanned_discs(200.0, discs), 200.0, options);
  ASSERT_EQ(reading.holes.size(), 2U);
  EXPECT_EQ(reading.adjusted.frame, "scan");
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_LT((reading.holes[i].centre_mm - discs[i].head<2>()).norm(), 0.01);  // a twelfth of a pixel
    EXPECT_NEAR(reading.holes[i].bore_diameter_mm, discs[i].z(), 0.05);
    // The scanner's scale alone: 0.2 % of the distance from the corner.
    EXPECT_GE(std::sqrt(reading.adjusted.covariance_mm2(2 * static_cast<Eigen::Index>(i),
                                                        2 * static_cast<Eigen::Index>(i))),
              0.002 * discs[i].x());
  }
  // Scale is common to both: their x vary together.
  EXPECT_NEAR(reading.adjusted.covariance_mm2(0, 2), 0.002 * 0.002 * 40.0 * 110.0, 1e-4);
}

TEST(MeasuredFace, GivesAPrickNoDiameter) {
  PhotoReading reading;
  reading.holes.resize(2);
  reading.holes[0].bore_diameter_mm = 17.2;
  reading.holes[1].kind = MarkKind::kPrick;
  reading.adjusted.covariance_mm2 = Eigen::MatrixXd::Identity(4, 4);
  const MeasuredFace face = measured_face(reading);
  EXPECT_EQ(face.holes[0].diameter_mm, 17.2);
  EXPECT_EQ(face.holes[1].diameter_mm, std::nullopt);
}

TEST(SameHoles, PricksOfTwoPicturesAreOne) {
  HoleImage a = seen(0, 10, 10, 0.0), b = seen(1, 10.4, 10, 0.0);
  a.kind = b.kind = MarkKind::kPrick;
  EXPECT_EQ(same_holes({a, b}).size(), 1U);
}

TEST(MeasuredFace, LeavesDoubtfulHolesOut) {
  PhotoReading reading;
  reading.holes.resize(3);
  for (std::size_t i = 0; i < 3; ++i) reading.holes[i].id = "H" + std::to_string(i + 1);
  reading.holes[1].doubtful = true;
  Eigen::MatrixXd covariance(6, 6);
  for (Eigen::Index i = 0; i < 6; ++i)
    for (Eigen::Index j = 0; j < 6; ++j)
      covariance(i, j) = static_cast<double>(10 * std::min(i, j) + std::max(i, j));
  reading.adjusted.covariance_mm2 = covariance;
  const MeasuredFace face = measured_face(reading);
  ASSERT_EQ(face.holes.size(), 2U);
  EXPECT_EQ(face.holes[1].id, "H3");
  EXPECT_EQ(face.covariance_mm2(0, 3), covariance(0, 5));
  EXPECT_EQ(face.covariance_mm2(2, 3), covariance(4, 5));
  EXPECT_EQ(face.holes[1].centre_cov_mm2(0, 1), covariance(4, 5));
}

}  // namespace
}  // namespace fairhole::photo

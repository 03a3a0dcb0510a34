// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/flat_picture.h"

#include <gtest/gtest.h>

#include "test_boards.h"

namespace fairhole::photo {
namespace {

/// A board painted through a slanted camera and laid flat again: ink and paper lie where they were designed;
/// also in a turned frame, and in one seen in a mirror.
TEST(Flatten, PutsAPrintBackWhereItWasDesigned) {
  const Board board = *make_board("A4", 0);
  const Lens lens{.focal_px = 900.0, .centre_px = {399.5, 299.5}, .k1 = -0.05};
  const std::vector<View> views{test::look_at(lens, {105.0, 148.0}, 420.0, 0.4, 0.6, 0.2)};
  test::RenderSettings settings;
  settings.width_px = 800;
  settings.height_px = 600;
  settings.blur_px = 0.5;
  settings.fineness = 3;
  const std::vector<Picture> pictures{test::render(views[0], {{board}}, settings)};
  const BoardMarker& marker = board.markers[0];
  const Eigen::Vector2d low = marker.corners_mm[3], high = marker.corners_mm[1];
  for (const Motion& world_from_frame : {Motion{}, Motion{{200.0, 10.0}, Angle::degrees(90.0), false},
                                         Motion{{5.0, 280.0}, Angle::degrees(3.0), true}}) {
    const Eigen::Vector2d middle = world_from_frame.inverse() * (0.5 * (low + high)), half(20.0, 16.0);
    const double mm_per_px = 0.25;
    const FlatPicture flat =
        flatten(pictures, views, world_from_frame, middle - half, middle + half, mm_per_px);
    ASSERT_EQ(flat.width_px, 160);
    ASSERT_EQ(flat.height_px, 128);
    EXPECT_LT((flat.high_mm() - middle - half).norm(), 1e-9);
    int black_inside = 0, inside = 0, light_outside = 0, outside = 0;
    for (int y = 0; y < flat.height_px; ++y)
      for (int x = 0; x < flat.width_px; ++x) {
        const Eigen::Vector2d p =
            world_from_frame * Eigen::Vector2d(flat.low_mm.x() + (x + 0.5) * mm_per_px,
                                               flat.high_mm().y() - (y + 0.5) * mm_per_px);
        const double depth = (p - low).array().min((high - p).array()).minCoeff();
        const int grey = flat.grey[static_cast<std::size_t>(y * flat.width_px + x)];
        // The black border is a cell wide, a seventh of the marker; 0.6 mm is a little over a pixel of the
        // picture.
        if (depth > 0.6 && depth < (high - low).x() / 7.0 - 0.6) ++inside, black_inside += grey < 128 ? 1 : 0;
        if (depth < -0.6 && depth > -1.5) ++outside, light_outside += grey > 128 ? 1 : 0;
      }
    EXPECT_GT(inside, 300);
    EXPECT_EQ(black_inside, inside);
    EXPECT_EQ(light_outside, outside);
  }
  const FlatPicture away = flatten(pictures, views, {}, {5000.0, 0.0}, {5010.0, 10.0}, 1.0);
  EXPECT_EQ(away.grey, std::vector<std::uint8_t>(100, 255));
}

TEST(EncodeJpeg, IsReadAgain) {
  FlatPicture flat;
  flat.mm_per_px = 1.0;
  flat.width_px = 40;
  flat.height_px = 24;
  flat.grey.assign(40 * 24, 200);
  const Result<Picture> again = decode_picture(encode_jpeg(flat, 90), "flat");
  ASSERT_TRUE(again);
  EXPECT_EQ(again->width_px, 40);
  EXPECT_EQ(again->height_px, 24);
  // 200 of 255 by IEC 61966-2-1 is 0.5776 of white.
  EXPECT_NEAR(static_cast<double>(again->at(20, 12)), 0.5776, 0.01);
}

}  // namespace
}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "outline.h"

#include <gtest/gtest.h>

namespace fairhole::job {
namespace {

constexpr double kRounding = 1e-9;
constexpr double kGridShare = 0.03;  // a grid of 40 by 40 decides a straight edge to 1/40

const Outline kL = {{0, 0}, {40, 0}, {40, 10}, {10, 10}, {10, 30}, {0, 30}};  // 40 x 10 and 10 x 20

TEST(Outline, AreaIsPositiveCounterClockwise) {
  EXPECT_NEAR(signed_area_mm2(kL), 600.0, kRounding);
  EXPECT_NEAR(signed_area_mm2(Outline(kL.rbegin(), kL.rend())), -600.0, kRounding);
}

TEST(Outline, InsideFollowsAReentrantCorner) {
  EXPECT_TRUE(inside(kL, {5, 25}));
  EXPECT_TRUE(inside(kL, {35, 5}));
  EXPECT_FALSE(inside(kL, {20, 20}));
  EXPECT_FALSE(inside(kL, {20, 12}));
  EXPECT_TRUE(inside(kL, {20, 12}, 2.5)) << "within the margin of an edge";
  EXPECT_FALSE(inside(kL, {-1, 10}));
}

TEST(Outline, DistanceIsToTheSegmentNotItsLine) {
  EXPECT_NEAR(distance_to_segment_mm({3, 4}, {0, 0}, {-10, 0}), 5.0, kRounding);
  EXPECT_NEAR(distance_to_segment_mm({-4, 4}, {0, 0}, {-10, 0}), 4.0, kRounding);
}

TEST(Outline, ShareOverIsAnAreaRatio) {
  const Outline box = {{0, 0}, {40, 0}, {40, 30}, {0, 30}};
  EXPECT_NEAR(share_over(box, kL), 600.0 / 1200.0, kGridShare);
  EXPECT_NEAR(share_over(kL, box), 1.0, kRounding);
  EXPECT_NEAR(share_over(kL, {{100, 0}, {140, 0}, {140, 30}, {100, 30}}), 0.0, kRounding);
}

TEST(Outline, FaultsAreNamed) {
  EXPECT_EQ(outline_fault(kL), std::nullopt);
  EXPECT_EQ(outline_fault({{0, 0}, {1, 1}}), "2 corners enclose nothing");
  EXPECT_EQ(outline_fault({{0, 0}, {10, 0}, {20, 0}}), "the outline encloses nothing");
  EXPECT_EQ(outline_fault({{0, 0}, {10, 0}, {10, 0}, {10, 10}}), "corner 2 is stated twice running");
  EXPECT_EQ(outline_fault({{0, 0}, {10, 10}, {20, 0}, {0, 8}}),
            "the outline crosses itself: the edge after corner 1 and the edge after corner 3");
}

}  // namespace
}  // namespace fairhole::job

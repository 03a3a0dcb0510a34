// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "hole_verdict.h"

#include <gtest/gtest.h>

namespace fairhole::photo {
namespace {

constexpr double kPxPerMm = 5.0;

/// A bore fitted cleanly all round, in a face of light 0.4.
MeasuredMouth clean_mouth(double median, double darkest, double brightest, double far_end) {
  MeasuredMouth mouth{};
  mouth.fit.mouth = {Eigen::Vector2d::Zero(), 8.7, 0.0, 0.0, 0.5, 0.5};
  mouth.fit.clear_share = 1.0;
  mouth.fit.torn_px = 0.1;
  mouth.bore_cover = 1.0;
  mouth.account.fill(4.0);
  mouth.evidence.outside = 0.4;
  mouth.evidence.inside = 0.4 * median;
  mouth.evidence.darkest = 0.4 * darkest;
  mouth.evidence.brightest = 0.4 * brightest;
  mouth.evidence.step_share = 1.0;
  mouth.evidence.far_end = far_end;
  return mouth;
}

std::vector<std::string> doubts(const MeasuredMouth& mouth) { return judge(mouth, kPxPerMm).doubts; }

TEST(Judge, DarkAllOverWithAStepAllRoundIsAHole) {
  EXPECT_TRUE(doubts(clean_mouth(0.25, 0.14, 0.33, 0.4)).empty());
  const std::vector<std::string> flat{"no depth seen in it: a stain, a rivet head or a plug?"};
  EXPECT_EQ(doubts(clean_mouth(0.25, 0.19, 0.6, 0.4)), flat);  // lighter in places
  EXPECT_EQ(doubts(clean_mouth(0.5, 0.3, 0.6, 0.4)), flat);    // a stain
  MeasuredMouth half = clean_mouth(0.25, 0.19, 0.33, 0.4);
  half.evidence.step_share = 0.6;  // a stain that ends half way round
  EXPECT_EQ(doubts(half), flat);
}

// A rivet's head lies round whatever edges about it look like a bore's far end.
TEST(Judge, ADomeAllRoundIsARivet) {
  MeasuredMouth head = clean_mouth(0.5, 0.22, 1.0, 0.74);
  head.evidence.dome = 1.0;
  const std::vector<std::string> rivet{"lighter in the middle than at the edge all round: a rivet head?"};
  EXPECT_EQ(doubts(head), rivet);
  head.evidence.dome = 0.92;  // a bore over a light ground, dark on one side
  head.evidence.far_end = 0.98;
  EXPECT_TRUE(doubts(head).empty());
}

// Darkened pictures put a rivet's head as far into the shade as a bore; it is still lighter in its middle.
TEST(Judge, ADarkDomeIsARivet) {
  MeasuredMouth head = clean_mouth(0.14, 0.04, 0.37, 0.26);
  EXPECT_TRUE(doubts(head).empty());
  head.evidence.dome = 1.0;
  const std::vector<std::string> rivet{"lighter in the middle than at the edge all round: a rivet head?"};
  EXPECT_EQ(doubts(head), rivet);
  head.evidence.far_end = 0.94;  // light ground in a deep bore
  EXPECT_TRUE(doubts(head).empty());
}

// Hardly darker than the face: what looks like a far end is rust, unless the rim is clear all round.
TEST(Judge, ALightSpotWithoutAClearRimIsNoHole) {
  MeasuredMouth spot = clean_mouth(0.9, 0.78, 1.15, 0.73);
  spot.evidence.step_share = 0.57;
  EXPECT_TRUE(doubts(spot).empty());
  spot.fit.clear_share = 0.76;
  const std::vector<std::string> flat{"no depth seen in it: a stain, a rivet head or a plug?"};
  EXPECT_EQ(doubts(spot), flat);
  spot.evidence.far_end = 0.99;
  EXPECT_EQ(doubts(spot), flat);
}

TEST(Judge, AFleckIsNoHole) {
  MeasuredMouth fleck = clean_mouth(1.1, 0.93, 1.8, 0.96);
  EXPECT_TRUE(doubts(fleck).empty());  // a light ground from straight above looks so, with a clear rim
  fleck.fit.clear_share = 0.77;
  EXPECT_FALSE(doubts(fleck).empty());
}

}  // namespace
}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/fuse.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>

#include "fairhole/geometry/statistics.h"
#include "support/statistics.h"
#include "test_cases.h"

namespace fairhole {
namespace {

const std::vector<Eigen::Vector2d> kHoles{{32, 30}, {140, 31}, {31, 101}, {142, 99}, {90, 65}};

/// A plain face: holes A1, A2, ... with a common scale error (as a tape has) and their own.
MeasuredFace drawn(const std::vector<Eigen::Vector2d>& truth, const char* prefix, double own_mm, double scale,
                   std::mt19937_64* rng) {
  MeasuredFace face;
  const auto n = static_cast<Eigen::Index>(truth.size());
  Eigen::VectorXd arms(2 * n);
  for (Eigen::Index i = 0; i < n; ++i) arms.segment<2>(2 * i) = truth[static_cast<std::size_t>(i)];
  face.covariance_mm2 =
      own_mm * own_mm * Eigen::MatrixXd::Identity(2 * n, 2 * n) + scale * scale * arms * arms.transpose();
  const double stretch = rng != nullptr ? scale * test::normal_pair(*rng).x() : 0.0;
  for (Eigen::Index i = 0; i < n; ++i) {
    MeasuredHole hole;
    hole.id = prefix + std::to_string(i + 1);
    hole.centre_mm = arms.segment<2>(2 * i) * (1.0 + stretch);
    if (rng != nullptr) hole.centre_mm += own_mm * test::normal_pair(*rng);
    hole.centre_cov_mm2 = face.covariance_mm2.block<2, 2>(2 * i, 2 * i);
    hole.diameter_mm = 20.0;
    hole.diameter_sigma_mm = 0.05;
    face.holes.push_back(hole);
  }
  return face;
}

std::vector<Eigen::Vector2d> seen_from(const Motion& face_from_loose,
                                       const std::vector<Eigen::Vector2d>& face) {
  std::vector<Eigen::Vector2d> out;
  for (const Eigen::Vector2d& p : face) out.push_back(face_from_loose.inverse() * p);
  return out;
}

const Motion kPlace{{205.0, -40.0}, Angle::degrees(87.0), false};

LooseFace loose_of(const Motion& place, MeasuredFace measured) {
  LooseFace loose;
  loose.measured = std::move(measured);
  loose.face_from_loose = place;
  return loose;
}

/// Edges of a face whose datum edges are the axes, seen without error.
std::vector<EdgeTie> both_edges(const Motion& place) {
  const Motion back = place.inverse();
  EdgeTie x{.name = "long datum edge",
            .a_mm = back * Eigen::Vector2d(10, 0),
            .b_mm = back * Eigen::Vector2d(170, 0)};
  EdgeTie y{
      .name = "datum end", .a_mm = back * Eigen::Vector2d(0, 10), .b_mm = back * Eigen::Vector2d(0, 120)};
  y.across = Eigen::Vector2d::UnitX();
  for (EdgeTie* edge : {&x, &y}) {
    edge->offset_sigma_mm = 0.1;
    edge->turn_sigma_rad = 0.002;
  }
  return {x, y};
}

TEST(Fuse, EdgesAloneTieAFace) {
  Motion rough = kPlace;
  rough.shift_mm += Eigen::Vector2d(8.0, -6.0);
  rough.turn = rough.turn + Angle::degrees(2.0);
  LooseFace loose = loose_of(rough, drawn(seen_from(kPlace, kHoles), "H", 0.03, 0.0, nullptr));
  loose.edges = both_edges(kPlace);
  const Result<FusedFace> fused = fuse({}, loose);
  ASSERT_TRUE(fused);
  ASSERT_EQ(fused->face.holes.size(), kHoles.size());
  // P1.. by x: the order of kHoles is 3, 1, 5, 2, 4. The rough place, 10 mm off within 10 mm, and the turn
  // off by 0.7 sigma, pull by their weights: 10 mm (0.1 / 10)^2 = 0.001 mm; 0.035 (0.002 / 0.05)^2 at 150 mm
  // = 0.004 mm.
  constexpr double kPullMm = 0.008;
  EXPECT_LT((fused->face.holes[0].centre_mm - kHoles[2]).norm(), kPullMm);
  EXPECT_LT((fused->face.holes[4].centre_mm - kHoles[3]).norm(), kPullMm);
  EXPECT_EQ(fused->face.holes[0].id, "P1");
  // Along y the face is tied at the long edge's middle (x = 90) with 0.1 mm and turned by the sum of both
  // edges' readings; the hole at x = 90 has the edge's offset and its own error alone, but for the datum
  // end's turn.
  const double sigma_y = std::sqrt(fused->face.holes[2].centre_cov_mm2(1, 1));
  EXPECT_NEAR(sigma_y, std::hypot(0.1, 0.03), 0.002);
}

/// Second method: one least-squares problem over holes and place by normal equations.
TEST(Fuse, IsTheJointLeastSquaresEstimate) {
  std::mt19937_64 rng(7);
  const MeasuredFace fixed = drawn(kHoles, "A", 0.2, 0.0003, &rng);
  LooseFace loose = loose_of(kPlace, drawn(seen_from(kPlace, kHoles), "H", 0.05, 0.0005, &rng));
  const Result<FusedFace> fused = fuse(fixed, loose);
  ASSERT_TRUE(fused);
  const Eigen::Index n = 10;
  Eigen::VectorXd x(n + 3);
  for (Eigen::Index i = 0; i < 5; ++i)
    x.segment<2>(2 * i) = fixed.holes[static_cast<std::size_t>(i)].centre_mm;
  x.tail<3>() << kPlace.shift_mm, kPlace.turn.radians();
  const Eigen::MatrixXd weight_a = fixed.covariance_mm2.inverse(),
                        weight_b = loose.measured.covariance_mm2.inverse();
  Eigen::MatrixXd normal;
  for (int round = 0; round < 10; ++round) {
    const Motion place{x.segment<2>(n), Angle::radians(x[n + 2]), false};
    const Eigen::Matrix2d back = place.linear().transpose();
    Eigen::MatrixXd slope = Eigen::MatrixXd::Zero(n, n + 3);
    Eigen::VectorXd misfit_b(n), misfit_a(n);
    for (Eigen::Index i = 0; i < 5; ++i) {
      const Eigen::Vector2d d = x.segment<2>(2 * i) - place.shift_mm, seen = back * d;
      slope.block<2, 2>(2 * i, 2 * i) = back;
      slope.block<2, 2>(2 * i, n) = -back;
      slope.block<2, 1>(2 * i, n + 2) = Eigen::Vector2d(seen.y(), -seen.x());
      misfit_b.segment<2>(2 * i) = loose.measured.holes[static_cast<std::size_t>(i)].centre_mm - seen;
      misfit_a.segment<2>(2 * i) = fixed.holes[static_cast<std::size_t>(i)].centre_mm - x.segment<2>(2 * i);
    }
    normal = slope.transpose() * weight_b * slope;
    normal.topLeftCorner(n, n) += weight_a;
    Eigen::VectorXd right = slope.transpose() * weight_b * misfit_b;
    right.head(n) += weight_a * misfit_a;
    Eigen::Vector3d prior;
    prior << (kPlace.shift_mm - place.shift_mm) / 100.0, (kPlace.turn.radians() - x[n + 2]) / 0.0025;
    normal.bottomRightCorner<3, 3>().diagonal() += Eigen::Vector3d(0.01, 0.01, 400.0);
    right.tail<3>() += prior;
    x += normal.ldlt().solve(right);
  }
  const Eigen::MatrixXd cov = normal.inverse();
  for (Eigen::Index i = 0; i < 5; ++i)
    EXPECT_LT((fused->face.holes[static_cast<std::size_t>(i)].centre_mm - x.segment<2>(2 * i)).norm(), 0.001);
  // The 0.01 mm that two instruments' centres may differ is not in the second method: 2 % of 0.05 mm.
  EXPECT_LT((fused->face.covariance_mm2 - cov.topLeftCorner(n, n)).cwiseAbs().maxCoeff(),
            0.05 * cov.topLeftCorner(n, n).diagonal().maxCoeff());
  EXPECT_LT(fused->face.covariance_mm2.trace(), fixed.covariance_mm2.trace());
}

TEST(Fuse, AMirroredFaceAndAHoleThatOneAloneSees) {
  const Motion other_side{{190.0, 20.0}, Angle::degrees(-170.0), true};
  std::vector<Eigen::Vector2d> more = kHoles;
  more.emplace_back(60.0, 15.0);
  LooseFace loose = loose_of(other_side, drawn(seen_from(other_side, more), "H", 0.05, 0.0, nullptr));
  loose.face_from_loose.shift_mm += Eigen::Vector2d(-7.0, 5.0);
  MeasuredFace fixed = drawn(kHoles, "P", 0.2, 0.0, nullptr);  // its own names begin with P
  const Result<FusedFace> fused = fuse(fixed, loose);
  ASSERT_TRUE(fused);
  ASSERT_EQ(fused->face.holes.size(), 6U);
  EXPECT_EQ(fused->face.holes[5].id, "P6");
  EXPECT_LT((fused->face.holes[5].centre_mm - more[5]).norm(), 1e-3);
  EXPECT_EQ(fused->same[5], (std::pair<HoleId, HoleId>("P6", "H6")));
}

/// An oval hole's long axis points from hole 3 to hole 4, and the loose frame states it by where these two
/// lie there. On the face it must point so again, whichever side was seen.
TEST(Fuse, TurnsTheAxisOfAnOvalHole) {
  std::vector<Eigen::Vector2d> more = kHoles;
  more.emplace_back(60.0, 15.0);
  for (const bool mirrored : {false, true}) {
    const Motion place{{190.0, 20.0}, Angle::degrees(-130.0), mirrored};
    const std::vector<Eigen::Vector2d> seen = seen_from(place, more);
    LooseFace loose = loose_of(place, drawn(seen, "H", 0.05, 0.0, nullptr));
    const Eigen::Vector2d along = seen[3] - seen[2];
    for (const std::size_t oval : {0U, 5U}) {
      loose.measured.holes[oval].ovality_mm = 1.5;
      loose.measured.holes[oval].ovality_axis_rad = std::atan2(along.y(), along.x());
    }
    MeasuredFace fixed = drawn(kHoles, "A", 0.2, 0.0, nullptr);
    fixed.holes[0].diameter_mm.reset();  // its size and oval come from the picture
    const Result<FusedFace> fused = fuse(fixed, loose);
    ASSERT_TRUE(fused);
    ASSERT_EQ(fused->face.holes.size(), 6U);
    const Eigen::Vector2d wanted = (kHoles[3] - kHoles[2]).normalized();
    for (const std::size_t oval : {0U, 5U}) {
      const MeasuredHole& hole = fused->face.holes[oval];
      EXPECT_EQ(hole.ovality_mm, 1.5);
      const Eigen::Vector2d axis(std::cos(hole.ovality_axis_rad), std::sin(hole.ovality_axis_rad));
      EXPECT_NEAR(std::abs(axis.dot(wanted)), 1.0, 1e-8) << hole.id << (mirrored ? " mirrored" : "");
    }
  }
}

TEST(Fuse, NamesTheHoleThatBothPutApart) {
  MeasuredFace fixed = drawn(kHoles, "A", 0.15, 0.0, nullptr);
  fixed.holes[3].centre_mm += Eigen::Vector2d(0.9, -0.8);  // 1.2 mm
  const Result<FusedFace> fused =
      fuse(fixed, loose_of(kPlace, drawn(seen_from(kPlace, kHoles), "H", 0.05, 0.0, nullptr)));
  ASSERT_TRUE(fused);
  ASSERT_EQ(fused->disputes.size(), 1U);
  EXPECT_EQ(fused->disputes[0].what, "A4");
  EXPECT_NEAR(fused->disputes[0].apart_mm, std::hypot(0.9, 0.8), 0.05);
  EXPECT_EQ(fused->face.find("A4"), nullptr);
  EXPECT_EQ(fused->face.holes.size(), 4U);
  EXPECT_FALSE(fused->scale_apart.has_value());
}

TEST(Fuse, ASlipOfACentimetreIsNoSecondHole) {
  MeasuredFace fixed = drawn(kHoles, "A", 0.15, 0.0, nullptr);
  fixed.holes[4].centre_mm.x() += 10.0;
  const Result<FusedFace> fused =
      fuse(fixed, loose_of(kPlace, drawn(seen_from(kPlace, kHoles), "H", 0.05, 0.0, nullptr)));
  ASSERT_TRUE(fused);
  ASSERT_EQ(fused->disputes.size(), 1U);
  EXPECT_NEAR(fused->disputes[0].apart_mm, 10.0, 0.1);
  EXPECT_EQ(fused->face.holes.size(), 4U);
}

TEST(Fuse, TellsAScaleFromSlips) {
  std::vector<Eigen::Vector2d> stretched = kHoles;
  for (Eigen::Vector2d& p : stretched) p *= 1.008;
  const Result<FusedFace> fused =
      fuse(drawn(stretched, "A", 0.1, 0.0, nullptr),
           loose_of(kPlace, drawn(seen_from(kPlace, kHoles), "H", 0.05, 0.0, nullptr)));
  ASSERT_TRUE(fused);
  ASSERT_TRUE(fused->scale_apart.has_value());
  EXPECT_NEAR(*fused->scale_apart, 0.008, 1e-4);
  EXPECT_TRUE(fused->disputes.empty());
  EXPECT_EQ(fused->face.holes.size(), 5U);
}

TEST(Fuse, SaysWhenNothingIsShared) {
  LooseFace loose = loose_of(kPlace, drawn(seen_from(kPlace, kHoles), "H", 0.05, 0.0, nullptr));
  loose.face_from_loose.shift_mm.x() += 200.0;
  const Result<FusedFace> fused = fuse(drawn(kHoles, "A", 0.2, 0.0, nullptr), loose);
  ASSERT_FALSE(fused);
  EXPECT_EQ(
      describe(fused.problems().front()),
      "E654 no hole of the readings is among the 5 seen, with the board where \"at\" says; look whether "
      "\"at\" is right: where the sheet's lower left corner lies on the face, and which way its x points");
}

TEST(Fuse, SaysWhenARowFitsTwice) {
  std::vector<Eigen::Vector2d> row;
  for (int i = 0; i < 5; ++i) row.emplace_back(30.0 + 40.0 * i, 30.0);
  std::vector<Eigen::Vector2d> part(row.begin() + 1, row.end() - 1);
  LooseFace loose = loose_of({}, drawn(part, "H", 0.05, 0.0, nullptr));
  loose.face_from_loose.shift_mm.x() = 20.0;  // halfway to the next hole
  const Result<FusedFace> fused = fuse(drawn(row, "A", 0.2, 0.0, nullptr), loose);
  ASSERT_FALSE(fused);
  EXPECT_EQ(
      describe(fused.problems().front()),
      "E652 the holes seen fit the holes read in more than one way, with the board where \"at\" says; state "
      "\"at\" more closely, with its \"sigma\" and \"turn_sigma_deg\"");
  loose.face_from_loose.shift_mm.x() = 2.0;
  EXPECT_TRUE(fuse(drawn(row, "A", 0.2, 0.0, nullptr), loose));
}

TEST(Fuse, SaysWhenTheTwoCannotAgree) {
  const std::vector<Eigen::Vector2d> two{kHoles[0], kHoles[3]};
  std::vector<Eigen::Vector2d> apart = two;
  apart[1] += Eigen::Vector2d(2.0, 1.3);  // along the line between them, which alone is seen twice
  const Result<FusedFace> fused =
      fuse(drawn(apart, "A", 0.05, 0.0, nullptr),
           loose_of(kPlace, drawn(seen_from(kPlace, two), "H", 0.05, 0.0, nullptr)));
  ASSERT_FALSE(fused);
  EXPECT_EQ(
      describe(fused.problems().front()),
      "E653 the two measurements of this face cannot be brought to agree: A1 and A2 come out 2.4 mm apart, "
      "and "
      "too little is left to say which is right; look which hole was misread, and whether the print was "
      "measured; measure one of the two again");
}

/// Truth drawn, both measured with the errors they claim: the fused face is honest by its whole covariance,
/// and sound holes are hardly ever disputed.
TEST(FuseStatistics, ClaimsWhatItKnows) {
  const int trials = test::trials(2000);
  double squares = 0.0;
  int disputes = 0, measured = 0, scales = 0;
  std::mt19937_64 rng(11);
  std::normal_distribution<double> normal;
  for (int k = 0; k < trials; ++k) {
    Motion place = kPlace;
    LooseFace loose = loose_of(kPlace, {});
    loose.shift_sigma_mm = 5.0;
    loose.turn_sigma_rad = 0.03;
    place.shift_mm += 5.0 * test::normal_pair(rng);
    place.turn = place.turn + Angle::radians(0.03 * normal(rng));
    loose.measured = drawn(seen_from(place, kHoles), "H", 0.05, 0.0005, &rng);
    loose.edges = both_edges(place);
    for (EdgeTie& edge : loose.edges) {
      const Eigen::Vector2d along = (edge.b_mm - edge.a_mm), left(-along.y(), along.x());
      const double offset = 0.1 * normal(rng), turn = 0.002 * normal(rng);
      edge.a_mm += left.normalized() * offset - 0.5 * turn * left;
      edge.b_mm += left.normalized() * offset + 0.5 * turn * left;
    }
    const Result<FusedFace> fused = fuse(drawn(kHoles, "A", 0.2, 0.0003, &rng), loose);
    ASSERT_TRUE(fused) << k;
    disputes += static_cast<int>(fused->disputes.size());
    scales += fused->scale_apart ? 1 : 0;
    if (!fused->disputes.empty() || fused->scale_apart) continue;
    Eigen::VectorXd error(10);
    for (Eigen::Index i = 0; i < 5; ++i)
      error.segment<2>(2 * i) =
          fused->face.holes[static_cast<std::size_t>(i)].centre_mm - kHoles[static_cast<std::size_t>(i)];
    squares += error.dot(fused->face.covariance_mm2.ldlt().solve(error)) / 10.0;
    ++measured;
  }
  if (!test::judge_frequencies()) return;
  // The mean of a chi-square of 10 over 10 has sigma sqrt(0.2); three and a half sigmas of the mean of all.
  EXPECT_NEAR(squares / measured, 1.0, 3.5 * std::sqrt(0.2 / measured));
  EXPECT_LT(disputes, 0.011 * trials);  // seven tests of 1 in 1000 each, and 3 sigmas of that
  EXPECT_LT(scales, 0.004 * trials);
}

}  // namespace
}  // namespace fairhole

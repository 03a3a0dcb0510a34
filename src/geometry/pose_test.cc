// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/pose.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>
#include <random>
#include <type_traits>

namespace fairhole {
namespace {

using Eigen::Vector2d;

constexpr double kRounding = 1e-11;  // coordinates below 5 m: double rounding is near 1e-12 mm

template <class A, class B, class = void>
struct Composes : std::false_type {};
template <class A, class B>
struct Composes<A, B, std::void_t<decltype(std::declval<A>() * std::declval<B>())>> : std::true_type {};
static_assert(Composes<PlateFromFace, FaceFromPattern>::value);
static_assert(!Composes<FaceFromPattern, PlateFromFace>::value);
static_assert(!Composes<PlateFromFace, PlateFromFace>::value);

Motion random_motion(std::mt19937_64& random) {
  std::uniform_real_distribution<double> mm(-3000.0, 3000.0);
  std::uniform_real_distribution<double> degrees(-360.0, 360.0);
  const double x_mm = mm(random);
  const double y_mm = mm(random);
  return {{x_mm, y_mm}, Angle::degrees(degrees(random)), random() % 2 == 0};
}

TEST(Motion, IsShiftPlusTurnTimesMirror) {
  const Motion turned{{10.0, 20.0}, Angle::degrees(90.0), false};
  EXPECT_NEAR((turned * Vector2d(3.0, 1.0) - Vector2d(9.0, 23.0)).norm(), 0.0, kRounding);
  // Mirrored: (3, 1) -> (3, -1), a quarter turn -> (1, 3), shifted.
  const Motion mirrored{{10.0, 20.0}, Angle::degrees(90.0), true};
  EXPECT_NEAR((mirrored * Vector2d(3.0, 1.0) - Vector2d(11.0, 23.0)).norm(), 0.0, kRounding);
}

TEST(Motion, RotationIsCounterClockwise) {
  EXPECT_NEAR((rotation(Angle::degrees(90.0)) * Vector2d::UnitX() - Vector2d::UnitY()).norm(), 0.0,
              kRounding);
}

TEST(Motion, MirrorChangesTheHand) {
  EXPECT_NEAR((Motion{{0.0, 0.0}, Angle::degrees(33.0), false}.linear().determinant()), 1.0, kRounding);
  EXPECT_NEAR((Motion{{0.0, 0.0}, Angle::degrees(33.0), true}.linear().determinant()), -1.0, kRounding);
}

TEST(Motion, ProductAppliesTheInnerFirst) {
  std::mt19937_64 random(7);
  for (int trial = 0; trial < 2000; ++trial) {
    const Motion outer = random_motion(random);
    const Motion inner = random_motion(random);
    const Vector2d p_mm = random_motion(random).shift_mm;
    ASSERT_NEAR(((outer * inner) * p_mm - outer * (inner * p_mm)).norm(), 0.0, kRounding);
  }
}

TEST(Motion, InverseLeadsBack) {
  std::mt19937_64 random(8);
  for (int trial = 0; trial < 2000; ++trial) {
    const Motion motion = random_motion(random);
    const Vector2d p_mm = random_motion(random).shift_mm;
    ASSERT_NEAR((motion.inverse() * (motion * p_mm) - p_mm).norm(), 0.0, kRounding);
    ASSERT_NEAR((motion * (motion.inverse() * p_mm) - p_mm).norm(), 0.0, kRounding);
    ASSERT_EQ(motion.inverse().mirrored, motion.mirrored);
  }
}

TEST(Pose, CarriesPointsThroughItsFrames) {
  const PlateFromFace plate_from_face{{{5.0, 0.0}, Angle::degrees(180.0), false}};
  const FaceFromPattern face_from_pattern{{{1.0, 2.0}, Angle(), true}};
  const auto plate_from_pattern = plate_from_face * face_from_pattern;
  static_assert(std::is_same_v<decltype(plate_from_pattern), const Pose<frame::Plate, frame::Pattern>>);
  // (2, 3) -> mirrored (2, -3) + (1, 2) = (3, -1) -> half turn (-3, 1) + (5, 0).
  EXPECT_NEAR((plate_from_pattern * Vector2d(2.0, 3.0) - Vector2d(2.0, 1.0)).norm(), 0.0, kRounding);
  EXPECT_NEAR((plate_from_pattern.inverse() * Vector2d(2.0, 1.0) - Vector2d(2.0, 3.0)).norm(), 0.0,
              kRounding);
}

}  // namespace
}  // namespace fairhole

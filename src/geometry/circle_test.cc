// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/circle.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "fairhole/geometry/pose.h"
#include "support/statistics.h"
#include "test_discs.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using Support = std::vector<int>;

constexpr double kRoundingMm = 1e-12;  // coordinates of a few mm
constexpr double kPromisedMm = 1e-9;   // the header's promise, to 1e4 mm

double clearance(const Circle& outer, const Circle& inner) {
  return outer.radius_mm - (outer.centre_mm - inner.centre_mm).norm() - inner.radius_mm;
}

TEST(SmallestEnclosing, OneDiscIsReturnedUnchanged) {
  const std::vector<Circle> discs = {{{3.7, -1.3}, 11.1}};
  const SupportedCircle circle = smallest_enclosing(discs);
  EXPECT_EQ(circle.circle.centre_mm, discs[0].centre_mm);
  EXPECT_EQ(circle.circle.radius_mm, 11.1);
  EXPECT_EQ(circle.support, Support{0});
}

TEST(SmallestEnclosing, ADiscThatHoldsTheOthersIsReturnedUnchanged) {
  const std::vector<Circle> discs = {{{1.0, 0.0}, 2.0}, {{0.5, 0.3}, 12.0}, {{0.0, 1.0}, 3.0}};
  const SupportedCircle circle = smallest_enclosing(discs);
  EXPECT_EQ(circle.circle.centre_mm, discs[1].centre_mm);
  EXPECT_EQ(circle.circle.radius_mm, 12.0);
  EXPECT_EQ(circle.support, Support{1});
}

TEST(SmallestEnclosing, TwoDiscs) {
  // From -3 to 8 along x: radius 5.5 about 2.5.
  const SupportedCircle circle =
      smallest_enclosing(std::vector<Circle>{{{0.0, 0.0}, 3.0}, {{6.0, 0.0}, 2.0}});
  EXPECT_NEAR(circle.circle.radius_mm, 5.5, kRoundingMm);
  EXPECT_NEAR((circle.circle.centre_mm - Vector2d(2.5, 0.0)).norm(), 0.0, kRoundingMm);
  EXPECT_EQ(circle.support, (Support{0, 1}));
}

TEST(SmallestEnclosing, ThreeEqualDiscsOnATriangle) {
  // Centres at distance 2 from the origin, 120 degrees apart: radius 2 + 1.
  const double h = std::sqrt(3.0);
  const SupportedCircle circle =
      smallest_enclosing(std::vector<Circle>{{{2.0, 0.0}, 1.0}, {{-1.0, h}, 1.0}, {{-1.0, -h}, 1.0}});
  EXPECT_NEAR(circle.circle.radius_mm, 3.0, kRoundingMm);
  EXPECT_NEAR(circle.circle.centre_mm.norm(), 0.0, kRoundingMm);
  EXPECT_EQ(circle.support, (Support{0, 1, 2}));
}

TEST(SmallestEnclosing, ThreePointsOfARightTriangleNeedTwo) {
  const SupportedCircle circle =
      smallest_enclosing(std::vector<Circle>{{{0.0, 0.0}, 0.0}, {{4.0, 0.0}, 0.0}, {{0.0, 3.0}, 0.0}});
  EXPECT_NEAR(circle.circle.radius_mm, 2.5, kRoundingMm);
  EXPECT_EQ(circle.support, (Support{1, 2}));
}

TEST(SmallestEnclosing, ThreeUnequalDiscsAlmostInLine) {
  // Built from its answer: each disc touches the circle of radius 12 about the origin from inside.
  const std::vector<Circle> discs = {{{-10.0, -1e-4}, 12.0 - std::hypot(10.0, 1e-4)},
                                     {{10.0, -1e-4}, 12.0 - std::hypot(10.0, 1e-4)},
                                     {{0.0, 1e-3}, 12.0 - 1e-3}};
  const SupportedCircle circle = smallest_enclosing(discs);
  EXPECT_NEAR(circle.circle.radius_mm, 12.0, kPromisedMm);
  EXPECT_NEAR(circle.circle.centre_mm.norm(), 0.0, kPromisedMm);
}

TEST(SmallestEnclosing, ConcentricDiscsAreHeldByTheLargest) {
  const SupportedCircle circle =
      smallest_enclosing(std::vector<Circle>{{{1.0, 2.0}, 3.0}, {{1.0, 2.0}, 5.0}, {{1.0, 2.0}, 4.0}});
  EXPECT_EQ(circle.circle.radius_mm, 5.0);
  EXPECT_EQ(circle.support, Support{1});
}

TEST(SmallestEnclosing, CoincidentDiscs) {
  const std::vector<Circle> discs(5, Circle{{1.0, 2.0}, 3.0});
  const SupportedCircle circle = smallest_enclosing(discs);
  EXPECT_EQ(circle.circle.radius_mm, 3.0);
  EXPECT_EQ(circle.support, Support{0});
}

TEST(LargestPassing, OneHolePassesItsOwnSize) {
  const SupportedCircle circle = largest_passing(std::vector<Circle>{{{3.0, 4.0}, 11.0}});
  EXPECT_EQ(circle.circle.radius_mm, 11.0);
  EXPECT_EQ(circle.circle.centre_mm, Vector2d(3.0, 4.0));
}

TEST(LargestPassing, TwoHolesPassTheirLens) {
  // The lens of two discs of radius 5, 4 apart, is 6 wide.
  const SupportedCircle circle = largest_passing(std::vector<Circle>{{{0.0, 0.0}, 5.0}, {{4.0, 0.0}, 5.0}});
  EXPECT_NEAR(circle.circle.radius_mm, 3.0, kRoundingMm);
  EXPECT_NEAR((circle.circle.centre_mm - Vector2d(2.0, 0.0)).norm(), 0.0, kRoundingMm);
  EXPECT_EQ(circle.support, (Support{0, 1}));
}

TEST(LargestPassing, ApartHolesPassNothingAndSayByHowMuch) {
  const SupportedCircle circle = largest_passing(std::vector<Circle>{{{0.0, 0.0}, 5.0}, {{14.0, 0.0}, 5.0}});
  EXPECT_NEAR(circle.circle.radius_mm, -2.0, kRoundingMm);
}

TEST(LargestPassing, TheSmallestHoleInsideTheOthersDecides) {
  const SupportedCircle circle =
      largest_passing(std::vector<Circle>{{{0.0, 0.0}, 20.0}, {{1.0, 0.5}, 9.0}, {{0.0, 1.0}, 15.0}});
  EXPECT_EQ(circle.circle.radius_mm, 9.0);
  EXPECT_EQ(circle.support, Support{1});
}

class AnyDiscs : public ::testing::TestWithParam<int> {
 protected:
  std::vector<Circle> next() { return test::random_discs(random_, kind(), 1 + set_++ % 13); }
  test::Kind kind() const { return static_cast<test::Kind>(GetParam()); }
  int sets() const { return test::trials(1000); }

 private:
  std::mt19937_64 random_{3000U + static_cast<unsigned>(GetParam())};
  int set_ = 0;
};

TEST_P(AnyDiscs, AreEnclosedAndPassed) {
  for (int set = 0; set < sets(); ++set) {
    SCOPED_TRACE(set);
    const std::vector<Circle> discs = next();
    const Circle enclosing = smallest_enclosing(discs).circle;
    const Circle passing = largest_passing(discs).circle;
    for (const Circle& disc : discs) {
      ASSERT_GE(clearance(enclosing, disc), -kPromisedMm);
      ASSERT_GE(disc.radius_mm - (disc.centre_mm - passing.centre_mm).norm() - passing.radius_mm,
                -kPromisedMm);
    }
  }
}

TEST_P(AnyDiscs, FollowAMotionAndAGrowthAndTheOrder) {
  const Motion motion{{-321.5, 77.25}, Angle::degrees(123.4), true};
  constexpr double kGrowthMm = 0.75;
  for (int set = 0; set < sets(); ++set) {
    SCOPED_TRACE(set);
    const std::vector<Circle> discs = next();
    std::vector<Circle> changed;
    for (const Circle& disc : discs) {
      changed.insert(changed.begin(), {motion * disc.centre_mm, disc.radius_mm + kGrowthMm});
    }
    ASSERT_NEAR(smallest_enclosing(changed).circle.radius_mm,
                smallest_enclosing(discs).circle.radius_mm + kGrowthMm, kPromisedMm);
    ASSERT_NEAR(largest_passing(changed).circle.radius_mm,
                largest_passing(discs).circle.radius_mm + kGrowthMm, kPromisedMm);
  }
}

/// Least value of a convex function on an interval by thirds.
template <class F>
double least(const F& f, double low, double high) {
  for (int i = 0; i < 80; ++i) {
    const double third = (high - low) / 3;
    if (f(low + third) < f(high - third)) {
      high -= third;
    } else {
      low += third;
    }
  }
  return f((low + high) / 2);
}

TEST(SmallestEnclosing, OfManyDiscsOnARing) {
  std::vector<Circle> ring;
  for (int k = 0; k < 500; ++k) {
    const double turn = 2.0 * std::numbers::pi * k / 500;
    ring.push_back({{40.0 + 10.0 * std::cos(turn), 10.0 * std::sin(turn)}, 1.0});
  }
  const Circle circle = smallest_enclosing(ring).circle;
  EXPECT_NEAR(circle.radius_mm, 11.0, kPromisedMm);
  EXPECT_NEAR((circle.centre_mm - Vector2d(40.0, 0.0)).norm(), 0.0, kPromisedMm);
}

TEST(SmallestEnclosing, AgreesWithASearchThatKnowsNoGeometry) {
  std::mt19937_64 random(44);
  for (int set = 0; set < test::trials(200); ++set) {
    SCOPED_TRACE(set);
    const std::vector<Circle> discs = test::random_discs(random, test::Kind::kStack, 2 + set % 11);
    const auto reach_mm = [&](double x_mm, double y_mm) {
      double most_mm = 0.0;
      for (const Circle& d : discs) {
        most_mm = std::max(most_mm, (d.centre_mm - Vector2d(x_mm, y_mm)).norm() + d.radius_mm);
      }
      return most_mm;
    };
    const double searched_mm = least(
        [&](double x_mm) { return least([&](double y_mm) { return reach_mm(x_mm, y_mm); }, 190.0, 210.0); },
        390.0, 410.0);
    ASSERT_NEAR(smallest_enclosing(discs).circle.radius_mm, searched_mm, kPromisedMm);
  }
}

TEST(LargestPassing, NoPointOfAGridIsDeeperInsideAllHoles) {
  std::mt19937_64 random(45);
  for (int set = 0; set < test::trials(100); ++set) {
    SCOPED_TRACE(set);
    const std::vector<Circle> discs = test::random_discs(random, test::Kind::kStack, 2 + set % 11);
    const Circle passing = largest_passing(discs).circle;
    double deepest_mm = -1e300;
    for (double x_mm = 392.0; x_mm < 408.0; x_mm += 0.1) {
      for (double y_mm = 192.0; y_mm < 208.0; y_mm += 0.1) {
        double depth_mm = 1e300;
        for (const Circle& d : discs) {
          depth_mm = std::min(depth_mm, d.radius_mm - (d.centre_mm - Vector2d(x_mm, y_mm)).norm());
        }
        deepest_mm = std::max(deepest_mm, depth_mm);
      }
    }
    constexpr double kGridMm =
        0.1;  // a depth changes no faster than 1:1, and no point is farther from the grid
    ASSERT_LE(deepest_mm, passing.radius_mm + kPromisedMm);
    ASSERT_GE(deepest_mm, passing.radius_mm - kGridMm);
  }
}

INSTANTIATE_TEST_SUITE_P(Kinds, AnyDiscs, ::testing::Range(0, test::kKinds));

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/joint_seats.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "test_seats.h"

namespace fairhole {
namespace {

using test::even_levels;
using test::even_play;
using test::frame_case;
using testing::ElementsAre;

constexpr double kValueMm = 1e-7;  // the search's own gap, well below what anyone can drill

std::vector<double> no_limits(const JointCase& joint) {
  return std::vector<double>(static_cast<std::size_t>(joint.stacks), 0.0);
}

/// A fixed part 0 and a part 1 of the given play, one stack a pair of centres.
JointCase two_parts(const SeatPlay& play, const std::vector<std::array<Eigen::Vector2d, 2>>& pairs,
                    double radius_mm) {
  JointCase joint{{SeatPlay{}, play}, 0, {}};
  for (const auto& pair : pairs) {
    joint.discs.push_back(disc_on_part(0, joint.stacks, pair[0], radius_mm, {0.0, 0.0}));
    joint.discs.push_back(disc_on_part(1, joint.stacks, pair[1], radius_mm, {0.0, 0.0}));
    ++joint.stacks;
  }
  return joint;
}

TEST(JointSeats, ShiftSplitsTheDifference) {
  // Off by +1 and by -2 along x: the best shift leaves 1.5 mm in both.
  const JointCase joint = two_parts(even_play(3, 0, 0), {{{{0, 0}, {1, 0}}}, {{{100, 0}, {98, 0}}}}, 5.0);
  const LeastWorst found = least_worst(joint, no_limits(joint));
  EXPECT_NEAR(found.value_mm, 11.5, kValueMm);
  EXPECT_NEAR(found.lower_mm, 11.5, kValueMm);
  EXPECT_NEAR(found.moves[1].dx_mm, 0.5, 1e-6);
}

TEST(JointSeats, TurnIsARealTurn) {
  // The pattern stands turned by 40 degrees about the pivot; only the true arc brings it back exactly.
  const double turn = 40.0 * M_PI / 180.0;
  std::vector<std::array<Eigen::Vector2d, 2>> pairs;
  for (const Eigen::Vector2d& at :
       {Eigen::Vector2d(100, 0), Eigen::Vector2d(-50, 30), Eigen::Vector2d(20, 80)}) {
    pairs.push_back({at,
                     {std::cos(turn) * at.x() - std::sin(turn) * at.y(),
                      std::sin(turn) * at.x() + std::cos(turn) * at.y()}});
  }
  const JointCase joint = two_parts(even_play(0, 0, 60), pairs, 5.0);
  const LeastWorst found = least_worst(joint, no_limits(joint));
  EXPECT_NEAR(found.value_mm, 10.0, 1e-6);
  EXPECT_NEAR(found.moves[1].turn_rad, -turn, 1e-8);
  EXPECT_GT(found.lower_mm, 10.0 - 1e-4);
}

TEST(JointSeats, OneSidedPlay) {
  const JointCase joint = two_parts({{0.5, 3.0}, {0, 0}, {0, 0}}, {{{{0, 0}, {2, 0}}}}, 5.0);
  const LeastWorst found = least_worst(joint, no_limits(joint));
  EXPECT_NEAR(found.value_mm, 12.5, kValueMm);
  EXPECT_NEAR(found.moves[1].dx_mm, 0.5, 1e-7);
}

// An angle: leg 1 on a plate, leg 2 on the beam's back. A shift along the heel moves both, across only leg 1;
// from behind, the beam sees the heel run the other way.
TEST(JointSeats, TwoLegsMoveTogether) {
  JointCase joint{{SeatPlay{}, even_play(5, 5, 0)}, 2, {}};
  Eigen::Matrix2d along_only;
  along_only << -1, 0, 0, 0;
  joint.discs.push_back(disc_on_part(0, 0, {0, 0}, 5, {0, 0}));
  joint.discs.push_back(disc_on_part(1, 0, {3, 4}, 5, {0, 0}));
  joint.discs.push_back(disc_on_part(0, 1, {0, 0}, 5, {0, 0}));
  joint.discs.push_back(disc_on_part(1, 1, {1, 0}, 5, {0, 0}, along_only));
  // Leg 1 is off by 3 + dx along and 4 + dy across, leg 2 by 1 - dx: best at dx -1, where both are 2 off.
  const LeastWorst found = least_worst(joint, no_limits(joint));
  EXPECT_NEAR(found.value_mm, 12.0, kValueMm);
  EXPECT_NEAR(found.moves[1].dx_mm, -1.0, 1e-6);
}

TEST(JointSeats, StackWithoutLimitIsLeftOut) {
  const JointCase joint = two_parts(even_play(3, 0, 0), {{{{0, 0}, {1, 0}}}, {{{100, 0}, {98, 0}}}}, 5.0);
  const std::vector<double> first{0.0, kNoLimit};
  EXPECT_NEAR(least_worst(joint, first).value_mm, 10.0, kValueMm);
  const std::vector<double> none{kNoLimit, kNoLimit};
  EXPECT_EQ(least_worst(joint, none).value_mm, -kNoLimit);
}

TEST(JointSeats, LevelsByHand) {
  // As above: 11.5 for both, or 10 for one and 13 for the other.
  const JointCase joint = two_parts(even_play(3, 0, 0), {{{{0, 0}, {1, 0}}}, {{{100, 0}, {98, 0}}}}, 5.0);
  const LevelChoice plug = cheapest_levels(joint, even_levels(2, {11.4}, {0, 1}));
  EXPECT_EQ(plug.cost, 1.0);
  EXPECT_TRUE(plug.proven);
  const LevelChoice both = cheapest_levels(joint, even_levels(2, {11.4, 11.6}, {0, 3, 100}));
  EXPECT_EQ(both.cost, 3.0);  // one at 11.4, the other then comes to 11.6
  EXPECT_TRUE(both.proven);
  EXPECT_NEAR(both.margin_mm, 0.0, 1e-6);
  const LevelChoice three = cheapest_levels(joint, even_levels(2, {11.4, 11.55}, {0, 3, 100}));
  EXPECT_EQ(three.cost, 6.0);
  EXPECT_NEAR(three.margin_mm, 0.05, 1e-4);
  EXPECT_THAT(three.level, ElementsAre(1, 1));
}

TEST(JointSeats, HoldsToAMillionth) {
  // Clean-up 11.5 exactly: a limit of 11.5 less half a millionth holds, less two millionths does not.
  const JointCase joint = two_parts(even_play(3, 0, 0), {{{{0, 0}, {1, 0}}}, {{{100, 0}, {98, 0}}}}, 5.0);
  EXPECT_EQ(cheapest_levels(joint, even_levels(2, {11.5 - 0.5e-6}, {0, 1})).cost, 0.0);
  const LevelChoice over = cheapest_levels(joint, even_levels(2, {11.5 - 2e-6}, {0, 1}));
  EXPECT_EQ(over.cost, 1.0);
  EXPECT_TRUE(over.proven);
}

TEST(JointSeats, SmallestWorstMisfitAmongSeatsThatHold) {
  // A single pair under a generous limit: nothing forces the shift, yet the centres come together.
  const JointCase joint = two_parts(even_play(3, 3, 0), {{{{0, 0}, {1, 1}}}}, 5.0);
  const LevelChoice found = cheapest_levels(joint, even_levels(1, {14.0}, {0, 1}));
  EXPECT_LT(found.worst_misfit_mm, 1e-6);
  EXPECT_NEAR(found.moves[1].dx_mm, -1.0, 1e-5);
}

/// The same case seen otherwise.
JointCase seen(const JointCase& joint, const Eigen::Matrix2d& linear, const Eigen::Vector2d& shift) {
  JointCase out = joint;
  for (SeatDisc& disc : out.discs) {
    disc.centre_mm = linear * disc.centre_mm + shift;
    for (SeatFollow& follow : disc.follows) {
      follow.by_shift = linear * follow.by_shift;
      follow.by_sine_mm = linear * follow.by_sine_mm;
      follow.by_versine_mm = linear * follow.by_versine_mm;
    }
  }
  return out;
}

JointCase in_other_units(const JointCase& joint, double factor) {
  JointCase out = seen(joint, factor * Eigen::Matrix2d::Identity(), {0, 0});
  for (SeatDisc& disc : out.discs) {
    for (SeatFollow& follow : disc.follows) follow.by_shift /= factor;
    disc.radius_mm *= factor;
  }
  for (SeatPlay& play : out.parts) {
    for (SeatRange* range : {&play.dx_mm, &play.dy_mm}) range->least *= factor, range->most *= factor;
  }
  return out;
}

JointCase reordered(const JointCase& joint, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<int> part(joint.parts.size());
  std::vector<int> stack(static_cast<std::size_t>(joint.stacks));
  std::iota(part.begin(), part.end(), 0);
  std::iota(stack.begin(), stack.end(), 0);
  std::shuffle(part.begin(), part.end(), random);
  std::shuffle(stack.begin(), stack.end(), random);
  JointCase out = joint;
  for (std::size_t p = 0; p < part.size(); ++p) out.parts[static_cast<std::size_t>(part[p])] = joint.parts[p];
  for (SeatDisc& disc : out.discs) {
    for (SeatFollow& follow : disc.follows) follow.part = part[static_cast<std::size_t>(follow.part)];
    disc.stack = stack[static_cast<std::size_t>(disc.stack)];
  }
  std::shuffle(out.discs.begin(), out.discs.end(), random);
  return out;
}

class SameCase : public testing::TestWithParam<std::uint64_t> {};
INSTANTIATE_TEST_SUITE_P(Seeds, SameCase, testing::Range<std::uint64_t>(1, 7));

TEST_P(SameCase, AnswersAlikeHoweverItIsWritten) {
  const int stacks = 14;
  const JointCase joint = frame_case(GetParam(), stacks);
  const double value = least_worst(joint, no_limits(joint)).value_mm;
  const auto levels = even_levels(stacks, {11.0, 11.5}, {0, 3, 100});
  const LevelChoice choice = cheapest_levels(joint, levels);
  ASSERT_TRUE(choice.proven);
  constexpr double kAlike = 1e-9;  // of the value
  const auto same = [&](const JointCase& other, double unit) {
    EXPECT_NEAR(least_worst(other, no_limits(other)).value_mm / unit, value, kAlike * value);
    auto scaled = levels;
    for (StackLevels& stack : scaled) {
      for (double& limit : stack.limit_diameter_mm) limit *= unit;
    }
    const LevelChoice again = cheapest_levels(other, scaled);
    EXPECT_NEAR(again.cost, choice.cost, kAlike * choice.cost);
    EXPECT_TRUE(again.proven);
  };
  const double turn = 0.6;
  Eigen::Matrix2d turned, mirror;
  turned << std::cos(turn), -std::sin(turn), std::sin(turn), std::cos(turn);
  mirror << 1, 0, 0, -1;
  same(reordered(joint, GetParam()), 1.0);
  same(seen(joint, turned, {1234.5, -987.0}), 1.0);
  same(seen(joint, mirror, {0.0, 300.0}), 1.0);
  same(in_other_units(joint, 1.0 / 25.4), 1.0 / 25.4);
}

TEST(JointSeats, PartsFreeOfOneAnotherAreSolvedApart) {
  // Two copies of one case side by side, the second 5 m off: twice the cost, the same value, moves as for
  // one.
  const JointCase one = frame_case(3, 12);
  JointCase both = one;
  for (const SeatPlay& play : one.parts) both.parts.push_back(play);
  both.stacks *= 2;
  for (SeatDisc disc : one.discs) {
    for (SeatFollow& follow : disc.follows) follow.part += static_cast<int>(one.parts.size());
    disc.stack += one.stacks;
    disc.centre_mm.x() += 5000.0;
    both.discs.push_back(disc);
  }
  EXPECT_NEAR(least_worst(both, no_limits(both)).value_mm, least_worst(one, no_limits(one)).value_mm, 1e-8);
  const LevelChoice single = cheapest_levels(one, even_levels(12, {11.0}, {0, 1}));
  const LevelChoice pair = cheapest_levels(both, even_levels(24, {11.0}, {0, 1}));
  EXPECT_GT(single.cost, 0.0);
  EXPECT_EQ(pair.cost, 2.0 * single.cost);
  EXPECT_EQ(pair.bound, 2.0 * single.bound);
}

TEST(JointSeats, LittleWorkAllowedIsNeverCalledProof) {
  // One solve is not enough to prove anything here; what is said must still be true of the full answer.
  const JointCase joint = frame_case(2, 40);
  const auto levels = even_levels(40, {10.8, 11.2, 11.6}, {0, 3, 6, 100});
  const LevelChoice full = cheapest_levels(joint, levels);
  ASSERT_TRUE(full.proven);
  for (const int nodes : {1, 8, 60}) {
    SeatEffort effort;
    effort.level_nodes = nodes;
    const LevelChoice quick = cheapest_levels(joint, levels, effort);
    EXPECT_GE(quick.cost, full.cost);
    EXPECT_LE(quick.bound, full.cost);
    EXPECT_EQ(quick.proven, quick.bound >= quick.cost);
  }
}

}  // namespace
}  // namespace fairhole

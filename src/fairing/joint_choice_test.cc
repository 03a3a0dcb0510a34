// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/joint_choice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "test_choices.h"

namespace fairhole {
namespace {

using test::even_play;
using testing::ElementsAre;

/// A fixed part 0 and a part 1 that slides along x; stacks of a hole in each, `apart_mm` from each other.
ChoiceCase sliding(double play_mm, const std::vector<double>& apart_mm) {
  ChoiceCase out;
  out.joint = {{SeatPlay{}, even_play(play_mm, 0, 0)}, 0, {}};
  for (const double apart : apart_mm) {
    const double x = 100.0 * out.joint.stacks;
    out.joint.discs.push_back(disc_on_part(0, out.joint.stacks, {x, 0}, 5.0, {0, 0}));
    out.joint.discs.push_back(disc_on_part(1, out.joint.stacks, {x + apart, 0}, 5.0, {0, 0}));
    ++out.joint.stacks;
  }
  return out;
}

StackOption even(double cost, double room_mm, int size = -1) { return {cost, {room_mm, room_mm}, size}; }

TEST(JointChoice, OptionsByHand) {
  // Off by 1 and by -2: three apart, so the rooms of both must come to 1.5.
  ChoiceCase both = sliding(3.0, {1.0, -2.0});
  both.stacks.assign(2, {-1, {even(0, 0.7), even(3, 0.82), even(100, kNoLimit)}});
  const ChoiceFound found = cheapest_choice(both);
  EXPECT_EQ(found.cost, 3.0);  // 0.7 and 0.82
  EXPECT_TRUE(found.proven);
}

TEST(JointChoice, OneHoleLetGo) {
  // The moving hole of stack 1 plugged for 4: its other hole asks nothing, and stack 0 is held at once.
  ChoiceCase two = sliding(3.0, {1.0, -2.0});
  two.stacks = {{-1, {even(0, 0.01), even(9, 5)}},
                {-1, {even(0, 0.7), {4, {0.7, kNoLimit}, -1}, even(9, 5)}}};
  const ChoiceFound found = cheapest_choice(two);
  EXPECT_THAT(found.option, ElementsAre(0, 1));
  EXPECT_EQ(found.cost, 4.0);
  EXPECT_NEAR(found.moves[1].dx_mm, -1.0, 0.03);
}

TEST(JointChoice, UsualSizeIsChosenToo) {
  // Fixed stacks: two must take size 1. Odd at 10 each it is cheaper that the third takes it too, for 3.
  ChoiceCase three = sliding(0.0, {1.0, 1.0, 0.0});
  three.group_sizes = {2};
  three.odd_cost = 10.0;
  three.stacks.assign(3, {0, {even(0, 0.2, 0), even(3, 0.6, 1)}});
  const ChoiceFound found = cheapest_choice(three);
  EXPECT_EQ(found.cost, 9.0);
  EXPECT_THAT(found.usual, ElementsAre(1));
  EXPECT_THAT(found.option, ElementsAre(1, 1, 1));
  EXPECT_TRUE(found.proven);
  three.odd_cost = 1.0;  // now the third may be odd
  EXPECT_EQ(cheapest_choice(three).cost, 7.0);
}

TEST(JointChoice, PiecesThatShareAGroupAgreeOnItsSize) {
  // Two parts that do not feel each other; alone each would choose its own usual size.
  ChoiceCase both = sliding(0.0, {1.0, 0.0});
  both.joint.parts.push_back(even_play(1.0, 0, 0));
  both.joint.parts.push_back(even_play(1.0, 0, 0));
  both.joint.discs[1].follows = {{1, Eigen::Matrix2d::Identity(), {0, 0}, {0, 0}}};
  both.joint.parts[1] = {};
  both.joint.discs[3].follows[0].part = 2;
  both.group_sizes = {2};
  both.odd_cost = 2.0;
  both.stacks = {{0, {even(5, 0.6, 1)}}, {0, {even(0, 0.2, 0), even(3, 0.6, 1)}}};
  const ChoiceFound found = cheapest_choice(both);
  EXPECT_EQ(found.cost, 7.0);  // 5 + 0 and one of them odd
  EXPECT_TRUE(found.proven);
  both.odd_cost = 4.0;
  EXPECT_EQ(cheapest_choice(both).cost, 8.0);  // 5 + 3, both of size 1
}

TEST(JointChoice, NamesTheStacksThatConflict) {
  // Stacks 0 and 2 need shifts of -1 and +1; stack 1 and 3 are content anywhere.
  ChoiceCase four = sliding(3.0, {1.0, 0.0, -1.0, 0.0});
  four.stacks = {
      {-1, {even(0, 0.3), even(1, 0.4)}}, {-1, {even(0, 9)}}, {-1, {even(0, 0.3)}}, {-1, {even(0, 9)}}};
  const ChoiceFound found = cheapest_choice(four);
  EXPECT_TRUE(found.option.empty());
  EXPECT_EQ(found.bound, kNoLimit);
  EXPECT_THAT(found.conflict, ElementsAre(0, 2));
}

TEST(JointChoice, PartsOfWhichNothingIsAskedStayAtRest) {
  ChoiceCase idle = sliding(3.0, {1.0});
  idle.stacks = {{-1, {even(0, kNoLimit)}}};
  idle.joint.parts[1].dy_mm = {-1, 1};
  idle.rest = {{}, {0.7, -0.25, 0.0}};
  const ChoiceFound found = cheapest_choice(idle);
  EXPECT_EQ(found.moves[1].dx_mm, 0.7);
  EXPECT_EQ(found.moves[1].dy_mm, -0.25);
}

TEST(JointChoice, NearestToRestAmongEqualMisfits) {
  // Stack 1 cannot come closer than 2 mm (1 mm misfit); stack 0 may then be up to 2 mm off, and part 1 stays
  // as near to rest as that allows.
  ChoiceCase two = sliding(9.0, {0.0});
  two.joint.discs.push_back(disc_on_part(0, 1, {100, 0}, 5, {0, 0}));
  two.joint.discs.push_back(disc_on_part(0, 1, {102, 0}, 5, {0, 0}));
  two.joint.stacks = 2;
  two.stacks = {{-1, {even(0, 3)}}, {-1, {even(0, 3)}}};
  two.joint.parts[0] = even_play(1e-3, 0, 0);  // so that the stacks hang together
  two.rest = {{}, {5.0, 0.0, 0.0}};
  const ChoiceFound found = cheapest_choice(two);
  EXPECT_NEAR(found.worst_misfit_mm, 1.0, 1e-6);
  EXPECT_NEAR(found.moves[1].dx_mm, 2.0, 2e-3);
}

TEST(JointChoice, FirstAnswerIsTakenUp) {
  const ChoiceCase choice_case = test::frame_choice(3, 40);
  const ChoiceFound full = cheapest_choice(choice_case);
  ASSERT_TRUE(full.proven);
  SeatEffort little;
  little.level_nodes = 1;
  EXPECT_GT(cheapest_choice(choice_case, little).cost, full.cost);
  EXPECT_NEAR(cheapest_choice(choice_case, little, &full).cost, full.cost, 1e-9);
  const ChoiceFound again = cheapest_choice(choice_case, {}, &full);
  EXPECT_TRUE(again.proven);
  EXPECT_LE(again.sets_solved, full.sets_solved);
}

/// A half plane of centres, n.z <= reach about (0, 0) when unmoved, as a disc of huge radius on part 1.
SeatDisc edge(int stack, const Eigen::Vector2d& n, double reach_mm, double far_mm) {
  SeatDisc out = disc_on_part(1, stack, n * (reach_mm - far_mm), 0.0, {0, 0});
  out.counts_for_misfit = false;
  return out;
}

TEST(JointChoice, StraightEdgesAsHugeDiscs) {
  // A hole at the origin of a fixed part; an edge of part 1, square to n, keeps the stack's centre 1 mm away.
  // Part 1 may slide by 0.25 along x, so the hole needs a room of 1 - 0.25 |n.x|.
  for (const double angle : {0.0, 0.4, 1.3, 2.5}) {
    const Eigen::Vector2d n(std::cos(angle), std::sin(angle));
    const double exact = 1.0 - 0.25 * std::abs(n.x());
    for (const bool enough : {true, false}) {
      ChoiceCase one = sliding(0.25, {});
      one.joint.stacks = 1;
      one.joint.discs = {disc_on_part(0, 0, {0, 0}, 5, {0, 0}), edge(0, n, -1.0, 1e4)};
      one.stacks = {{-1, {{0, {exact + (enough ? 1e-5 : -1e-5), 1e4}, -1}, {1, {kNoLimit, kNoLimit}, -1}}}};
      const ChoiceFound found = cheapest_choice(one);
      EXPECT_EQ(found.cost, enough ? 0.0 : 1.0) << angle;
      EXPECT_TRUE(found.proven);
    }
  }
}

TEST(JointChoice, DegenerateCases) {
  ChoiceCase none = sliding(1.0, {});
  EXPECT_EQ(cheapest_choice(none).cost, 0.0);
  ChoiceCase empty = sliding(1.0, {});
  empty.joint.stacks = 1;
  empty.stacks = {{-1, {{2.0, {}, -1}, {1.0, {}, -1}}}};
  EXPECT_EQ(cheapest_choice(empty).cost, 1.0);  // a stack without discs
  ChoiceCase touching = sliding(0.0, {0.0, 0.0});
  touching.stacks.assign(2, {-1, {even(0, 0.0), even(1, 1.0)}});
  const ChoiceFound found = cheapest_choice(touching);
  EXPECT_EQ(found.cost, 0.0);  // no room at all is enough for holes in one place
  EXPECT_TRUE(found.proven);
  ChoiceCase tight = sliding(0.0, {0.0});
  tight.stacks = {{-1, {even(0, -0.1)}}};
  EXPECT_TRUE(cheapest_choice(tight).option.empty());  // less than none is not
  ChoiceCase one_disc = sliding(1.0, {0.0});
  one_disc.joint.discs.pop_back();
  one_disc.stacks = {{-1, {{0, {0.0}, -1}}}};
  EXPECT_EQ(cheapest_choice(one_disc).cost, 0.0);
  ChoiceCase wide = sliding(1.0, {0.5, 0.2});
  wide.stacks.assign(2, {-1, {even(0, 1e6), even(0, 1e-9)}});
  EXPECT_EQ(cheapest_choice(wide).cost, 0.0);
}

TEST(JointChoice, LittleWorkAllowedIsNeverCalledProof) {
  const ChoiceCase choice_case = test::frame_choice(3, 40);
  const ChoiceFound full = cheapest_choice(choice_case);
  ASSERT_TRUE(full.proven);
  for (const int nodes : {1, 20, 150}) {
    SeatEffort effort;
    effort.level_nodes = nodes;
    const ChoiceFound quick = cheapest_choice(choice_case, effort);
    EXPECT_GE(quick.cost, full.cost - 1e-9);
    EXPECT_LE(quick.bound, full.cost + 1e-9);
    EXPECT_EQ(quick.proven, quick.bound >= quick.cost);
  }
}

/// Stacks, parts and options written in another order.
ChoiceCase reordered(const ChoiceCase& from) {
  ChoiceCase out = from;
  std::reverse(out.stacks.begin(), out.stacks.end());
  std::reverse(out.joint.parts.begin(), out.joint.parts.end());
  for (StackOptions& stack : out.stacks) std::reverse(stack.options.begin(), stack.options.end());
  for (SeatDisc& disc : out.joint.discs) {
    disc.stack = out.joint.stacks - 1 - disc.stack;
    for (SeatFollow& follow : disc.follows)
      follow.part = static_cast<int>(out.joint.parts.size()) - 1 - follow.part;
  }
  return out;
}

/// Seen from a datum that is turned and far away.
ChoiceCase moved(const ChoiceCase& from) {
  ChoiceCase out = from;
  Eigen::Matrix2d turned;
  turned << std::cos(0.6), -std::sin(0.6), std::sin(0.6), std::cos(0.6);
  for (SeatDisc& disc : out.joint.discs) {
    disc.centre_mm = turned * disc.centre_mm + Eigen::Vector2d(1234.5, -987.0);
    for (SeatFollow& follow : disc.follows) {
      follow.by_shift = turned * follow.by_shift;
      follow.by_sine_mm = turned * follow.by_sine_mm;
      follow.by_versine_mm = turned * follow.by_versine_mm;
    }
  }
  return out;
}

TEST(JointChoice, AnswersAlikeHoweverItIsWritten) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    const ChoiceCase choice_case = test::frame_choice(seed, 20);
    const ChoiceFound found = cheapest_choice(choice_case);
    ASSERT_TRUE(found.proven);
    for (const ChoiceCase& other : {reordered(choice_case), moved(choice_case)}) {
      const ChoiceFound again = cheapest_choice(other);
      EXPECT_TRUE(again.proven);
      EXPECT_NEAR(again.cost, found.cost, 1e-9 * found.cost);
      EXPECT_NEAR(again.worst_misfit_mm, found.worst_misfit_mm, 1e-4);
    }
  }
}

}  // namespace
}  // namespace fairhole

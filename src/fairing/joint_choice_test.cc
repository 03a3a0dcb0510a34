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

}  // namespace
}  // namespace fairhole

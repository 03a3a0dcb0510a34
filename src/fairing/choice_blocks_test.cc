// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "choice_block_tree.h"
#include "choice_task.h"
#include "support/statistics.h"
#include "test_choices.h"

// Partitions by hand; blocks against trying every choice, and against the search that knows no blocks.
namespace fairhole::detail {
namespace {

using test::even_play;
using test::uniform;
using testing::ElementsAre;
using testing::IsEmpty;
using Blocks = std::vector<std::vector<int>>;

std::vector<int> all_stacks(const ChoiceCase& choice_case) {
  std::vector<int> out(choice_case.stacks.size());
  std::iota(out.begin(), out.end(), 0);
  return out;
}

/// `count` stacks through the given parts, from number `joint.stacks` on.
void add_stacks(JointCase& joint, int count, const std::vector<int>& parts) {
  for (int i = 0; i < count; ++i) {
    for (const int part : parts)
      joint.discs.push_back(disc_on_part(part, joint.stacks, {10.0 * joint.stacks, 0}, 5, {0, 0}));
    ++joint.stacks;
  }
}

Blocks blocks_of_all(const JointCase& joint) {
  std::vector<int> stacks(static_cast<std::size_t>(joint.stacks));
  std::iota(stacks.begin(), stacks.end(), 0);
  return blocks_of(joint, stacks);
}

std::vector<std::size_t> sizes(const Blocks& blocks) {
  std::vector<std::size_t> out;
  for (const std::vector<int>& block : blocks) out.push_back(block.size());
  std::sort(out.begin(), out.end());
  return out;
}

const SeatPlay kLoose = even_play(1, 1, 0.1);

TEST(ChoiceBlocks, AChainIsSplitAtItsLinks) {
  // Ground - 1 - 2 - 3; part 4 lies between ground and 1 as well, so those three are one block.
  JointCase joint{{SeatPlay{}, kLoose, kLoose, kLoose, kLoose}, 0, {}};
  add_stacks(joint, 10, {0, 1});
  add_stacks(joint, 10, {1, 2});
  add_stacks(joint, 10, {0, 4, 1});
  add_stacks(joint, 10, {2, 3});
  const Blocks blocks = blocks_of_all(joint);
  EXPECT_THAT(sizes(blocks), ElementsAre(10, 10, 20));
  for (const std::vector<int>& block : blocks) {
    const int from = block.front();
    if (block.size() == 20) {
      EXPECT_EQ(block[9] + 11, block[10]);  // 0-9 and 20-29
    } else {
      EXPECT_TRUE(from == 10 || from == 30);
    }
  }
}

TEST(ChoiceBlocks, PartsOnOnePlateAreBlocksEach) {
  JointCase joint{{SeatPlay{}, kLoose, kLoose, kLoose}, 0, {}};
  for (const int part : {1, 2, 3}) add_stacks(joint, 10, {0, part});
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(10, 10, 10));
  joint.parts[0] = kLoose;  // the same if the plate moves too
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(10, 10, 10));
}

TEST(ChoiceBlocks, ASmallSideStaysWithAnother) {
  JointCase joint{{SeatPlay{}, kLoose, kLoose, kLoose}, 0, {}};
  add_stacks(joint, 3, {0, 1});
  add_stacks(joint, 20, {0, 2});
  add_stacks(joint, 12, {0, 3});
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(15, 20));
}

TEST(ChoiceBlocks, ALoopIsOneBlockUnlessLarge) {
  JointCase joint{{SeatPlay{}, kLoose, kLoose, kLoose}, 0, {}};
  for (int p = 0; p < 4; ++p) add_stacks(joint, 15, {p, (p + 1) % 4});
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(60));
  for (int p = 0; p < 4; ++p) add_stacks(joint, 15, {p, (p + 1) % 4});
  // Opened at two parts it is two chains of two links.
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(30, 30, 30, 30));
  EXPECT_THAT(blocks_of(joint, {}), IsEmpty());
}

TEST(ChoiceBlocks, WhatTwoPartsHoldTogetherIsSplitIntoFew) {
  // Angles 2 to 5 each between the ground and the beam, part 1: pairs of them, since larger blocks bound
  // better.
  JointCase joint{{SeatPlay{}, kLoose, kLoose, kLoose, kLoose, kLoose}, 0, {}};
  for (const int angle : {2, 3, 4, 5}) add_stacks(joint, 30, {0, angle, 1});
  EXPECT_THAT(sizes(blocks_of_all(joint)), ElementsAre(60, 60));
}

/// Random blocks of one stack or more.
Blocks random_blocks(std::mt19937_64& random, const std::vector<int>& stacks) {
  Blocks out(2 + random() % 2);
  for (const int s : stacks) out[random() % out.size()].push_back(s);
  std::erase_if(out, [](const std::vector<int>& block) { return block.empty(); });
  return out;
}

struct BlockedCase {
  StackTask whole;
  std::vector<ChoiceBlock> blocks;
};

BlockedCase in_blocks(const ChoiceCase& choice_case, const Blocks& partition) {
  BlockedCase out{task_of(choice_case, all_stacks(choice_case), {}, nullptr), {}};
  for (const std::vector<int>& block : partition)
    out.blocks.push_back(block_of(out.whole, task_of(choice_case, block, {}, nullptr)));
  return out;
}

ChoiceSearchResult search_in_blocks(const ChoiceCase& choice_case, const Blocks& partition) {
  const BlockedCase both = in_blocks(choice_case, partition);
  return search_blocks(both.whole.task, both.blocks);
}

/// What the tree says without a record to begin with, and the cost of what it met itself.
std::pair<double, double> tree_alone(const ChoiceCase& choice_case, const Blocks& partition) {
  const BlockedCase both = in_blocks(choice_case, partition);
  BlockTree tree(both.whole.task, both.blocks);
  tree.solve_blocks();
  const double bound = tree.explore();
  return {bound, tree.whole().oracle().record().choice.cost};
}

double sum_of_bounds(const ChoiceCase& choice_case, const Blocks& partition) {
  double sum = 0.0;
  for (const std::vector<int>& block : partition) {
    const StackTask own = task_of(choice_case, block, {}, nullptr);
    sum += ChoiceSearch(own.task).run().bound;
  }
  return sum;
}

/// The least cost of all choices that hold, each judged by the largest clean-up circle's search alone.
double least_of_all(const ChoiceCase& choice_case) {
  std::vector<int> option(choice_case.stacks.size(), 0), counts;
  for (const StackOptions& stack : choice_case.stacks)
    counts.push_back(static_cast<int>(stack.options.size()));
  double least = kNoLimit;
  do {
    const double cost = test::least_cost(choice_case, option);
    if (cost >= least) continue;
    const JointCase joint = test::seats_problem(choice_case, option);
    const std::vector<double> limits(static_cast<std::size_t>(joint.stacks), 2.0 * test::kWideMm);
    if (least_worst(joint, limits).value_mm <= kHoldsWithinMm) least = cost;
  } while (test::next_of(option, counts));
  return least;
}

TEST(ChoiceBlocksStatistics, AnyPartitionBoundsAndFindsTheLeastOfAll) {
  std::mt19937_64 random(21);
  int apart = 0, equal = 0, impossible = 0;
  const int jobs = test::trials(100);
  for (int job = 0; job < jobs; ++job) {
    const ChoiceCase choice_case = test::small_choice(5000 + static_cast<std::uint64_t>(job));
    const Blocks partition = random_blocks(random, all_stacks(choice_case));
    const double least = least_of_all(choice_case);
    const double bound = sum_of_bounds(choice_case, partition);
    const ChoiceSearchResult found = search_in_blocks(choice_case, partition);
    if (least == kNoLimit) {
      ++impossible;
      EXPECT_EQ(found.bound, kNoLimit) << job;
      continue;
    }
    EXPECT_LE(bound, least + 1e-9) << job;
    bound < least - 1e-9 ? ++apart : ++equal;
    EXPECT_NEAR(found.best.cost, least, 1e-9) << job;
    EXPECT_NEAR(found.bound, least, 1e-9) << job;
    const auto [floor, met] = tree_alone(choice_case, partition);
    EXPECT_NEAR(floor, least, 1e-9) << job;
    EXPECT_NEAR(met, least, 1e-9) << job;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(apart, jobs / 4);  // what the blocks choose cannot be had together
  EXPECT_GT(equal, jobs / 10);
  EXPECT_GT(impossible, 0);
}

TEST(ChoiceBlocks, EachHasItsOwnCopyOfAPart) {
  // Part 1 slides by 3. Stack 0 is 1 mm off and likes a slide of -1 best, though anything from -2.4 to 0.4
  // costs it nothing; stack 1 asks for 0 to 2.8. Seats left by one block are not the other's.
  ChoiceCase both;
  both.joint = {{SeatPlay{}, even_play(3, 0, 0)}, 2, {}};
  for (const double apart : {1.0, -1.4}) {
    const int stack = apart > 0 ? 0 : 1;
    both.joint.discs.push_back(disc_on_part(0, stack, {0, 0}, 5, {0, 0}));
    both.joint.discs.push_back(disc_on_part(1, stack, {apart, 0}, 5, {0, 0}));
  }
  both.stacks.assign(2, {-1, {{0, {0.7, 0.7}, -1}, {8, {kNoLimit, kNoLimit}, -1}}});
  const ChoiceSearchResult found = search_in_blocks(both, {{0}, {1}});
  EXPECT_EQ(found.best.cost, 0.0);
  EXPECT_EQ(found.bound, 0.0);
  ASSERT_EQ(found.seats.size(), 1U);
  EXPECT_GE(found.seats[0].moves[1].dx_mm, -1e-6);
  EXPECT_LE(found.seats[0].moves[1].dx_mm, 0.4 + 1e-6);
  // Half a millimetre tighter they cannot both have it: each block alone still costs nothing.
  for (StackOptions& stack : both.stacks) stack.options[0].room_mm = {0.45, 0.45};
  EXPECT_EQ(sum_of_bounds(both, {{0}, {1}}), 0.0);
  const ChoiceSearchResult dear = search_in_blocks(both, {{0}, {1}});
  EXPECT_EQ(dear.best.cost, 8.0);
  EXPECT_EQ(dear.bound, 8.0);
}

TEST(ChoiceBlocks, AFrameFoundInBlocksCostsTheSame) {
  // Groups of all stacks, so that both halves must agree on usual sizes.
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    ChoiceCase frame = test::frame_choice(seed, 40);
    for (StackOptions& stack : frame.stacks) stack.group = 0;
    const Blocks partition = blocks_of(frame.joint, all_stacks(frame));
    EXPECT_THAT(sizes(partition), ElementsAre(20, 20));
    const StackTask whole = task_of(frame, all_stacks(frame), {}, nullptr);
    const ChoiceSearchResult plain = ChoiceSearch(whole.task).run();
    const ChoiceSearchResult found = search_in_blocks(frame, partition);
    EXPECT_NEAR(found.best.cost, plain.best.cost, 1e-9) << seed;
    EXPECT_NEAR(found.bound, plain.bound, 1e-9) << seed;
    EXPECT_LE(sum_of_bounds(frame, partition), plain.best.cost + 1e-9) << seed;
    const auto [floor, met] = tree_alone(frame, partition);
    EXPECT_NEAR(floor, plain.best.cost, 1e-9) << seed;
    EXPECT_NEAR(met, plain.best.cost, 1e-9) << seed;
  }
}

TEST(ChoiceBlocks, WhatCannotBeHadInABlockConflicts) {
  // Stacks 0 and 2 of block {0, 2} need slides of -1 and 1.
  ChoiceCase four;
  four.joint = {{SeatPlay{}, even_play(3, 0, 0)}, 4, {}};
  for (int s = 0; s < 4; ++s) {
    const double apart = s == 0 ? 1.0 : s == 2 ? -1.0 : 0.0;
    four.joint.discs.push_back(disc_on_part(0, s, {0, 0}, 5, {0, 0}));
    four.joint.discs.push_back(disc_on_part(1, s, {apart, 0}, 5, {0, 0}));
  }
  four.stacks = {{-1, {{0, {0.3, 0.3}, -1}}},
                 {-1, {{0, {9, 9}, -1}}},
                 {-1, {{0, {0.3, 0.3}, -1}}},
                 {-1, {{0, {9, 9}, -1}}}};
  for (const Blocks& partition : {Blocks{{0, 2}, {1, 3}}, Blocks{{0, 1}, {2, 3}}}) {
    const ChoiceSearchResult found = search_in_blocks(four, partition);
    EXPECT_TRUE(found.best.option.empty());
    EXPECT_EQ(found.bound, kNoLimit);
    EXPECT_THAT(found.conflict, ElementsAre(0, 2));
  }
}

}  // namespace
}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_cuts.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "test_choices.h"

// Cuts, clauses and bounds against trying every choice.
namespace fairhole::detail {
namespace {

using test::uniform;

constexpr std::size_t kStacks = 5;
constexpr std::size_t kDiscs = 2;

/// Stacks of two discs whose options are roomy in either way, in two groups or none.
std::vector<StackOptions> random_stacks(std::mt19937_64& random) {
  std::vector<StackOptions> out;
  for (std::size_t s = 0; s < kStacks; ++s) {
    StackOptions& own = out.emplace_back();
    own.group = static_cast<int>(random() % 3) - 1;
    const int options = 2 + static_cast<int>(random() % 3);
    for (int k = 0; k < options; ++k) {
      StackOption& option = own.options.emplace_back();
      option.cost = uniform(random, 0, 10);
      option.size = static_cast<int>(random() % 4) - 1;
      for (std::size_t d = 0; d < kDiscs; ++d)
        option.room_mm.push_back(random() % 10 == 0 ? kNoLimit : uniform(random, -0.3, 1.0));
    }
  }
  return out;
}

/// A model with the stacks' discs, only to count them.
JointCase plain_case() {
  JointCase joint;
  joint.stacks = static_cast<int>(kStacks);
  for (int s = 0; s < joint.stacks; ++s) joint.discs.insert(joint.discs.end(), kDiscs, {s, {0, 0}, 1.0, {}});
  return joint;
}

ChoiceCut random_cut(std::mt19937_64& random, const SeatModel& model, const ChoiceTable& table, int rows) {
  std::vector<SeatProof> proofs;
  std::vector<bool> used;
  for (std::size_t s = 0; s < kStacks; ++s) used.push_back(s == 0 || random() % 5 < 3);
  for (int r = 0; r < rows; ++r) {
    SeatProof& proof = proofs.emplace_back();
    for (std::size_t i = 0; i < kStacks * kDiscs; ++i)
      proof.weight.push_back(used[i / kDiscs] && (i == 0 || random() % 4 != 0) ? uniform(random, 0.05, 1)
                                                                               : 0.0);
    const double total = std::accumulate(proof.weight.begin(), proof.weight.end(), 1e-9);
    for (double& weight : proof.weight) weight /= total;
    proof.floor_mm = uniform(random, 0.1, 0.8);
  }
  std::vector<std::size_t> stacks(kStacks);
  std::iota(stacks.begin(), stacks.end(), std::size_t{0});
  return cut_of(proofs, {&model, stacks}, table);
}

ChoiceDomain random_domain(std::mt19937_64& random, const ChoiceTable& table) {
  ChoiceDomain domain = table.whole();
  for (std::size_t s = 0; s < kStacks; ++s) {
    for (std::size_t o = table.first(s) + 1; o < table.end(s); ++o)
      domain.open[o] = random() % 4 != 0 ? 1 : 0;
  }
  for (std::size_t g = 0; g < table.groups(); ++g) {
    if (random() % 3 == 0) domain.usual[table.usual_at(g, static_cast<int>(random() % 3))] = 0;
  }
  return domain;
}

/// Every choice of open options.
template <class Visit>
void each_choice(const ChoiceTable& table, const ChoiceDomain& domain, const Visit& visit) {
  std::vector<std::size_t> option;
  const auto descend = [&](const auto& self, std::size_t stack) -> void {
    if (stack == table.stacks()) return visit(option);
    for (std::size_t o = table.first(stack); o < table.end(stack); ++o) {
      if (domain.open[o] == 0) continue;
      option.push_back(o);
      self(self, stack + 1);
      option.pop_back();
    }
  };
  descend(descend, 0);
}

double cost_of(const ChoiceTable& table, const ChoiceDomain& domain, const std::vector<std::size_t>& choice) {
  double least = kNoLimit;
  std::vector<int> usual(table.groups(), 0);
  const std::vector<int> sizes(table.groups(), 3);
  do {
    double sum = 0.0;
    for (std::size_t g = 0; g < usual.size(); ++g)
      sum += domain.usual[table.usual_at(g, usual[g])] != 0 ? 0.0 : kNoLimit;
    for (const std::size_t o : choice) {
      const TableOption& option = table.option(o);
      const int group = table.group(static_cast<std::size_t>(option.stack));
      const bool odd = option.size >= 0 && option.size != usual[static_cast<std::size_t>(group)];
      sum += option.cost + (odd ? table.odd_cost() : 0.0);
    }
    least = std::min(least, sum);
  } while (test::next_of(usual, sizes));
  return least;
}

TEST(ChoiceCuts, BoundsAndClausesAgainstTryingAll) {
  std::mt19937_64 random(6);
  const SeatModel model(plain_case());
  int with_bound = 0, with_clause = 0, tight = 0;
  for (int trial = 0; trial < 300; ++trial) {
    const ChoiceTable table(random_stacks(random), std::vector<int>{3, 3}, uniform(random, 0, 5));
    const ChoiceDomain domain = random_domain(random, table);
    std::vector<ChoiceCut> cuts;
    for (int c = 0; c < 4; ++c) {
      cuts.push_back(random_cut(random, model, table, 1 + c % 2));
      if (trial % 3 != 0) list_lowest(cuts.back());  // without the list the clause alone must do
    }
    double cheapest = kNoLimit, plain = kNoLimit;
    each_choice(table, domain, [&](const std::vector<std::size_t>& choice) {
      const double cost = cost_of(table, domain, choice);
      plain = std::min(plain, cost);
      const bool allowed = std::none_of(cuts.begin(), cuts.end(), [&](const ChoiceCut& cut) {
        return forbids(cut, table, table.only(choice));
      });
      if (allowed) cheapest = std::min(cheapest, cost);
    });
    ChoiceBound bound(table, domain);
    EXPECT_NEAR(bound.value(), plain, 1e-9);
    EXPECT_NEAR(table.cheapest(domain).cost, plain, 1e-9);
    const std::vector<double> prices = bound.prices();
    bound.charge_all(cuts);
    EXPECT_LE(bound.value(), cheapest + 1e-9);
    if (bound.value() > plain + 1e-9) ++with_bound;
    if (bound.value() > cheapest - 1e-9) ++tight;
    for (const ChoiceCut& cut : cuts) {
      if (!forbids(cut, table, table.only(table.cheapest(domain).option))) continue;
      ++with_clause;
      const std::vector<ChoiceLiteral> clause = clause_of(cut, table, prices);
      each_choice(table, domain, [&](const std::vector<std::size_t>& choice) {
        const bool kept = std::any_of(clause.begin(), clause.end(), [&](const ChoiceLiteral& literal) {
          const std::vector<std::size_t>& options = literal.options;
          return std::find(options.begin(), options.end(), choice[literal.stack]) != options.end();
        });
        EXPECT_TRUE(kept ||
                    forbids(cut, table, table.only(choice)));  // it may drop only what the cut forbids
      });
    }
  }
  EXPECT_GT(with_bound, 50);
  EXPECT_GT(with_clause, 50);
  EXPECT_GT(tight, 100);
}

TEST(ChoiceCuts, OnlyGroupsWithStacksHaveTiedSizes) {
  // Groups 0 and 2 have no stack: their sizes cost nothing and are nobody's, however many there are. Stack 1
  // is in group 3 and takes no size at all.
  std::vector<StackOptions> stacks(2);
  stacks[0] = {1, {{1.0, {0.1}, 0}, {2.0, {0.2}, 1}}};
  stacks[1] = {3, {{1.0, {0.1}, -1}}};
  const std::vector<int> group_sizes{6, 2, 6, 6};
  const ChoiceTable table(stacks, group_sizes, 10.0);
  EXPECT_FALSE(ChoiceBound(table, table.whole()).tied_group().has_value());
  stacks[0].options[1].cost = 1.0;  // now both sizes of group 1 do as well
  const ChoiceTable tied(stacks, group_sizes, 10.0);
  const std::optional<ChoiceBound::Tie> tie = ChoiceBound(tied, tied.whole()).tied_group();
  ASSERT_TRUE(tie.has_value());
  EXPECT_EQ(tie->group, 1U);
}

TEST(ChoiceTable, LeavesOutOnlyWhatAnotherIsNeverWorseThan) {
  StackOptions stack;
  stack.group = 0;
  stack.options = {{5.0, {1.0, 1.0}, 0},    // kept
                   {5.0, {1.0, 1.0}, 0},    // the same again
                   {6.0, {0.9, 1.0}, 0},    // tighter and dearer
                   {6.0, {0.9, 1.0}, 1},    // not odd where size 1 is usual
                   {20.0, {0.9, 1.0}, 1},   // dearer than the first, even if that is odd
                   {5.0, {2.0, 0.5}, -1}};  // roomier for one disc
  const ChoiceTable table(std::vector<StackOptions>{stack}, std::vector<int>{2}, 10.0);
  std::vector<int> given;
  for (const TableOption& option : table.options()) given.push_back(option.given);
  EXPECT_EQ(given, (std::vector<int>{0, 3, 5}));
}

}  // namespace
}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/group.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>
#include <random>
#include <set>

namespace fairhole::fasteners {
namespace {

constexpr unsigned kSeed = 7;

ShankNeed need(const std::string& stack, int least_um, int most_um, const std::string& batch = "") {
  return {stack, {22000000 + 1000LL * least_um, 22000000 + 1000LL * most_um}, batch};
}

std::vector<ShankNeed> random_needs(std::mt19937_64& engine, std::size_t count) {
  std::vector<ShankNeed> needs;
  for (std::size_t i = 0; i < count; ++i) {
    const int least_um = static_cast<int>(engine() % 60);
    needs.push_back(need("S" + std::to_string(i), least_um, least_um + static_cast<int>(engine() % 25),
                         engine() % 3 == 0 ? "b" : "a"));
  }
  return needs;
}

/// Every way to part the needs into groups: group of each need, new groups numbered as they come.
void for_every_partition(std::size_t count, const std::function<void(const std::vector<int>&, int)>& visit) {
  std::vector<int> group(count, 0);
  const std::function<void(std::size_t, int)> place = [&](std::size_t at, int groups) {
    if (at == count) {
      visit(group, groups);
      return;
    }
    for (int g = 0; g <= groups; ++g) {
      group[at] = g;
      place(at + 1, std::max(groups, g + 1));
    }
  };
  place(0, 0);
}

/// The widest band that all groups of a partition leave; negative when one leaves none or mixes batches.
std::int64_t band_nm(const std::vector<ShankNeed>& needs, const std::vector<int>& group, int groups) {
  std::int64_t widest_nm = INT64_MAX;
  for (int g = 0; g < groups; ++g) {
    std::int64_t from_nm = INT64_MIN, to_nm = INT64_MAX;
    std::set<std::string> batches;
    for (std::size_t i = 0; i < needs.size(); ++i) {
      if (group[i] != g) continue;
      from_nm = std::max(from_nm, needs[i].shank.min_nm);
      to_nm = std::min(to_nm, needs[i].shank.max_nm);
      batches.insert(needs[i].batch);
    }
    if (batches.size() > 1) return -1;
    widest_nm = std::min(widest_nm, to_nm - from_nm);
  }
  return widest_nm;
}

TEST(GroupShanks, AreTheFewestAmongAllPartitions) {
  std::mt19937_64 engine(kSeed);
  for (int trial = 0; trial < 300; ++trial) {
    SCOPED_TRACE(trial);
    const std::vector<ShankNeed> needs = random_needs(engine, 1 + trial % 7);
    std::int64_t narrowest_nm = INT64_MAX;
    for (const ShankNeed& one : needs)
      narrowest_nm = std::min(narrowest_nm, one.shank.max_nm - one.shank.min_nm);
    const std::int64_t turning_nm =
        std::min<std::int64_t>(narrowest_nm, static_cast<std::int64_t>(engine() % 8) * 1000);
    std::size_t fewest = needs.size() + 1;
    for_every_partition(needs.size(), [&](const std::vector<int>& group, int groups) {
      if (band_nm(needs, group, groups) >= turning_nm)
        fewest = std::min(fewest, static_cast<std::size_t>(groups));
    });
    const auto found = group_shanks(needs, static_cast<double>(turning_nm) / 1e6);
    ASSERT_TRUE(found.ok());
    EXPECT_EQ(found->size(), fewest);
  }
}

TEST(GroupShanks, EveryShankIsWithinTheFitOfEveryHoleItServes) {
  std::mt19937_64 engine(kSeed + 1);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<ShankNeed> needs = random_needs(engine, 60);
    for (ShankNeed& one : needs) one.shank.max_nm += 5000;
    const auto found = group_shanks(needs, 0.005);
    ASSERT_TRUE(found.ok());
    std::vector<int> served(needs.size());
    for (const ShankGroup& group : *found) {
      ASSERT_GE(group.shank.max_nm - group.shank.min_nm, 5000);
      for (const std::size_t i : group.needs) {
        ++served[i];
        ASSERT_GE(group.shank.min_nm, needs[i].shank.min_nm);
        ASSERT_LE(group.shank.max_nm, needs[i].shank.max_nm);
        ASSERT_EQ(needs[i].batch, needs[group.needs.front()].batch);
      }
    }
    ASSERT_TRUE(std::all_of(served.begin(), served.end(), [](int times) { return times == 1; }));
  }
}

TEST(GroupShanks, WorkedByHand) {
  // Holes 2..15, 8..21 and 20..33 um over 22 mm: the first two share 8..15, the last stands alone.
  const auto found = group_shanks({need("c", 20, 33), need("a", 2, 15), need("b", 8, 21)}, 0.005);
  ASSERT_EQ(found->size(), 2U);
  EXPECT_EQ((*found)[0].needs, (std::vector<std::size_t>{1, 2}));
  EXPECT_EQ((*found)[0].shank.min_nm, 22008000);
  EXPECT_EQ((*found)[0].shank.max_nm, 22015000);
  EXPECT_EQ((*found)[1].needs, (std::vector<std::size_t>{0}));
}

TEST(GroupShanks, NamesEveryHoleThatAllowsTooLittle) {
  const auto found = group_shanks({need("a", 2, 4), need("b", 2, 15), need("c", 9, 8)}, 0.005);
  ASSERT_FALSE(found.ok());
  ASSERT_EQ(found.problems().size(), 2U);
  EXPECT_EQ(describe(found.problems()[0]),
            "E782 a: its shank may be 22.0020 to 22.0040 mm, and turning takes 0.005 mm; choose a wider "
            "class, measure the "
            "bore more closely, or turn closer");
  EXPECT_TRUE(group_shanks({}, 0.005)->empty());
}

TEST(GroupingChoices, AreTheBestOfAllPartitions) {
  std::mt19937_64 engine(kSeed + 2);
  for (int trial = 0; trial < 200; ++trial) {
    SCOPED_TRACE(trial);
    const std::vector<ShankNeed> needs = random_needs(engine, 1 + trial % 7);
    std::map<int, std::int64_t> widest_nm;  // by number of groups
    for_every_partition(needs.size(), [&](const std::vector<int>& group, int groups) {
      std::int64_t& best_nm = widest_nm.emplace(groups, -1).first->second;
      best_nm = std::max(best_nm, band_nm(needs, group, groups));
    });
    std::vector<std::pair<std::size_t, std::int64_t>> expected;  // more groups only where they widen the band
    std::int64_t so_far_nm = -1;
    for (const auto& [groups, best_nm] : widest_nm) {
      if (best_nm <= so_far_nm) continue;
      expected.emplace_back(static_cast<std::size_t>(groups), best_nm);
      so_far_nm = best_nm;
    }
    const auto found = grouping_choices(needs);
    ASSERT_EQ(found.size(), expected.size());
    for (std::size_t i = 0; i < found.size(); ++i) {
      EXPECT_EQ(found[i].groups, expected[i].first);
      EXPECT_EQ(nanometres(found[i].turning_mm), expected[i].second);
    }
  }
}

TEST(GroupingChoices, OfNothingOrOfAnEmptyIntervalAreNone) {
  EXPECT_TRUE(grouping_choices({}).empty());
  EXPECT_TRUE(grouping_choices({need("a", 9, 8)}).empty());
}

}  // namespace
}  // namespace fairhole::fasteners

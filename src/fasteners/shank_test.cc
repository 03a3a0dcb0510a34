// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/shank.h"

#include <gtest/gtest.h>

namespace fairhole::fasteners {
namespace {

// k6 at 22 mm: +15/+2 um (ISO 286).
Result<ShankForStack> shank(const std::vector<MeasuredBore>& bores) {
  return shank_for_stack(*parse_fit("22 H7/k6"), bores);
}

TEST(ShankForStack, SuitsEveryLayerWhereTheBoresAllowIt) {
  const auto found = shank({{"angle", 22.037, 0.0}, {"plate", 22.041, 0.0}});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->shank.min_nm, 22043000);  // 22.041 + 2
  EXPECT_EQ(found->shank.max_nm, 22052000);  // 22.037 + 15
  EXPECT_TRUE(found->notes.empty());
}

TEST(ShankForStack, ElseFollowsTheSmallestBoreAndNamesTheLooseLayers) {
  const auto found = shank({{"angle", 22.060, 0.001}, {"plate", 22.037, 0.0}, {"far angle", 22.039, 0.0}});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->shank.min_nm, 22041000);  // 22.039 + 2: the far angle agrees with the plate
  EXPECT_EQ(found->shank.max_nm, 22052000);  // 22.037 + 15
  ASSERT_EQ(found->notes.size(), 1U);
  EXPECT_EQ(found->notes[0], "In \"angle\" the shank is looser than k6: up to 0.021 mm of clearance.");
}

TEST(ShankForStack, NamesTheLayerOfEachProblem) {
  const auto found = shank({{"angle", 30.0, 0.0}, {"plate", 22.037, 0.01}});
  ASSERT_FALSE(found.ok());
  ASSERT_EQ(found.problems().size(), 2U);
  EXPECT_EQ(describe(found.problems()[0]),
            "E444 angle, bore: 30 mm, and the nominal size is 22 mm; measure again, or state the nominal "
            "size nearest to "
            "the bore");
  EXPECT_EQ(describe(found.problems()[1]).substr(0, 21), "E780 plate, bore: kno");
  EXPECT_EQ(describe(shank({}).problems()[0]),
            "E454 a shank is asked for and no bore is given; state the bore of one layer at least");
}

}  // namespace
}  // namespace fairhole::fasteners

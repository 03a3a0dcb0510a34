// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/problem.h"

#include <gtest/gtest.h>

#include <memory>

#include "fairhole/base/result.h"
#include "fairhole/base/shown_problems.h"

namespace fairhole {
namespace {

Problem with_code(int number) { return {Code{number}, "", "something", ""}; }

TEST(Problem, CodeNameHasThreeDigits) {
  EXPECT_EQ(code_name(Code{104}), "E104");
  EXPECT_EQ(code_name(Code{7}), "E007");
}

TEST(Problem, DescribesOnOneLine) {
  EXPECT_EQ(describe({Code{104}, "near.csv: line 7", "no such kind", "use along"}),
            "E104 near.csv: line 7: no such kind; use along");
  EXPECT_EQ(describe({Code{104}, "", "no such kind", ""}), "E104 no such kind");
}

TEST(Problem, LinesThatShowThePlaceFollowTheRemedy) {
  EXPECT_EQ(describe({Code{101}, "near.csv: line 7", "the denominator is 0\n  3/0\n    ^", "write 3/16"}),
            "E101 near.csv: line 7: the denominator is 0; write 3/16\n  3/0\n    ^");
}

TEST(Problem, AThousandAreNotShown) {
  const Problems thousand(1000, with_code(500));
  const Problems shown = first_problems(thousand);
  ASSERT_EQ(shown.size(), 101U);
  EXPECT_EQ(describe(shown.back()),
            "E182 900 more faults; mend the first ones and run again; the others may follow from them");
  EXPECT_EQ(first_problems(Problems(100, with_code(500))).size(), 100U);
}

TEST(Problem, ALongNameIsCutBetweenCharacters) {
  std::string name;
  for (int i = 0; i < 5000; ++i) name += "\u00e4";  // two bytes each: 300 is a boundary, 301 none
  EXPECT_EQ(describe({Code{104}, "x" + name, "no such kind", "use along"}),
            "E104 x" + name.substr(0, 298) + "...: no such kind; use along");
  EXPECT_EQ(describe({Code{104}, "", name, ""}), "E104 " + name.substr(0, 300) + "...");
}

TEST(Problem, NoNameSteersTheTerminal) {
  EXPECT_EQ(describe({Code{104}, std::string("a\0b", 3), "\x1b[2Jno\tkind\x7f", ""}),
            "E104 a b:  [2Jno kind ");
}

TEST(Problem, ExitStatusSaysWhoseFaultItIs) {
  EXPECT_EQ(exit_status({}), 0);
  EXPECT_EQ(exit_status({with_code(500)}), 1);
  EXPECT_EQ(exit_status({with_code(899)}), 1);
  EXPECT_EQ(exit_status({with_code(499)}), 2);
  EXPECT_EQ(exit_status({with_code(500), with_code(100), with_code(501)}), 2);
}

TEST(Result, HoldsAValueOrProblems) {
  const Result<int> good = 7;
  ASSERT_TRUE(good.ok());
  EXPECT_EQ(*good, 7);
  const Result<int> bad = with_code(104);
  ASSERT_FALSE(bad.ok());
  ASSERT_EQ(bad.problems().size(), 1U);
  EXPECT_EQ(bad.problems()[0].code, Code{104});
  const Result<int> worse = Problems{with_code(104), with_code(105)};
  EXPECT_EQ(worse.problems().size(), 2U);
}

TEST(Result, GivesAMoveOnlyValueAway) {
  Result<std::unique_ptr<int>> result = std::make_unique<int>(3);
  const std::unique_ptr<int> taken = *std::move(result);
  EXPECT_EQ(*taken, 3);
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/survey_text.h"

#include <gmock/gmock.h>

namespace fairhole {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

/// One hole, as well known along as across: one reading more rounds off one half axis and leaves the other,
/// so the larger of them shrinks by nothing until the second is taken.
TEST(SurveyText, AReadingWithoutAGainOfItsOwnIsNotSaidToGainNothing) {
  const auto readings = parse_readings("kind,from,to,reading\nalong,A,,40\nacross,A,,30\n", "one.csv");
  ASSERT_TRUE(readings);
  SurveyOptions two;
  two.next_count = 2;
  const auto result = adjust(*readings, two);
  ASSERT_TRUE(result);
  const std::string said = survey_text(*result, *readings);
  EXPECT_THAT(said, HasSubstr(": its gain shows only with further readings\n"));
  EXPECT_THAT(said, HasSubstr(": the worst hole is known better by 0."));
  EXPECT_THAT(said, Not(HasSubstr("by 0.00 mm")));
}

}  // namespace
}  // namespace fairhole

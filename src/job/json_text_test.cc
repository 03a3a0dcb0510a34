// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "json_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "test_job.h"

namespace fairhole::job {
namespace {

using test::lines;
using ::testing::ElementsAre;

struct Bad {
  const char* text;
  const char* says;
};
void PrintTo(const Bad& bad, std::ostream* out) { *out << bad.text; }

class BadJson : public ::testing::TestWithParam<Bad> {};

TEST_P(BadJson, IsSaidWithItsPlace) {
  const auto parsed = parse_json(GetParam().text, "job.json");
  ASSERT_FALSE(parsed.ok());
  EXPECT_THAT(lines(parsed.problems()), ElementsAre(GetParam().says));
}

INSTANTIATE_TEST_SUITE_P(
    Texts, BadJson,
    ::testing::Values(Bad{"{\n  \"a\": 1,\n  \"b\": NaN\n}",
                          "E122 job.json: line 3, column 8: this is no JSON from here on; look for a missing "
                          "comma, quotation mark "
                          "or bracket just before"},
                      Bad{"{\"a\": [1, 2",
                          "E122 job.json: line 1, column 12: the JSON ends too early; close what is open; "
                          "the file may have "
                          "been cut off"},
                      Bad{"",
                          "E122 job.json: line 1, column 1: the JSON ends too early; close what is open; the "
                          "file may have been cut "
                          "off"},
                      Bad{"{\"a\": 1e999}",
                          "E122 job.json: a number in it is too large to be read; correct that number"},
                      Bad{"{\"a\": 1, \"b\": {\"a\": 2}, \"a\": 3}",
                          "E124 job.json: the key \"a\" stands twice in one object; keep one of them"}));

TEST(JsonText, KeepsKeysInOrderAndTakesAByteOrderMark) {
  const auto parsed = parse_json("\xEF\xBB\xBF{\"z\": 1, \"a\": [[2]]}", "job.json");
  ASSERT_TRUE(parsed.ok());
  EXPECT_EQ(parsed->dump(), R"({"z":1,"a":[[2]]})");
}

TEST(JsonText, SameKeyInNeighbouringObjectsIsNoFault) {
  EXPECT_TRUE(parse_json(R"([{"a": {"b": 1}}, {"a": {"b": 2}}, {"b": 1, "a": {"a": 2}}])", "job.json").ok());
}

// An object's time to read grows with the square of its keys; a list of nothing much fills the memory.
TEST(JsonText, ObjectsAndListsBeyondAnyJobAreRefused) {
  const auto object = [](std::size_t keys) {
    std::string text;
    for (std::size_t i = 0; i < keys; ++i) text += (i == 0 ? "{\"" : ",\"") + std::to_string(i) + "\":0";
    return text + "}";
  };
  EXPECT_TRUE(parse_json(object(kMostKeys), "j").ok());
  EXPECT_THAT(lines(parse_json("[" + object(kMostKeys + 1) + "]", "j").problems()),
              ElementsAre("E183 j: more than 2000 keys in one object; this cannot be what was meant"));
  const auto list = [](std::size_t entries) {
    std::string text = "[";
    for (std::size_t i = 1; i < entries; ++i) text += "[],";
    return text + "0]";
  };
  EXPECT_TRUE(parse_json("[" + list(kMostEntries) + "," + list(kMostEntries) + "]", "j").ok());
  EXPECT_THAT(lines(parse_json("{\"a\":" + list(kMostEntries + 1) + "}", "j").problems()),
              ElementsAre("E183 j: more than 100000 entries in one list; this cannot be what was meant"));
}

TEST(JsonText, DepthIsCountedOutsideTextAlone) {
  const std::string deepest(40, '['), too_deep(41, '[');
  EXPECT_TRUE(parse_json(deepest + std::string(40, ']'), "j").ok());
  EXPECT_THAT(lines(parse_json(too_deep + std::string(41, ']'), "j").problems()),
              ElementsAre("E123 j: brackets within brackets, 41 deep; no more than 40 levels are read"));
  EXPECT_TRUE(parse_json("[\"\\\"" + std::string(100, '[') + "\"]", "j").ok());
}

}  // namespace
}  // namespace fairhole::job

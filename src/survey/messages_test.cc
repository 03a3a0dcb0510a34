// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/survey/limits.h"
#include "test_readings.h"

namespace fairhole {
namespace {

using testing::ElementsAre;

std::vector<std::string> lines(const Problems& problems) {
  std::vector<std::string> out;
  for (const Problem& p : problems) out.push_back(describe(p));
  return out;
}

/// Every message of a file that must be refused.
std::vector<std::string> refusal(const std::string& text) {
  const auto readings = parse_readings(text, "a.csv");
  if (!readings) return lines(readings.problems());
  const auto result = adjust(*readings);
  if (!result) return lines(result.problems());
  return {"accepted"};
}

struct Refused {
  const char* name;
  std::string text;
  const char* says;
};
void PrintTo(const Refused& r, std::ostream* out) { *out << r.name; }

std::string row(const std::string& text) { return test::with_header(text + "\n"); }

class ReadingsRefused : public testing::TestWithParam<Refused> {};

TEST_P(ReadingsRefused, WithOneMessageThatSaysWhatWhereAndWhatWouldBeRight) {
  EXPECT_THAT(refusal(GetParam().text), ElementsAre(GetParam().says));
}

std::string many_rows(const char* row, std::size_t count) {
  std::string text = "kind,from,to,reading\n";
  for (std::size_t i = 0; i < count; ++i) text += row;
  return text;
}

TEST(ReadingsFile, BeyondAnyFaceIsReadNoFurther) {
  const char* const says =
      "E184 a.csv: line 100002: more than 100000 readings or faults up to here; this cannot be one face; "
      "name another file";
  EXPECT_THAT(refusal(many_rows("along,A,,10\n", kMostReadings + 2)), ElementsAre(says));
  const std::vector<std::string> faults = refusal(many_rows("alone,A,,10\n", 3 * kMostReadings));
  EXPECT_EQ(faults.size(), kMostReadings + 2);
  EXPECT_EQ(faults.back(), says);
}

INSTANTIATE_TEST_SUITE_P(
    Rows, ReadingsRefused,
    testing::Values(
        Refused{
            "kind", row("alog,A,,10,,"),
            "E243 a.csv: line 2: `alog` is no kind of reading; use one of along, across, along-near, "
            "along-far, "
            "across-near, across-far, run, run-across, centres, near-edges, far-edges, same-edges, off-line, "
            "dia, known-x or known-y"},
        Refused{"from empty", row("along,,,10,,"),
                "E244 a.csv: line 2: `along` of no hole: `from` is empty; name the hole in `from`"},
        Refused{
            "to empty", row("centres,A,,10,,"),
            "E244 a.csv: line 2: `centres` from A to no hole: `to` is empty; name the second hole in `to`"},
        Refused{"reading empty", row("along,A,,,,"),
                "E245 a.csv: line 2: the reading is empty; write the length read, or leave out the row"},
        Refused{"decimal comma", row("along,A,,\"10,5\",,"),
                "E245 a.csv: line 2: `10,5` has a decimal comma in a comma file; write a decimal point, or "
                "save the "
                "file with semicolons"},
        Refused{
            "negative", row("centres,A,B,-10,,"),
            "E245 a.csv: line 2: `centres` reads -10, which is not above 0; write the distance as a positive "
            "length"},
        Refused{"sigma", row("along,A,,10,-1,"),
                "E246 a.csv: line 2: sigma `-1` is no length above 0; write the sigma as a length above 0, "
                "or leave "
                "it empty"},
        Refused{
            "sigma of known", row("known-x,A,,10,-1,"),
            "E246 a.csv: line 2: sigma `-1` is no length above 0; write the sigma as a length, 0 to hold the "
            "coordinate exactly"},
        Refused{
            "same hole", row("centres,A,A,10,,"),
            "E247 a.csv: line 2: hole A is measured to itself; name two different holes in `from` and `to`"},
        Refused{"line with its own hole", row("off-line,A,A|B,10,,"),
                "E247 a.csv: line 2: `off-line` of A from the line A|B: a hole stands twice; name three "
                "different "
                "holes"},
        Refused{"to of an ordinate", row("along,A,B,10,,"),
                "E248 a.csv: line 2: `along` has no second hole, but `to` says `B`; leave `to` empty, or use "
                "`centres` for a reading from hole to hole"},
        Refused{"set-up", row("run,A,,10,,"),
                "E248 a.csv: line 2: `run` without the name of its tape set-up; name the set-up in `to`: the "
                "same "
                "name for all readings taken without moving the tape"},
        Refused{"line", row("off-line,A,B,10,,"),
                "E248 a.csv: line 2: `off-line` needs the two holes of the line, but `to` is `B`; write them "
                "with a "
                "bar between: H1|H8"},
        Refused{"direction", row("dia,A,north,10,,"),
                "E248 a.csv: line 2: `north` is no direction of the caliper; write degrees from x in `to`, "
                "as 0 or "
                "90, or leave it empty"},
        Refused{"quote", row("along,A,,10,,\"loose"),
                "E249 a.csv: line 2: a quoted field is not closed; close it with a double quote before the "
                "separator; two quotes inside stand for one"},
        Refused{
            "cut off", test::with_header("along,A,,10,,\nalong,B,,2"),
            "E242 a.csv: line 3: the row has 4 fields of 6: the last line seems to be cut off; complete the "
            "row"},
        Refused{"too many", row("along,A,,10,,note,more"),
                "E242 a.csv: line 2: the row has 7 fields, the header row 6; write a decimal point, and put "
                "a note "
                "that holds the separator between double quotes"}));

INSTANTIATE_TEST_SUITE_P(
    Files, ReadingsRefused,
    testing::Values(
        Refused{"header row", "kind,from,reading\nalong,A,10\n",
                "E240 a.csv: line 1: the header row has no column `to`; begin the table with the row "
                "kind,from,to,reading,sigma,note"},
        Refused{"nothing", test::with_header(""),
                "E250 a.csv: no readings in this file; write a header row kind,from,to,reading,sigma,note "
                "and one "
                "reading in each row below"},
        Refused{"bytes", "kind,from,to,reading\nalong,\xff,,10\n",
                "E252 a.csv: not a UTF-8 text file; save it from the spreadsheet as CSV, UTF-8"},
        Refused{"unit", "# unit: cm\n" + row("along,A,,10,,"),
                "E241 a.csv: line 1: `# unit: cm` cannot be used; write `# unit: mm` or `# unit: in`"},
        Refused{"tape", "# tape: V\n" + row("along,A,,10,,"),
                "E241 a.csv: line 1: `# tape: V` cannot be used; write the tape's accuracy class: `# tape: "
                "I`, `II` "
                "or `III`"},
        Refused{
            "resolution", "# resolution: 0\n" + row("along,A,,10,,"),
            "E241 a.csv: line 1: `# resolution: 0` cannot be used; write a length above 0, as `# resolution: "
            "0.5`"},
        Refused{"square", "# square: 1\n" + row("along,A,,10,,"),
                "E241 a.csv: line 1: `# square: 1` cannot be used; write degrees beyond 90 and their sigma, "
                "as `# "
                "square: 0 +- 0.2`"},
        Refused{"near", "# near: A 1\n" + row("along,A,,10,,"),
                "E241 a.csv: line 1: `# near: A 1` cannot be used; write a hole, its x and its y, as `# "
                "near: H1 170 "
                "270`"},
        Refused{
            "held twice", test::with_header("known-x,A,,10,,\nknown-x,A,,11,,\n"),
            "E251 a.csv: line 3: known-x of hole A is held at 11 here and at 10 in line 2; hold it at one "
            "value, or give both a sigma above 0"}));

INSTANTIATE_TEST_SUITE_P(
    Nets, ReadingsRefused,
    testing::Values(
        Refused{"not fixed", test::with_header("along,A,,10,,\nacross,A,,20,,\nalong,B,,90,,\n"),
                "E540 a.csv: the readings do not fix hole B; take `across` of B"},
        // D at 19 from A and 137 from B, which lie 100 apart.
        Refused{
            "contradiction",
            test::with_header("known-x,A,,0,,\nknown-y,A,,0,,\nknown-x,B,,100,,\nknown-y,B,,0,,\n"
                              "centres,A,C,73,0.1,\ncentres,B,C,70,0.1,\ncentres,A,D,19,0.1,\n"
                              "centres,B,D,137,0.1,\ncentres,C,D,92,0.1,\n"),
            "E541 a.csv: the readings contradict each other too much to adjust; look for a reading under the "
            "wrong hole"}));

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/base/length.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

namespace fairhole {
namespace {

// A few roundings of a double at 10 m; 1e5 times finer than anything that can be measured.
constexpr double kRoundingMm = 1e-10;

struct Good {
  const char* text;
  Unit file_unit;
  double expected_mm;  // worked by hand from 25.4 mm to the inch
};
void PrintTo(const Good& good, std::ostream* out) { *out << good.text; }

class GoodLength : public ::testing::TestWithParam<Good> {};

TEST_P(GoodLength, IsRead) {
  const Result<double> read = parse_length_mm(GetParam().text, GetParam().file_unit);
  ASSERT_TRUE(read.ok()) << describe(read.problems()[0]);
  EXPECT_NEAR(*read, GetParam().expected_mm, kRoundingMm);
}

INSTANTIATE_TEST_SUITE_P(
    Millimetres, GoodLength,
    ::testing::Values(Good{"101.6", Unit::kMm, 101.6}, Good{"101.6 mm", Unit::kMm, 101.6},
                      Good{"101.6mm", Unit::kInch, 101.6}, Good{"-0.5", Unit::kMm, -0.5},
                      Good{"+0.5", Unit::kMm, 0.5}, Good{".5", Unit::kMm, 0.5}, Good{"5.", Unit::kMm, 5.0},
                      Good{"  7  ", Unit::kMm, 7.0}, Good{"1e-05", Unit::kMm, 1e-5},
                      Good{"1.5E+2 mm", Unit::kMm, 150.0}, Good{"\u22120.5", Unit::kMm, -0.5},
                      Good{"100000", Unit::kMm, 100000.0}, Good{"0", Unit::kMm, 0.0}));

INSTANTIATE_TEST_SUITE_P(
    Inches, GoodLength,
    ::testing::Values(Good{"4 3/16 in", Unit::kMm, 106.3625}, Good{"4-3/16\"", Unit::kMm, 106.3625},
                      Good{"4.1875\"", Unit::kMm, 106.3625}, Good{"4-3/16''", Unit::kMm, 106.3625},
                      Good{"4 3/16\u2033", Unit::kMm, 106.3625}, Good{"4 3/16\u201D", Unit::kMm, 106.3625},
                      Good{"4   3/16in", Unit::kMm, 106.3625}, Good{"3/16 in", Unit::kMm, 4.7625},
                      Good{"3/16", Unit::kInch, 4.7625}, Good{"-3/8 in", Unit::kMm, -9.525},
                      Good{"-4 3/16 in", Unit::kMm, -106.3625}, Good{"4 3/16", Unit::kInch, 106.3625},
                      Good{"17/16 in", Unit::kMm, 26.9875}, Good{"1 inch", Unit::kMm, 25.4},
                      Good{"2 inches", Unit::kMm, 50.8}, Good{"2", Unit::kInch, 50.8},
                      Good{"0 in", Unit::kMm, 0.0}));

INSTANTIATE_TEST_SUITE_P(
    FeetAndInches, GoodLength,
    ::testing::Values(Good{"1' 4-3/16\"", Unit::kMm, 411.1625}, Good{"1'-4 3/16\"", Unit::kMm, 411.1625},
                      Good{"1' - 4\"", Unit::kMm, 406.4}, Good{"1 ft 4 in", Unit::kMm, 406.4},
                      Good{"1\u2032 4\u2033", Unit::kMm, 406.4}, Good{"1\u2019 4\u201D", Unit::kMm, 406.4},
                      Good{"-1' 4\"", Unit::kMm, -406.4}, Good{"1' 4.5\"", Unit::kMm, 419.1},
                      Good{"1'", Unit::kMm, 304.8}, Good{"1.5 ft", Unit::kMm, 457.2},
                      Good{"2 feet", Unit::kMm, 609.6}, Good{"1 foot 1/2 in", Unit::kMm, 317.5},
                      Good{"1' 4", Unit::kInch, 406.4}, Good{"1' 4 3/16", Unit::kInch, 411.1625},
                      Good{"2' 0\"", Unit::kMm, 609.6}, Good{"1' 11 63/64\"", Unit::kMm, 609.203125}));

struct Bad {
  const char* text;
  Unit file_unit;
  int caret;  // column under which the place is shown, counted in characters from 0
  const char* says;
};
void PrintTo(const Bad& bad, std::ostream* out) { *out << '"' << bad.text << '"'; }

class BadLength : public ::testing::TestWithParam<Bad> {};

TEST_P(BadLength, IsAProblemThatShowsThePlace) {
  const Bad& bad = GetParam();
  const Result<double> read = parse_length_mm(bad.text, bad.file_unit, "near.csv: line 7");
  ASSERT_FALSE(read.ok()) << *read;
  ASSERT_EQ(read.problems().size(), 1U);
  const Problem& problem = read.problems()[0];
  EXPECT_EQ(problem.code, codes::kBadLength);
  EXPECT_EQ(problem.where, "near.csv: line 7");
  EXPECT_FALSE(problem.remedy.empty());
  EXPECT_EQ(problem.what, fmt::format("{}\n  {}\n  {:>{}}", bad.says, bad.text, '^', bad.caret + 1));
}

// A field of a megabyte is shown about the place alone.
TEST(LongText, IsShownAboutThePlace) {
  const std::string text = std::string(100, '7') + "x" + std::string(1'000'000, 'y');
  const Result<double> read = parse_length_mm(text, Unit::kMm);
  ASSERT_FALSE(read.ok());
  EXPECT_EQ(describe(read.problems().front()),
            "E101 \"x" + std::string(298, 'y') + "...; write mm, in or ft\n  " + std::string(60, '7') + "x" +
                std::string(59, 'y') + "\n  " + std::string(60, ' ') + "^");
}

constexpr const char* kNoNumber = "a number is wanted here";
constexpr const char* kRubbish = "this does not belong to a length";
constexpr const char* kBareFraction = "a fraction without a unit in a mm file";
constexpr const char* kMmFraction = "a fraction of millimetres";

INSTANTIATE_TEST_SUITE_P(
    Malformed, BadLength,
    ::testing::Values(
        Bad{"", Unit::kMm, 0, "no length here"}, Bad{"  ", Unit::kMm, 2, "no length here"},
        Bad{"3/0 in", Unit::kMm, 2, "the denominator is 0"}, Bad{"1/2/3", Unit::kInch, 3, kRubbish},
        Bad{"1,5", Unit::kMm, 1, "a comma in a number"}, Bad{"nan", Unit::kMm, 0, kNoNumber},
        Bad{"inf", Unit::kMm, 0, kNoNumber}, Bad{"-inf", Unit::kMm, 1, kNoNumber},
        Bad{"1e400", Unit::kMm, 0, "a number out of range"}, Bad{"4 3/16 in x", Unit::kMm, 10, kRubbish},
        Bad{"101.6 mm mm", Unit::kMm, 9, kRubbish}, Bad{"--4", Unit::kMm, 1, kNoNumber},
        Bad{".", Unit::kMm, 0, kNoNumber}, Bad{"4 3", Unit::kMm, 2, kRubbish},
        Bad{"1.2.3", Unit::kMm, 3, kRubbish}, Bad{"3/", Unit::kInch, 2, "a denominator is wanted here"},
        Bad{"3/-4 in", Unit::kMm, 2, "a denominator is wanted here"},
        Bad{"3/1.5 in", Unit::kMm, 2, "the denominator is no whole number"},
        Bad{"4.5 3/16 in", Unit::kMm, 4, kRubbish}, Bad{"0x10", Unit::kMm, 1, "\"x\" is no unit known here"},
        Bad{"4 cm", Unit::kMm, 2, "\"cm\" is no unit known here"},
        Bad{"4 17/16 in", Unit::kMm, 2, "the fraction of a mixed number is less than one"},
        Bad{"4 16/16 in", Unit::kMm, 2, "the fraction of a mixed number is less than one"}));

INSTANTIATE_TEST_SUITE_P(
    UnitMissingOrWrong, BadLength,
    ::testing::Values(Bad{"3/16", Unit::kMm, 0, kBareFraction}, Bad{"4 3/16", Unit::kMm, 0, kBareFraction},
                      Bad{"-4 3/16", Unit::kMm, 1, kBareFraction},
                      Bad{"4 3/16 mm", Unit::kMm, 0, kMmFraction},
                      Bad{"3/16 mm", Unit::kInch, 0, kMmFraction},
                      Bad{"1' 4", Unit::kMm, 3, "inches without a unit in a mm file"},
                      Bad{"1\u2032 4", Unit::kMm, 3, "inches without a unit in a mm file"},
                      Bad{"1' 4 mm", Unit::kMm, 4, "feet are followed by inches"},
                      Bad{"1' 4'", Unit::kMm, 4, "feet are followed by inches"},
                      Bad{"1' 12\"", Unit::kMm, 3, "the inches after feet are less than 12"},
                      Bad{"1.5' 4\"", Unit::kMm, 0, "decimals of feet before inches"},
                      Bad{"1/2 ft", Unit::kMm, 0, "a fraction of feet"}, Bad{"1' x", Unit::kMm, 3, kRubbish},
                      Bad{"4\" 1'", Unit::kMm, 3, kRubbish}));

TEST(Length, ABareFractionInAMmFileAsksForTheUnit) {
  const Result<double> read = parse_length_mm("3/16", Unit::kMm);
  ASSERT_FALSE(read.ok());
  EXPECT_EQ(read.problems()[0].remedy, "write `3/16 in`");
}

TEST(Length, BeyondAHundredMetresIsAWrongUnit) {
  for (const char* text : {"100000.1", "-100001", "4000 in", "400 ft", "1e300"}) {
    SCOPED_TRACE(text);
    const Result<double> read = parse_length_mm(text, Unit::kMm);
    ASSERT_FALSE(read.ok());
    EXPECT_EQ(read.problems()[0].code, codes::kLengthNotSensible);
  }
}

TEST(InchFraction, OfKnownLengths) {
  const InchFraction f = to_inch_fraction(106.3625);
  EXPECT_EQ(f.inches, 4);
  EXPECT_EQ(f.numerator, 3);
  EXPECT_EQ(f.denominator, 16);
  EXPECT_FALSE(f.negative);
  EXPECT_NEAR(f.remainder_mm, 0.0, kRoundingMm);
}

TEST(InchFraction, TiesGoToTheLargerMagnitude) {
  EXPECT_EQ(format_inches(12.7, 1), "1 in");
  EXPECT_EQ(format_inches(-12.7, 1), "-1 in");
  EXPECT_EQ(format_inches(6.35, 2), "1/2 in");
}

TEST(FormatInches, AsAFitterWritesThem) {
  EXPECT_EQ(format_inches(0.0), "0 in");
  EXPECT_EQ(format_inches(106.3625), "4 3/16 in");
  EXPECT_EQ(format_inches(-9.525), "-3/8 in");
  EXPECT_EQ(format_inches(411.1625), "16 3/16 in");
  EXPECT_EQ(format_inches(-0.01), "0 in");
  EXPECT_EQ(format_inches(106.3625, 8), "4 1/4 in");  // 4 3/16 lies midway between 4 1/8 and 4 1/4
}

TEST(FormatInches, CarriesIntoTheNextInch) {
  EXPECT_EQ(format_inches(63.9999 / 64 * 25.4), "1 in");
  EXPECT_EQ(format_inches(-(4 + 63.6 / 64) * 25.4), "-5 in");
}

TEST(FormatInches, ShowsTheRemainderFromHalfAThousandth) {
  EXPECT_EQ(format_inches(4.1915 * 25.4, 64, true), "4 3/16 in + 0.004");
  EXPECT_EQ(format_inches(4.1835 * 25.4, 64, true), "4 3/16 in - 0.004");
  EXPECT_EQ(format_inches(-4.1915 * 25.4, 64, true), "-4 3/16 in - 0.004");
  EXPECT_EQ(format_inches(4.18794 * 25.4, 64, true), "4 3/16 in");
  EXPECT_EQ(format_inches(0.004 * 25.4, 64, true), "0 in + 0.004");
}

TEST(FormatInches, RandomLengthsComeBack) {
  std::mt19937_64 random(1895);
  std::uniform_real_distribution<double> any_mm(-9000.0, 9000.0);
  std::uniform_int_distribution<int> any_power(0, 6);
  for (int trial = 0; trial < 100'000; ++trial) {
    const double length_mm = any_mm(random);
    const int denominator = 1 << any_power(random);
    SCOPED_TRACE(fmt::format("{} mm to 1/{}", length_mm, denominator));
    const InchFraction f = to_inch_fraction(length_mm, denominator);
    const Result<double> read = parse_length_mm(format_inches(length_mm, denominator), Unit::kMm);
    ASSERT_TRUE(read.ok());
    ASSERT_NEAR(*read + f.remainder_mm, length_mm, kRoundingMm);
    ASSERT_LE(std::abs(f.remainder_mm), 25.4 / (2 * denominator) + kRoundingMm);
    ASSERT_LT(f.numerator, f.denominator);
    ASSERT_TRUE(f.denominator == 1 || f.numerator % 2 == 1) << "not in lowest terms";
    const InchFraction again = to_inch_fraction(*read, denominator);
    ASSERT_EQ(again.inches, f.inches);
    ASSERT_EQ(again.numerator, f.numerator);
    ASSERT_EQ(again.denominator, f.denominator);
    ASSERT_EQ(again.negative, f.negative);
  }
}

TEST(FormatInches, EverySixtyFourthOfTenFeetReadsBackToTheSameNumber) {
  for (int count = -120 * 64; count <= 120 * 64; ++count) {
    const double length_mm = count / 64.0 * kMmPerInch;
    const Result<double> read = parse_length_mm(format_inches(length_mm), Unit::kMm);
    ASSERT_TRUE(read.ok());
    ASSERT_EQ(*read, length_mm) << format_inches(length_mm);
  }
}

TEST(FormatMm, FixedDecimals) {
  EXPECT_EQ(format_mm(101.6), "101.6");
  EXPECT_EQ(format_mm(-0.04), "0.0");
  EXPECT_EQ(format_mm(-0.06), "-0.1");
  EXPECT_EQ(format_mm(1234.5678, 3), "1234.568");
  EXPECT_EQ(format_mm(-0.4, 0), "0");
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "text.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <limits>
#include <random>

#include "dxf_groups.h"

namespace fairhole::drawing {
namespace {

TEST(CleanText, KeepsWhatIsUtf8) {
  EXPECT_EQ(clean_text("7/8 in \xC3\x98 22 \xE2\x8C\x80 \xF0\x9F\x94\xA9"),
            "7/8 in \xC3\x98 22 \xE2\x8C\x80 \xF0\x9F\x94\xA9");
}

TEST(CleanText, ReplacesBytesThatAreNoUtf8) {
  const std::string mark = "\xEF\xBF\xBD";                               // U+FFFD
  EXPECT_EQ(clean_text("a\xFFz"), "a" + mark + "z");                     // never a byte of UTF-8
  EXPECT_EQ(clean_text("a\xC3"), "a" + mark);                            // cut short
  EXPECT_EQ(clean_text("\xC0\xAF"), mark + mark);                        // overlong slash
  EXPECT_EQ(clean_text("\xED\xA0\x80"), mark + mark + mark);             // half a surrogate pair
  EXPECT_EQ(clean_text("\xF4\x90\x80\x80"), mark + mark + mark + mark);  // beyond U+10FFFF
}

TEST(CleanText, MakesSpacesOfControlCharacters) {
  EXPECT_EQ(clean_text(std::string_view("a\nb\r\tc\0d\x7F", 9)), "a b  c d ");
  EXPECT_TRUE(is_blank(" \n\t"));
  EXPECT_FALSE(is_blank(" x"));
}

TEST(ShortNumber, DropsZerosAndTheSignOfZero) {
  EXPECT_EQ(short_number(12.5), "12.5");
  EXPECT_EQ(short_number(-0.0000001), "0");
  EXPECT_EQ(short_number(100.0), "100");
  EXPECT_EQ(short_number(0.000001), "0.000001");
}

TEST(ExactNumber, ReadsBackToTheSameDouble) {
  std::mt19937_64 random(7);
  for (int i = 0; i < 10000; ++i) {
    const double value = (static_cast<double>(random() >> 11U) * 0x1p-53 - 0.5) * 4000.0;
    EXPECT_EQ(std::strtod(exact_number(value).c_str(), nullptr), value);
  }
  for (const double value : {1e-300, -1e-9, 1e22, std::numeric_limits<double>::min()}) {
    EXPECT_EQ(std::strtod(exact_number(value).c_str(), nullptr), value);
    EXPECT_EQ(exact_number(value).find_first_of("eE"), std::string::npos);
  }
}

TEST(ExactNumber, AlwaysHasAPoint) {
  EXPECT_EQ(exact_number(25.0), "25.0");
  EXPECT_EQ(exact_number(-0.0), "0.0");
  EXPECT_EQ(exact_number(0.1), "0.1");
}

// The codes of a DXF TEXT: %%c diameter, %%d degree, %%p plus-minus, \U+XXXX any character,
// "^ " a caret (Autodesk's DXF reference, "Text" and "Control codes and special text").
TEST(DxfText, WritesSignsAsCodes) {
  EXPECT_EQ(dxf_text("\xC3\x98 22 \xC2\xB1 0.1 45\xC2\xB0"), "%%c 22 %%p 0.1 45%%d");
  EXPECT_EQ(dxf_text("\xC3\xA9"), "\\U+00E9");
}

TEST(DxfText, NeverTakesWhatWasTypedForACode) {
  EXPECT_EQ(dxf_text("%%c"), "% %c");
  EXPECT_EQ(dxf_text("97 % sure"), "97 % sure");
  EXPECT_EQ(dxf_text("\\U+0041"), "\\U+005CU+0041");
  EXPECT_EQ(dxf_text("^J"), "^ J");
  EXPECT_EQ(dxf_text("two\nlines"), "two lines");
  EXPECT_EQ(dxf_text("\xF0\x9F\x94\xA9"), "\\U+FFFD");
}

}  // namespace
}  // namespace fairhole::drawing

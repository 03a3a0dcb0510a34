// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace fairhole {
namespace {

std::string complaint(const char* text) {
  const auto read = parse_fit(text);
  return read.ok() ? "no problem" : describe(read.problems()[0]);
}

TEST(ParseFit, ReadsWhatAFitterWrites) {
  struct Case {
    const char* text;
    double nominal_mm;
    const char *hole, *shaft;
  };
  for (const Case& c :
       {Case{"22 H7/k6", 22, "H7", "k6"}, Case{"22H7/k6", 22, "H7", "k6"},
        Case{" 22.5 mm  H7 / js6 ", 22.5, "H7", "js6"}, Case{"7/8 in H7/k6", 22.225, "H7", "k6"},
        Case{"7/8\" H7/k6", 22.225, "H7", "k6"}, Case{"1 1/16 in k6", 26.9875, "", "k6"},
        Case{"22 H7", 22, "H7", ""}, Case{"1' H11", 304.8, "H11", ""}}) {
    SCOPED_TRACE(c.text);
    const auto read = parse_fit(c.text);
    ASSERT_TRUE(read.ok()) << complaint(c.text);
    EXPECT_DOUBLE_EQ(read->nominal_mm, c.nominal_mm);
    EXPECT_EQ(read->hole ? read->hole->name() : "", c.hole);
    EXPECT_EQ(read->shaft ? read->shaft->name() : "", c.shaft);
  }
}

TEST(ParseFit, RefusesWhatIsNone) {
  const std::string remedy =
      "; write a size, a hole class and a shaft class, or one class alone: \"22 H7/k6\", \"7/8 in k6\"";
  EXPECT_EQ(complaint("22"), "E440 \"22\" is no fit" + remedy);
  EXPECT_EQ(complaint(""), "E440 \"\" is no fit" + remedy);
  EXPECT_EQ(complaint("H7/k6"), "E440 \"H7/k6\" states no size" + remedy);
  EXPECT_EQ(complaint("22 H7/k6/m6"), "E440 \"22 H7/k6/m6\" is no fit" + remedy);
  const std::string order = " is not a hole class (capital) before a shaft class (small letter)";
  EXPECT_EQ(complaint("22 k6/H7"), "E440 \"22 k6/H7\"" + order + remedy);
  EXPECT_EQ(complaint("22 H7/H6"), "E440 \"22 H7/H6\"" + order + remedy);
  EXPECT_EQ(complaint("7/8 H7/k6").substr(0, 4), "E101");
  EXPECT_EQ(complaint("twenty H7/k6").substr(0, 4), "E101");
}

TEST(FitLimits, ClassOfTheWholeFit) {
  // Source: fixtures/reference/iso286_published_examples.csv (25 H7/g6, 25 H7/p6); 18 to 30 mm k6 +15/+2.
  const auto clearance = [](const char* text) { return clearance_of(*fit_limits(*parse_fit(text))); };
  EXPECT_EQ(character_of(clearance("25 H7/g6")), FitCharacter::kClearance);
  EXPECT_EQ(character_of(clearance("25 H7/h6")), FitCharacter::kClearance);
  EXPECT_EQ(character_of(clearance("25 H7/p6")), FitCharacter::kInterference);
  EXPECT_EQ(character_of(clearance("25 H7/k6")), FitCharacter::kTransition);
  EXPECT_EQ(clearance("22 H7/k6").min_nm, -15000);
  EXPECT_EQ(clearance("22 H7/k6").max_nm, 19000);
}

TEST(FitLimits, ReportsBothClassesAndTheSizeOnce) {
  const auto both = fit_limits(*parse_fit("22 E7/d6"));
  ASSERT_FALSE(both.ok());
  EXPECT_EQ(both.problems().size(), 2U);
  const auto size = fit_limits(*parse_fit("200 H7/k6"));
  ASSERT_FALSE(size.ok());
  EXPECT_EQ(size.problems().size(), 1U);
}

TEST(ShankForBore, FollowsTheBoreAndGivesWayToItsSigma) {
  // Worked by hand: k6 at 22 mm is +15/+2 um; bore 22.037, sigma 0.003 takes 6 um from either end.
  const FitRequest request = *parse_fit("22 H7/k6");
  const SizeLimits exact = *shank_for_bore(request, 22.037, 0.0);
  EXPECT_EQ(exact.min_nm, 22039000);
  EXPECT_EQ(exact.max_nm, 22052000);
  const SizeLimits narrowed = *shank_for_bore(request, 22.037, 0.003);
  EXPECT_EQ(narrowed.min_nm, 22045000);
  EXPECT_EQ(narrowed.max_nm, 22046000);
  // The deviations are those of the nominal size, though the bore lies in the next step: k6 is +15/+2 up
  // to 30.
  EXPECT_EQ(shank_for_bore(*parse_fit("30 k6"), 30.04, 0.0)->max_nm, 30055000);
}

TEST(ShankForBore, AnyShankWithinItFitsEveryBoreWithinTwoSigma) {
  const FitRequest request = *parse_fit("7/8 in H7/k6");
  const Deviations k6 = *deviations(*request.shaft, request.nominal_mm);
  for (int i = 0; i <= 40; ++i) {
    const double bore_mm = 22.2 + 0.0043 * i, sigma_mm = 0.00003 * i;
    const SizeLimits shank = *shank_for_bore(request, bore_mm, sigma_mm);
    for (const double off_mm : {-2.0 * sigma_mm, 0.0, 2.0 * sigma_mm}) {
      const std::int64_t bore_nm = nanometres(bore_mm + off_mm);
      EXPECT_GE(shank.min_nm - bore_nm, k6.lower_nm - 1);  // 1 nm: either end is rounded once
      EXPECT_LE(shank.max_nm - bore_nm, k6.upper_nm + 1);
    }
  }
}

TEST(ShankForBore, SaysWhyThereIsNone) {
  const auto text = [](const char* fit, double bore_mm, double sigma_mm) {
    const auto found = shank_for_bore(*parse_fit(fit), bore_mm, sigma_mm);
    return found.ok() ? "no problem" : describe(found.problems()[0]);
  };
  EXPECT_EQ(text("22 H7", 22.037, 0.0),
            "E443 a shank for a bore needs a shaft class; write it behind the hole class: \"22 H7/k6\"");
  EXPECT_EQ(text("22 k6", 25.4, 0.0),
            "E444 bore: 25.4 mm, and the nominal size is 22 mm; measure again, or state the nominal size "
            "nearest to the "
            "bore");
  EXPECT_EQ(text("22 k6", 22.037, -0.1), "E444 sigma: -0.1 mm; a sigma is a number, 0 or above");
  EXPECT_EQ(text("22 k6", std::numeric_limits<double>::quiet_NaN(), 0.0).substr(0, 4), "E444");
  EXPECT_EQ(text("22 k6", 22.037, 0.0033),
            "E780 bore: known to 0.0066 mm at 2 sigma, and k6 is only 0.013 mm wide; measure the bore more "
            "closely, or "
            "choose a wider class");
}

TEST(InchAllowances, GrowWithTheDiameter) {
  // Shop rule from memory: driving fit 1/4 to 1/2 thousandth per inch of diameter.
  for (const InchAllowance& allowance : inch_allowances(50.8)) {
    EXPECT_LE(allowance.least_mm, allowance.most_mm) << allowance.name;
    if (allowance.name != "driving") continue;
    EXPECT_DOUBLE_EQ(allowance.least_mm, 2 * 0.00025 * 25.4);
    EXPECT_DOUBLE_EQ(allowance.most_mm, 2 * 0.0005 * 25.4);
  }
}

}  // namespace
}  // namespace fairhole

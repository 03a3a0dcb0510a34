// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Source: the tables of fixtures/reference (its README says where each was read); typed apart from
// src/fits/data.
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "fairhole/fits/fit.h"
#include "fairhole/fits/iso286.h"
#include "support/evidence.h"
#include "test_reference.h"

namespace fairhole {
namespace {

using fits::reference_table;
using fits::Table;

ToleranceClass named(const std::string& name) {
  const std::size_t digit = name.find_first_of("0123456789");
  return {name.substr(0, digit), std::stoi(name.substr(digit))};
}

/// Sizes at both ends of a row's step: just over its lower limit, and its upper limit itself.
std::vector<double> ends_of(const Table& table, std::size_t row) {
  constexpr double kJustOverMm = 1e-5;
  return {table.number(row, "over_mm") + kJustOverMm, table.number(row, "up_to_incl_mm")};
}

int nm(double um) { return static_cast<int>(std::lround(um * 1000.0)); }

TEST(Iso286Grades, AreThoseOfTheStandardAtBothEndsOfEachStep) {
  const Table table = reference_table("iso286_it_grades.csv");
  ASSERT_EQ(table.rows(), 56U);
  test::Evidence grades = test::published("ISO 286-1 table 1 (Machine Drawing 15.1; PN-EN ISO 286-1:2011)",
                                          "IT5 to IT11, both ends of each step", "um");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const int grade = std::stoi(table.text(row, "grade").substr(2));
    for (const double size_mm : ends_of(table, row)) {
      SCOPED_TRACE(testing::Message() << "IT" << grade << " at " << size_mm);
      grades.equal(*standard_tolerance_um(grade, size_mm), table.number(row, "tolerance"));
    }
  }
}

TEST(Iso286Grades, AreNotWhatTheFormulaGives) {
  // i = 0.45 cbrt(D) + 0.001 D with D the geometric mean of the step; IT5 to IT11 are 7, 10, 16, 25, 40, 64,
  // 100 i. Rounded as the reference table says, it misses ten of the standard's values: why the tables are
  // data.
  constexpr double kFactors[] = {7, 10, 16, 25, 40, 64, 100};
  constexpr double kPrintedUm = 0.0006;
  const Table table = reference_table("iso286_it_grades.csv");
  int missed = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const double mean_mm = std::sqrt(table.number(row, "over_mm") * table.number(row, "up_to_incl_mm"));
    const double unit_um = 0.45 * std::cbrt(mean_mm) + 0.001 * mean_mm;
    const int grade = std::stoi(table.text(row, "grade").substr(2));
    EXPECT_NEAR(kFactors[grade - 5] * unit_um, table.number(row, "formula_raw_um"), kPrintedUm);
    missed += table.number(row, "formula_rounded_um") == *standard_tolerance_um(grade, mean_mm) ? 0 : 1;
  }
  EXPECT_EQ(missed, 10);
}

/// A row of the shaft table against the class of every grade it speaks of.
void expect_shaft_row(const Table& table, std::size_t row, test::Evidence& shafts) {
  const std::string letter = table.text(row, "letter"), grades = table.text(row, "grades");
  const int first = grades == "<=IT3 and >=IT8" ? 8 : 5;
  const int last = grades == "IT4..IT7" ? 7 : 11;
  const bool upper = table.text(row, "deviation") == "upper es";
  for (int grade = first; grade <= last; ++grade) {
    for (const double size_mm : ends_of(table, row)) {
      SCOPED_TRACE(testing::Message() << letter << grade << " at " << size_mm);
      const Deviations found = *deviations({letter, grade}, size_mm);
      shafts.equal(upper ? found.upper_nm : found.lower_nm, nm(table.number(row, "value")));
      EXPECT_EQ(found.upper_nm - found.lower_nm, nm(*standard_tolerance_um(grade, size_mm)));
    }
  }
}

TEST(Iso286Shafts, DeviateAsTheStandardSaysAtBothEndsOfEachStep) {
  const Table table = reference_table("iso286_shaft_deviations.csv");
  ASSERT_EQ(table.rows(), 151U);
  test::Evidence shafts = test::published("ISO 286-1 (Machine Drawing 15.2; a web table; a typed copy)",
                                          "shafts f g h k m n p r s, both ends of each step", "nm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.text(row, "letter") != "js") expect_shaft_row(table, row, shafts);
  }
}

TEST(Iso286Shafts, JsIsHalfTheToleranceEitherWay) {
  for (const double size_mm : {3.5, 10.0, 18.0, 22.225, 30.0, 180.0}) {
    for (int grade = 5; grade <= 11; ++grade) {
      const Deviations shaft = *deviations({"js", grade}, size_mm),
                       hole = *deviations({"JS", grade}, size_mm);
      EXPECT_EQ(2 * shaft.upper_nm, nm(*standard_tolerance_um(grade, size_mm)));
      EXPECT_EQ(shaft.lower_nm, -shaft.upper_nm);
      EXPECT_EQ(hole.upper_nm, shaft.upper_nm);
      EXPECT_EQ(hole.lower_nm, shaft.lower_nm);
    }
  }
}

/// ES of a hole in um from its row by the row's own rule, with delta of the delta table.
double upper_by_rule(const Table& holes, std::size_t row, int grade, double delta_um) {
  const std::string letter = holes.text(row, "letter");
  const double base_um = holes.number(row, "base_value");
  const int last_with_delta = letter == "P" ? 7 : 8;
  if (grade <= last_with_delta) return base_um + delta_um;
  return letter == "N" ? 0.0 : base_um;
}

double delta_of(const Table& deltas, int grade, double size_mm) {
  for (std::size_t row = 0; row < deltas.rows(); ++row) {
    if (deltas.text(row, "grade") == "IT" + std::to_string(grade) &&
        size_mm > deltas.number(row, "over_mm") && size_mm <= deltas.number(row, "up_to_incl_mm"))
      return deltas.number(row, "delta");
  }
  return 0.0;
}

TEST(Iso286Holes, DeviateAsTheStandardSaysAtBothEndsOfEachStep) {
  const Table holes = reference_table("iso286_hole_deviations.csv"),
              deltas = reference_table("iso286_delta.csv");
  ASSERT_EQ(holes.rows(), 105U);
  ASSERT_EQ(deltas.rows(), 48U);
  test::Evidence examples = test::published("BS 4500:1969 in Machinery's Handbook, 31st ed., pp. 768-769",
                                            "holes G H JS K M N P, both ends of each step", "nm");
  for (std::size_t row = 0; row < holes.rows(); ++row) {
    const std::string letter = holes.text(row, "letter"), example = holes.text(row, "example_class");
    for (const double size_mm : ends_of(holes, row)) {
      SCOPED_TRACE(testing::Message() << letter << " at " << size_mm);
      const Deviations seven = *deviations(named(example), size_mm);
      examples.equal(static_cast<double>(seven.upper_nm), nm(holes.number(row, "example_upper_um")));
      examples.equal(static_cast<double>(seven.lower_nm), nm(holes.number(row, "example_lower_um")));
      if (letter == "JS") continue;
      for (int grade = 5; grade <= (letter == "K" ? 8 : 11); ++grade) {
        const Deviations found = *deviations({letter, grade}, size_mm);
        if (letter == "G" || letter == "H") {
          EXPECT_EQ(found.lower_nm, nm(holes.number(row, "base_value"))) << grade;
        } else {
          EXPECT_EQ(found.upper_nm, nm(upper_by_rule(holes, row, grade, delta_of(deltas, grade, size_mm))))
              << grade;
        }
        EXPECT_EQ(found.upper_nm - found.lower_nm, nm(*standard_tolerance_um(grade, size_mm)));
      }
    }
  }
}

TEST(Iso286Holes, WithoutAPublishedTableFollowTheSameRules) {
  // Source: ISO 286-2 limits from memory: F8 18-30 +53/+20, F7 50-80 +60/+30, R7 18-24 -20/-41, S7 18-24
  // -27/-48, S7 50-65 -42/-72, R8 30-50 -34/-73. A second memory than the shaft table's: found before it was
  // computed.
  struct Case {
    const char* name;
    double size_mm;
    int upper_um, lower_um;
  };
  for (const Case& c : {Case{"F8", 22, 53, 20}, Case{"F7", 60, 60, 30}, Case{"R7", 22, -20, -41},
                        Case{"S7", 22, -27, -48}, Case{"S7", 60, -42, -72}, Case{"R8", 40, -34, -73}}) {
    SCOPED_TRACE(c.name);
    const Deviations found = *deviations(named(c.name), c.size_mm);
    EXPECT_EQ(found.upper_nm, c.upper_um * 1000);
    EXPECT_EQ(found.lower_nm, c.lower_um * 1000);
  }
}

TEST(Iso286Limits, AreTheWorkedOnes) {
  const Table table = reference_table("iso286_worked_limits.csv");
  ASSERT_EQ(table.rows(), 95U);
  test::Evidence limits = test::second_method("a separate program on the tables of ISO 286",
                                              "limits of 19 classes at 12, 18, 20, 24 and 25 mm", "nm");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    SCOPED_TRACE(table.text(row, "nominal_mm") + " " + table.text(row, "class"));
    const SizeLimits found = *limits_of(named(table.text(row, "class")), table.number(row, "nominal_mm"));
    limits.equal(static_cast<double>(found.max_nm),
                 static_cast<double>(nanometres(table.number(row, "max_size"))));
    limits.equal(static_cast<double>(found.min_nm),
                 static_cast<double>(nanometres(table.number(row, "min_size"))));
  }
}

/// A published row: the numbers it should print, as whole nm from the smaller to the larger.
std::pair<std::int64_t, std::int64_t> published(const Table& table, std::size_t row, double per_unit) {
  const std::int64_t a = std::llround(table.number(row, "published_a") * per_unit);
  const std::int64_t b = std::llround(table.number(row, "published_b") * per_unit);
  return std::minmax(a, b);
}

TEST(Iso286Published, FitsAreReproducedAndTheWrongPageIsNot) {
  const Table table = reference_table("iso286_published_examples.csv");
  ASSERT_EQ(table.rows(), 14U);
  test::Evidence fits =
      test::published("Machine Drawing p. 225; Bhandari, Design of Machine Elements, ex. 3.3; two pages",
                      "limits of published fits", "nm");
  int agreeing = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string what = table.text(row, "fit_or_class");
    SCOPED_TRACE(table.text(row, "nominal_mm") + " " + what);
    const FitLimits fit = *fit_limits(*parse_fit(table.text(row, "nominal_mm") + " " + what));
    const bool both =
        fit.hole && fit.shaft;  // a fit prints its clearances in mm, a class its deviations in um
    const std::int64_t nominal_nm = nanometres(table.number(row, "nominal_mm"));
    const SizeLimits size = fit.hole ? *fit.hole : *fit.shaft;
    const SizeLimits found =
        both ? clearance_of(fit) : SizeLimits{size.min_nm - nominal_nm, size.max_nm - nominal_nm};
    const auto [least_nm, most_nm] = published(table, row, both ? 1e6 : 1e3);
    // The page that is wrong takes 30 mm into the step 30 to 50, and other k6 and p6 than every other source.
    const bool agrees = found.min_nm == least_nm && found.max_nm == most_nm;
    EXPECT_EQ(agrees, table.text(row, "check") == "agrees");
    agreeing += agrees ? 1 : 0;
    if (table.text(row, "check") != "agrees") continue;
    fits.equal(static_cast<double>(found.min_nm), static_cast<double>(least_nm));
    fits.equal(static_cast<double>(found.max_nm), static_cast<double>(most_nm));
  }
  EXPECT_EQ(agreeing, 10);
}

TEST(Iso286Limits, OfInchSizesTakeTheStepThatHoldsThem) {
  // 7/8 in = 22.225 mm lies in 18 to 30: H7 +21/0, k6 +15/+2 (the tables above). 11/16 in = 17.4625 mm: H7
  // +18.
  const SizeLimits hole = *limits_of({"H", 7}, 22.225), shaft = *limits_of({"k", 6}, 22.225);
  EXPECT_EQ(hole.min_nm, 22225000);
  EXPECT_EQ(hole.max_nm, 22246000);
  EXPECT_EQ(shaft.min_nm, 22227000);
  EXPECT_EQ(shaft.max_nm, 22240000);
  EXPECT_EQ(limits_of({"H", 7}, 17.4625)->max_nm, 17480500);
}

std::string complaint(const std::string& letter, int grade, double size_mm) {
  const auto found = deviations({letter, grade}, size_mm);
  return found.ok() ? "no problem" : describe(found.problems()[0]);
}

TEST(Iso286Limits, SayWhatTheTablesDoNotHold) {
  const std::string remedy =
      "; use F G H JS K M N P R S (holes) or f g h js k m n p r s (shafts) with grades 5 to 11, K up to 8";
  EXPECT_EQ(complaint("e", 7, 20), "E441 tolerance class e7: the tables hold no such letter" + remedy);
  EXPECT_EQ(complaint("Js", 7, 20), "E441 tolerance class Js7: the tables hold no such letter" + remedy);
  EXPECT_EQ(complaint("h", 12, 20), "E441 tolerance class h12: the tables hold grades 5 to 11 only" + remedy);
  EXPECT_EQ(complaint("K", 9, 20),
            "E441 tolerance class K9: the standard defines K up to grade 8 only" + remedy);
  EXPECT_EQ(complaint("k", 9, 20), "no problem");
  const std::string sizes = "; give a nominal size of 3 mm or more, up to and including 180 mm";
  EXPECT_EQ(complaint("h", 7, 2.99), "E442 the tables hold no size of 2.99 mm" + sizes);
  EXPECT_EQ(complaint("h", 7, 180.5), "E442 the tables hold no size of 180.5 mm" + sizes);
  EXPECT_EQ(complaint("h", 7, 180), "no problem");
  EXPECT_EQ(complaint("h", 7, std::numeric_limits<double>::quiet_NaN()).substr(0, 4), "E442");
}

/// Typed from ISO 286-2:2010 from memory, apart from the program's own row: the step up to and including
/// 3 mm is in none of the transcribed tables. There delta is nought and N above IT8 keeps its -ei.
TEST(Iso286Limits, OfThreeMillimetresTakeTheStepThatEndsThere) {
  struct Row {
    const char* letter;
    int grade, upper_um, lower_um;
  };
  for (const Row& row :
       {Row{"H", 7, 10, 0}, {"H", 8, 14, 0},    {"H", 11, 60, 0},   {"G", 7, 12, 2},   {"JS", 6, 3, -3},
        {"K", 7, 0, -10},   {"K", 9, 0, -25},   {"M", 7, -2, -12},  {"N", 7, -4, -14}, {"N", 9, -4, -29},
        {"P", 7, -6, -16},  {"R", 7, -10, -20}, {"S", 7, -14, -24}, {"f", 7, -6, -16}, {"g", 6, -2, -8},
        {"h", 5, 0, -4},    {"k", 6, 6, 0},     {"m", 6, 8, 2},     {"n", 6, 10, 4},   {"p", 6, 12, 6},
        {"r", 6, 16, 10},   {"s", 6, 20, 14}}) {
    SCOPED_TRACE(testing::Message() << row.letter << row.grade);
    const auto found = deviations({row.letter, row.grade}, 3.0);
    ASSERT_TRUE(found.ok());
    EXPECT_EQ(found->upper_nm, row.upper_um * 1000);
    EXPECT_EQ(found->lower_nm, row.lower_um * 1000);
  }
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Source: Steel Buildings in Europe, Multi-storey Part 5, worked example 5.4 (column splice, flange cover
// plate): fixtures/reference/en1993_worked_example.csv.
#include "fairhole/fasteners/resistance.h"

#include <gtest/gtest.h>

#include "../fits/test_reference.h"
#include "support/evidence.h"

namespace fairhole::fasteners {
namespace {

constexpr double kPrintedN = 500.0;   // printed to 1 kN
constexpr double kRoundedN = 1000.0;  // the end bolt's 143 kN was reckoned with alpha_b rounded to 0.61
constexpr double kPrinted2 = 0.0051;  // printed to two decimals

std::string printed(const std::string& quantity) {
  const fits::Table table = fits::reference_table("en1993_worked_example.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.text(row, "quantity") == quantity) return table.text(row, "value");
  }
  ADD_FAILURE() << "no " << quantity;
  return "0";
}

double value(const std::string& quantity) { return std::stod(printed(quantity)); }

test::Evidence example(const char* quantity, const char* unit = "") {
  return test::published("Steel Buildings in Europe, Multi-storey Part 5, example 5.4", quantity, unit);
}

/// The example's bolt: gamma_Mu = 1.1, a tying check.
Bearing bearing(const BearingPlace& place) {
  return bearing_of(place, value("d"), value("d0"), value("t_p"), value("fu,p"), value("fub"),
                    value("gamma_Mu"));
}

double example_shear_n() {
  return shear_resistance_n(shear_factor(8.8, true), value("fub"), value("As"), value("gamma_Mu")) *
         packing_factor(value("d"), value("pack thickness t_pa"));
}

TEST(En1993Example, ShearThroughPacking) {
  example("packing factor")
      .near(packing_factor(value("d"), value("pack thickness t_pa")), value("beta_p"), kPrinted2);
  example("shear of the bolt", "N").near(example_shear_n(), 1000 * value("Fv,Rd"), kPrintedN);
}

TEST(En1993Example, Bearing) {
  const Bearing end = bearing({value("e1"), value("p1"), value("e2"), value("p2")});
  example("k1").near(end.k1, value("k1"), kPrinted2);
  example("alpha_b, end and inner bolt").near(end.alpha_b, value("alpha_b end"), kPrinted2);
  example("bearing, end bolt (its alpha_b rounded there)", "N")
      .near(end.resistance_n, 1000 * value("Fb,Rd end"), kRoundedN);
  const Bearing inner = bearing({std::nullopt, value("p1"), value("e2"), value("p2")});
  example("alpha_b, end and inner bolt").near(inner.alpha_b, value("alpha_b inner"), kPrinted2);
  example("bearing, inner bolt", "N").near(inner.resistance_n, 1000 * value("Fb,Rd inner"), kPrintedN);
  EXPECT_NEAR(2.8 * value("e2") / value("d0") - 1.7, value("2.8 e2/d0 - 1.7"), 0.051);
}

TEST(En1993Example, GroupAndBlock) {
  const double end_n = bearing({value("e1"), value("p1"), value("e2"), value("p2")}).resistance_n;
  const double inner_n = bearing({std::nullopt, value("p1"), value("e2"), value("p2")}).resistance_n;
  const double shear_n = example_shear_n();
  example("group of four", "N")
      .near(group_resistance_n({end_n, end_n, inner_n, inner_n}, {shear_n, shear_n, shear_n, shear_n}),
            1000 * value("F_Rd group = 4 Fv,Rd"), kPrintedN);
  // Block tearing there is reckoned with gamma_M2 = 1.25 and gamma_M0 = 1.0.
  example("block tearing", "N")
      .near(block_tearing_n(value("fu,p"), value("fy,p"), value("Ant"), value("Anv"), 1.25, 1.0),
            1000 * value("Veff,1,Rd"), kPrintedN);
}

TEST(Resistance, OfAGroupIsTheSumWhereShearDoesNotGovern) {
  EXPECT_EQ(group_resistance_n({10, 20}, {20, 25}), 30.0);
  EXPECT_EQ(group_resistance_n({10, 20}, {19, 25}), 20.0);
  EXPECT_EQ(group_resistance_n({30, 40}, {19, 25}), 38.0);
}

TEST(Resistance, FactorsOfTable34) {
  EXPECT_EQ(shear_factor(8.8, true), 0.6);
  EXPECT_EQ(shear_factor(10.9, true), 0.5);
  EXPECT_EQ(shear_factor(10.9, false), 0.6);
  EXPECT_EQ(shear_factor(4.8, true), 0.5);
  EXPECT_EQ(shear_factor(4.6, true), 0.6);
  EXPECT_EQ(packing_factor(20, 20.0 / 3), 1.0);
  EXPECT_LT(packing_factor(20, 7), 1.0);
  // Fb with e1 >= 3 d0, e2 >= 1.5 d0, p2 >= 3 d0, p1 >= 3.75 d0 is not reduced: alpha_b = 1, k1 = 2.5.
  const Bearing whole = bearing_of({66.0, 82.5, 33.0, 66.0}, 20, 22, 10, 360, 400, 1.25);
  EXPECT_NEAR(whole.alpha_b, 1.0, 1e-12);
  EXPECT_NEAR(whole.k1, 2.5, 1e-12);
  EXPECT_NEAR(whole.resistance_n, 2.5 * 360 * 20 * 10 / 1.25, 1e-6);
  // An inner bolt at 60 mm: 60/66 - 1/4.
  EXPECT_NEAR(bearing_of({{}, 60.0, 33.0, 66.0}, 20, 22, 10, 360, 400, 1.25).alpha_b, 60.0 / 66 - 0.25,
              1e-12);
  EXPECT_LT(bearing_of({65.0, 82.5, 33.0, 66.0}, 20, 22, 10, 360, 400, 1.25).alpha_b, 1.0);
  EXPECT_EQ(bearing_of({66.0, {}, 10.0, {}}, 20, 22, 10, 360, 400, 1.25).resistance_n, 0.0);
  EXPECT_NEAR(rivet_shear_n(400, 23.5, 1.25), 0.6 * 400 * 433.736 / 1.25, 0.1);
}

}  // namespace
}  // namespace fairhole::fasteners

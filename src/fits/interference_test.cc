// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// Source: fixtures/reference/interference_fit.csv (Lame closed forms recomputed apart from the program; the
// first case is that of Ugural and Fenster).
#include "fairhole/fits/interference.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/evidence.h"
#include "test_reference.h"

namespace fairhole {
namespace {

constexpr double kPrintedMpa = 0.05;     // printed to 0.1 MPa
constexpr double kPrinted2Mpa = 0.0051;  // printed to 0.01 MPa; 15.625 stands as 15.62
constexpr double kPrintedN = 50.0;       // printed to 0.1 kN
constexpr double kExact = 1e-9;

/// Closed forms hold for any yield; 207 GPa is the table's.
Metal elastic(double modulus_mpa, double poisson_ratio) {
  return {"steel", modulus_mpa, poisson_ratio, 235.0, false};
}

PressedPair pin(double outside_mm, double length_mm = 12.0) {
  return {20.0, outside_mm, 0.0, length_mm, elastic(207000, 0.3), elastic(207000, 0.3)};
}

TEST(Lame, CompoundCylinders) {
  const PressedPair pair{400.0, 500.0, 300.0, 1.0, elastic(200000, 0.28), elastic(200000, 0.28)};
  test::published("Ugural and Fenster, Advanced Strength and Applied Elasticity (compound cylinder)",
                  "pressure of the shrink fit", "MPa")
      .near(press(pair, 0.2).pressure_mpa, 12.30, kPrinted2Mpa);
  // The same by the published closed form E delta / b (b2-a2)(c2-b2) / (2 b2 (c2-a2)), radii, radial
  // interference.
  const double a2 = 150.0 * 150.0, b2 = 200.0 * 200.0, c2 = 250.0 * 250.0;
  EXPECT_NEAR(press(pair, 0.2).pressure_mpa,
              200000 * 0.1 / 200 * (b2 - a2) * (c2 - b2) / (2 * b2 * (c2 - a2)), kExact);
}

TEST(Lame, PlateTakesPlaneStressAndNotThePublishedPlaneStrain) {
  const PressedPair pair{150.0, 300.0, 100.0, 1.0, elastic(200000, 0.28), elastic(200000, 0.28)};
  const double pressure_mpa = press(pair, 0.05).pressure_mpa;
  const char* lame = "Lame's equations, apart from the program";
  test::second_method(lame, "pressure in a plate, plane stress", "MPa")
      .near(pressure_mpa, 15.62, kPrinted2Mpa);
  EXPECT_NEAR(pressure_mpa / (1 - 0.28 * 0.28), 16.95, kPrinted2Mpa);  // what the page prints as 16.9
}

TEST(Lame, PinInAPlate) {
  struct Case {
    double outside_mm, pressure_mpa, force_n;
  };
  const char* lame = "Lame's equations, apart from the program";
  test::Evidence pressures = test::second_method(lame, "pressure of a pin in a plate", "MPa");
  test::Evidence forces = test::second_method(lame, "force to push it in", "N");
  for (const Case& c : {Case{40, 77.6, 7000}, Case{60, 92.0, 8300}, Case{100, 99.4, 9000}}) {
    const PressedState state = press(pin(c.outside_mm), 0.02);
    pressures.near(state.pressure_mpa, c.pressure_mpa, kPrintedMpa);
    forces.near(state.force_n, c.force_n, kPrintedN);
    // Same metal, solid shank: p = E delta / (2 d) (1 - (d/Do)^2), whatever Poisson's ratio.
    const double short_form = 207000 * 0.02 / 40 * (1 - std::pow(20 / c.outside_mm, 2));
    EXPECT_NEAR(state.pressure_mpa, short_form, kExact) << c.outside_mm;
  }
  // 20 H7/s6 in a hub of 40 mm: interference 0.014 to 0.048 mm, 54.3 to 186.3 MPa.
  pressures.near(press(pin(40), 0.014).pressure_mpa, 54.3, kPrintedMpa);
  pressures.near(press(pin(40), 0.048).pressure_mpa, 186.3, kPrintedMpa);
}

TEST(Lame, EveryCaseOfTheReferenceTableIsAmongTheTests) {
  const fits::Table table = fits::reference_table("interference_fit.csv");
  ASSERT_EQ(table.rows(), 7U);
  EXPECT_EQ(table.text(0, "result"), "p = 12.30 MPa");
  EXPECT_EQ(table.text(1, "result"), "p = 15.62 MPa plane stress; 16.95 MPa plane strain");
  EXPECT_EQ(table.text(2, "result"), "p = 77.6 MPa, push F = 7.0 kN");
  EXPECT_EQ(table.text(3, "result"), "p = 92.0 MPa, push F = 8.3 kN");
  EXPECT_EQ(table.text(4, "result"), "p = 99.4 MPa, push F = 9.0 kN");
  EXPECT_EQ(table.text(5, "result"), "p = 54.3 .. 186.3 MPa in a 40 mm OD hub");
  EXPECT_EQ(table.text(6, "result"), "-");  // an old rule whose factor F the source does not give
}

TEST(Lame, StressAtTheWallIsThatOfThickCylinders) {
  // Equilibrium of half the hub: hoop tension over the wall carries p d. Hoop(r) = A + B/r^2 (Lame),
  // integrated.
  const PressedState state = press(pin(50), 0.02);
  const double p = state.pressure_mpa, r = 10.0, ro = 25.0;
  const double A = p * r * r / (ro * ro - r * r), B = A * ro * ro;
  EXPECT_NEAR(A + B / (r * r), state.hub_hoop_mpa, kExact);
  EXPECT_NEAR(A * (ro - r) + B * (1 / r - 1 / ro), p * r, kExact);
  EXPECT_NEAR(state.hub_tresca_mpa, state.hub_hoop_mpa + p, kExact);
  EXPECT_NEAR(state.shaft_tresca_mpa, p, kExact);
}

TEST(Lame, BushClosesOntoItsBolt) {
  // A thin ring under outer pressure p closes on diameter by p d D / (2 t E): 0.1 % wall, so 1 % agreement.
  PressedPair ring{100.0, 200.0, 99.8, 1.0, elastic(200000, 0.3), elastic(200000, 0.3)};
  const PressedState state = press(ring, 0.01);
  const double thin_mm = state.pressure_mpa * 100.0 * 99.8 / (2 * 0.1 * 200000);
  EXPECT_NEAR(state.bore_closes_mm / thin_mm, 1.0, 0.01);
  EXPECT_EQ(press(pin(40), 0.02).bore_closes_mm, 0.0);
}

TEST(Lame, NoInterferenceNoForce) {
  EXPECT_EQ(press(pin(40), 0.0).force_n, 0.0);
  EXPECT_EQ(press(pin(40), -0.02).pressure_mpa, 0.0);
}

TEST(Driving, IsSaidInWords) {
  const auto words = [](double interference_mm, double length_mm) {
    return driving(pin(60, length_mm), interference_mm).words;
  };
  EXPECT_EQ(words(0.0, 12), "goes in by hand");
  EXPECT_EQ(words(0.010, 12), "drives with a hammer");
  EXPECT_EQ(words(0.020, 36), "needs a press");
  // Same metal yields by Tresca at delta / d = yield / E, whatever the hub: 235/207000 x 20 = 0.0227 mm.
  EXPECT_EQ(words(0.0226, 12), "drives with a hammer");
  EXPECT_EQ(words(0.0228, 12), "needs a press");
  // p = E delta / (2 d) (1 - 1/9) reaches the shank's 235 MPa at 0.05109 mm; the hub would take 235 ln 3 =
  // 258 MPa.
  EXPECT_EQ(words(0.0510, 12), "needs a press");
  EXPECT_EQ(words(0.0512, 12), "will gall");
  EXPECT_NEAR(HammerBlow{}.force_n(), 19844.0, 10.0);  // 3.175 x 25 / 2 x 0.5 / 0.001, by hand
}

TEST(Driving, CracksCastIronBeforeItGalls) {
  // Steel pin of 20 mm in cast iron 60 mm across, by hand: Ko = (4000/3200 + 0.26)/110000, Ki = (1 -
  // 0.3)/207000, p = delta / (20 x 1.7110e-5); hoop = 1.25 p reaches 120 MPa at p = 96, delta = 0.0329 mm.
  PressedPair pair = pin(60);
  pair.hub = *metal_named("cast iron");
  EXPECT_EQ(driving(pair, 0.0327).words, "drives with a hammer");
  EXPECT_EQ(driving(pair, 0.0330).words, "may crack the hole's wall");
  EXPECT_NE(driving(pair, 0.0330)
                .basis.find("; tension round the hole would reach 121 MPa, and cast iron may break at 120"),
            std::string::npos)
      << driving(pair, 0.0330).basis;
}

TEST(Driving, StatesItsBasis) {
  EXPECT_EQ(driving(pin(60), 0.01).basis,
            "pressure 46 MPa, 4.2 kN over 12 mm of hole, metal 60 mm across round it, friction 0.12; a 3.2 "
            "kg hammer "
            "drives up to 20 kN");
  EXPECT_EQ(driving(pin(60), 0.031).basis,
            "pressure 143 MPa, 12.9 kN over 12 mm of hole, metal 60 mm across round it, friction 0.12; the "
            "hole's wall "
            "(steel) would reach 321 MPa and yields at 235: oil it, and press it once only");
  PressedPair soft = pin(60);
  soft.hub.strength_mpa = 1000.0;
  EXPECT_EQ(driving(soft, 0.06).words, "will gall");
  EXPECT_NE(driving(soft, 0.06).basis.find("at 235 MPa the shank (steel) yields right through"),
            std::string::npos);
}

TEST(Driving, FitsMeantForPressingAreForThePress) {
  // ISO 286-2 at their tightest, mild steel, metal of three diameters: H7/p6 and H7/s6 of 18 to 30 mm (35 and
  // 48 um), p6 of 10 to 18 (29 um), s6 of 30 to 50 (59 um). H7/u6 and beyond are shrunk in; 22 x7 (+75)
  // scrapes.
  const auto words = [](double d, double interference_mm) {
    PressedPair pair = pin(3 * d, d);
    pair.diameter_mm = d;
    return driving(pair, interference_mm).words;
  };
  EXPECT_EQ(words(12, 0.029), "needs a press");
  EXPECT_EQ(words(22, 0.035), "needs a press");
  EXPECT_EQ(words(22, 0.048), "needs a press");
  EXPECT_EQ(words(40, 0.059), "needs a press");
  EXPECT_EQ(words(22, 0.075), "will gall");
  EXPECT_EQ(words(22, 0.015), "drives with a hammer");  // k6
}

TEST(Driving, AThinBushIsPressedUntilItYieldsRightThrough) {
  // Second method: equilibrium dp/dr = yield / r of a ring that yields by Tresca, summed over 20000 rings.
  PressedPair bush = pin(84, 12.0);
  bush.diameter_mm = 28.0;
  bush.inside_mm = 22.0;
  double plastic_mpa = 0.0;
  constexpr int kRings = 20000;
  for (int i = 0; i < kRings; ++i) {
    const double wide = (14.0 - 11.0) / kRings;
    plastic_mpa += 235.0 * wide / (11.0 + (i + 0.5) * wide);
  }
  const PressedState state = press(bush, 0.035);  // H7/p6 at its tightest
  EXPECT_NEAR(state.shaft_plastic_mpa, plastic_mpa, 1e-4);
  EXPECT_NEAR(state.hub_plastic_mpa, 235.0 * std::log(3.0), kExact);
  EXPECT_EQ(driving(bush, 0.035).words, "needs a press");
  const double galls_mm = 0.035 * plastic_mpa / state.pressure_mpa;  // pressure goes with the interference
  EXPECT_EQ(driving(bush, galls_mm * 0.999).words, "needs a press");
  EXPECT_EQ(driving(bush, galls_mm * 1.001).words, "will gall");
}

TEST(Metals, AreFoundByName) {
  EXPECT_EQ(metals().front().name, "steel");
  EXPECT_EQ(metal_named("cast iron")->modulus_mpa, 110000.0);
  EXPECT_EQ(describe(metal_named("pewter").problems()[0]),
            "E445 \"pewter\" is no metal of the list; write one of: steel, wrought iron, cast iron, bronze");
}

}  // namespace
}  // namespace fairhole

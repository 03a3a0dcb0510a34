// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Source: the examples named at the top of fixtures/networks/*.csv, with the values printed in F. Krumm,
// Geodetic Network Adjustment Examples, University of Stuttgart, rev. 3.5, 2020.
#include <gtest/gtest.h>

#include <cmath>

#include "support/evidence.h"
#include "test_readings.h"

namespace fairhole {
namespace {

/// Half a unit of the last printed digit.
constexpr double half_unit(double last_digit) { return 0.5000001 * last_digit; }

constexpr double kFourDecimals = half_unit(1e-4);
constexpr double kFiveDecimals = half_unit(1e-5);
constexpr double kTenthMilli = half_unit(1e-5);  // printed in cm with three decimals: 0.01 mm of the metre

double sigma0_of(const SurveyResult& r) { return std::sqrt(r.chi2 / r.dof); }

test::Evidence krumm(const std::string& example, const std::string& quantity, const std::string& unit) {
  return test::published(example + ", in Krumm 2020", quantity, unit);
}

struct Point {
  const char* id;
  double x, y, sx, sy;
};

void expect_points(const SurveyResult& r, const std::string& example, const std::string& unit,
                   std::initializer_list<Point> points, double place_tolerance, double sigma_tolerance) {
  test::Evidence places = krumm(example, "coordinates of the new points", unit);
  test::Evidence sigmas = krumm(example, "standard deviations of the new points", unit);
  const double sigma0 = sigma0_of(r);
  for (const Point& p : points) {
    SCOPED_TRACE(p.id);
    const MeasuredHole* hole = r.face.find(p.id);
    ASSERT_NE(hole, nullptr);
    places.near(hole->centre_mm.x(), p.x, place_tolerance).near(hole->centre_mm.y(), p.y, place_tolerance);
    sigmas.near(sigma0 * std::sqrt(hole->centre_cov_mm2(0, 0)), p.sx, sigma_tolerance)
        .near(sigma0 * std::sqrt(hole->centre_cov_mm2(1, 1)), p.sy, sigma_tolerance);
  }
}

SurveyResult adjusted(const char* file) {
  SurveyOptions options;
  options.look_for_blunders = false;  // the books adjust all readings as they stand
  return test::must_adjust(test::read_network(file), options);
}

TEST(PublishedNets, TrilaterationOfBenning) {
  const SurveyResult r = adjusted("C1-trilateration.csv");
  const char* example = "Benning 2011, example 8-2 (trilateration)";
  EXPECT_EQ(r.dof, 1);
  krumm(example, "sigma nought", "mm").near(sigma0_of(r) * 10.0, 6.882, half_unit(1e-3));  // a priori 10 mm
  expect_points(r, example, "m",
                {{"3", -0.0096, -0.0226, 0.00901, 0.00637}, {"4", 999.9930, 0.0174, 0.00901, 0.00637}},
                kFourDecimals, kTenthMilli);
  // The book's residual is adjusted minus measured.
  const double published_cm[] = {0.260, -0.368, -0.368, 0.260, 0.260};
  const double redundancy[] = {0.1429, 0.2857, 0.2857, 0.1429, 0.1429};
  test::Evidence residuals = krumm(example, "residuals", "cm");
  test::Evidence shares =
      test::second_method("numpy, apart from the program", "redundancy, Benning's example");
  for (std::size_t i = 0; i < 5; ++i) {
    residuals.near(-100.0 * r.readings[4 + i].residual_mm, published_cm[i], half_unit(1e-3));
    shares.near(r.readings[4 + i].redundancy, redundancy[i], half_unit(1e-4));
  }
}

TEST(PublishedNets, OnePointOfStrangAndBorre) {
  const SurveyResult r = adjusted("C2a-one-point.csv");
  const char* example = "Strang and Borre 1997, example 10.1 (one point)";
  expect_points(r, example, "m", {{"P", 170.7029, 170.7234, 0.03303, 0.02335}}, kFourDecimals, kTenthMilli);
  test::second_method("numpy, apart from the program", "sigma nought, Strang and Borre's one point", "mm")
      .near(sigma0_of(r) * 10.0, 33.03, half_unit(1e-2));
}

TEST(PublishedNets, FreeNetOfStrangAndBorre) {
  const SurveyResult r = adjusted("C2b-free-net.csv");
  EXPECT_TRUE(r.shape_only);
  test::second_method("numpy, apart from the program", "sigma nought, Strang and Borre's free net", "mm")
      .near(sigma0_of(r) * 10.0, 11.76, half_unit(1e-2));
  // Points 2 and 3: x sd .64049 and .64051 cm, printed .641 and .640 for the two of them: one unit of the
  // last digit.
  constexpr double kOneUnit = 1e-5;
  expect_points(r, "Strang and Borre 1997, example 12.4 (free net)", "m",
                {{"P", 170.7123, 170.7185, 0.01079, 0.00682},
                 {"1", 170.7032, 270.7213, 0.00810, 0.00551},
                 {"2", 99.9912, 99.9971, 0.00641, 0.00705},
                 {"3", 241.4333, 99.9830, 0.00640, 0.00705}},
                kFourDecimals, kOneUnit);
}

TEST(PublishedNets, TrilaterationOfGhilani) {
  const SurveyResult r = adjusted("C4-trilateration-feet.csv");
  test::second_method("numpy, apart from the program", "sigma nought, Ghilani's trilateration", "ft")
      .near(sigma0_of(r), 0.1359, half_unit(1e-4));
  expect_points(
      r, "Ghilani 2010, example 14.5 (trilateration)", "ft",
      {{"Wisconsin", 5776.9044, 11043.2945, 0.149, 0.221}, {"Campus", 6892.6955, 7603.2551, 0.104, 0.271}},
      kFourDecimals, half_unit(1e-3));
}

TEST(PublishedNets, LevellingOfGhilani) {
  const SurveyResult r = adjusted("C6-levelling.csv");
  const char* example = "Ghilani 2010, example 12.6 (levelling)";
  EXPECT_EQ(r.dof, 3);
  krumm(example, "weighted sum of squares", "").near(r.chi2, 1.27212, kFiveDecimals);
  krumm(example, "sigma nought", "").near(sigma0_of(r), 0.6512, kFourDecimals);
  struct Height {
    const char* id;
    double x, sd_mm;
  };
  test::Evidence heights = krumm(example, "heights", "m");
  test::Evidence sigmas = krumm(example, "standard deviations of the heights", "mm");
  for (const Height& p : {Height{"B", 448.10871, 2.30}, {"C", 453.46847, 2.64}, {"D", 444.94361, 1.76}}) {
    SCOPED_TRACE(p.id);
    const MeasuredHole* hole = r.face.find(p.id);
    heights.near(hole->centre_mm.x(), p.x, kFiveDecimals);
    sigmas.near(1000.0 * sigma0_of(r) * std::sqrt(hole->centre_cov_mm2(0, 0)), p.sd_mm, half_unit(1e-2));
  }
  const double published_mm[] = {3.71, -0.24, -1.86, 0.39, 1.89, -8.53};
  const double redundancy[] = {.6549, .3294, .5092, .1877, .4326, .8862};
  test::Evidence residuals = krumm(example, "residuals", "mm");
  test::Evidence shares =
      test::second_method("numpy, apart from the program", "redundancy, Ghilani's levelling");
  for (std::size_t i = 0; i < 6; ++i) {
    const ReadingVerdict& v = r.readings[6 + 2 * i];
    residuals.near(-1000.0 * v.residual_mm, published_mm[i], half_unit(1e-2));
    shares.near(v.redundancy, redundancy[i], half_unit(1e-4));
  }
}

TEST(PublishedTapes, OfThreeClasses) {
  test::Evidence limits = test::published("Directive 2014/32/EU annex X (MI-008)",
                                          "tapes I, II, III: a, b, c of a + b L + c", "mm");
  struct Row {
    const char* name;
    double a_mm, b_mm_per_m, c_mm;
  };
  for (const Row& row : {Row{"I", 0.1, 0.1, 0.1}, {"II", 0.3, 0.2, 0.2}, {"III", 0.6, 0.4, 0.3}}) {
    const auto found = tape_class(row.name);
    ASSERT_TRUE(found) << row.name;
    limits.equal(found->a_mm, row.a_mm).equal(found->b_mm_per_m, row.b_mm_per_m).equal(found->c_mm, row.c_mm);
  }
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Checks of the parts that inference is made of: the circle through holes, the odds of round values, the
// prior of series.
#include <gmock/gmock.h>

#include <cmath>
#include <complex>
#include <map>
#include <numbers>

#include "fairhole/inference/inference.h"
#include "ring_shape.h"
#include "support/evidence.h"
#include "test_drawings.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using test::made_part;
using test::row_of;

constexpr double kRoundingMm = 1e-9;  // sums of a hundred terms
constexpr double kOwnMm = 0.2;
constexpr double kInch = kMmPerInch;

/// Gander, Golub and Strebel 1994, BIT 34:558-578: six points, circle of least squared distances.
TEST(FitCircle, PublishedExample) {
  constexpr double kPrinted = 5e-5;  // four decimals are printed
  Vector2d centre(5.3794, 7.2532);   // the paper's algebraic fit
  double radius = 3.0370;
  ASSERT_TRUE(inference::fit_circle({{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}}, centre, radius));
  test::published("Gander, Golub and Strebel 1994, BIT 34:558, six points",
                  "geometric circle: centre, radius")
      .near(centre.x(), 4.7398, kPrinted)
      .near(centre.y(), 2.9835, kPrinted)
      .near(radius, 4.7142, kPrinted);
}

TEST(FitCircle, RunsAwayFromAStraightLine) {
  Vector2d centre(0.0, 10.0);
  double radius = 10.0;
  EXPECT_FALSE(inference::fit_circle({{0, 0}, {1, 0}, {2, 0}, {3, 0}}, centre, radius));
}

/// Second method: with turn and scatter all but known, the odds of one row by trying every value of both
/// units' series near the holes against the likelihood of the holes themselves, those without a say left out.
TEST(RoundValues, OddsAgreeWithTryingEveryValue) {
  constexpr double kOddsTolerance = 2e-3;  // the sum leaves out 2e-4, printed odds are in hundredths
  std::mt19937_64 rng(13);
  PatternInference rules;
  rules.scatter_log_sd = 1e-3;
  rules.turn_sigma = Angle::radians(1e-9);
  for (int run = 0; run < 10; ++run) {
    const double pitch_mm = test::uniform(rng, 60.0, 90.0), first_mm = test::uniform(rng, 30.0, 60.0);
    const MeasuredFace face = made_part(row_of(first_mm, pitch_mm, 5, 57.0), 0.0, 0.5, kOwnMm, rng);
    const auto got = rules(face);
    ASSERT_TRUE(got);
    ASSERT_EQ(got->items.size(), 1u);
    std::vector<std::pair<int, Vector2d>> heard;  // the hole's place in the row, and where it is
    for (int k = 0; k < 5; ++k) {
      if (!got->items[0].places[static_cast<std::size_t>(k)].strayed)
        heard.emplace_back(k, face.holes[static_cast<std::size_t>(k)].centre_mm);
    }
    const double s2 = 0.5 * 0.5 + kOwnMm * kOwnMm;
    std::map<Unit, double> evidence;
    std::map<std::pair<Unit, long>, double> by_pitch;
    for (const Unit unit : {Unit::kMm, Unit::kInch}) {
      const double step = rules.series.finest_mm(unit);
      double gauge = 0.0, spacing = 0.0;
      std::map<long, double> pitches;
      for (int g = static_cast<int>(std::lround(52.0 / step)); g * step < 62.0; ++g) {
        double squares = 0.0;
        for (const auto& [k, at] : heard) squares += std::pow(at.y() - g * step, 2);
        gauge += rules.series.weight_mm(unit, g) * std::exp(-0.5 * squares / s2);
      }
      for (int p = static_cast<int>(std::lround((pitch_mm - 3.0) / step)); p * step < pitch_mm + 3.0; ++p) {
        for (int a = static_cast<int>(std::lround((first_mm - 8.0) / step)); a * step < first_mm + 8.0; ++a) {
          double squares = 0.0;
          for (const auto& [k, at] : heard) squares += std::pow(at.x() - a * step - k * p * step, 2);
          const double mass = rules.series.weight_mm(unit, p) * rules.series.weight_mm(unit, a) *
                              std::exp(-0.5 * squares / s2);
          spacing += mass;
          pitches[p] += mass;
        }
      }
      evidence[unit] = 0.5 * gauge * spacing;
      for (const auto& [p, mass] : pitches) by_pitch[{unit, p}] = 0.5 * gauge * mass;
    }
    const double all = evidence[Unit::kMm] + evidence[Unit::kInch];
    EXPECT_NEAR(got->unit_odds, evidence[got->unit] / all, kOddsTolerance);
    const RoundValue& pitch = got->items[0].dimensions[0].candidates[0];
    double expected = 0.0;  // a value of both units counts in both
    for (const auto& [key, mass] : by_pitch) {
      if (std::abs(static_cast<double>(key.second) * rules.series.finest_mm(key.first) - pitch.value_mm) <
          1e-6)
        expected += mass / all;
    }
    EXPECT_NEAR(pitch.odds, expected, kOddsTolerance);
  }
}

/// Second method for the pitch: the peak of the holes' periodogram |sum exp(2 pi i x / p)|, no row ever
/// looked for. Peak and least squares have the same first-order error, so they agree far within the scatter.
TEST(RoundValues, PitchAgreesWithThePeriodogram) {
  std::mt19937_64 rng(14);
  for (int run = 0; run < 20; ++run) {
    const double pitch_mm = test::uniform(rng, 50.0, 150.0);
    std::vector<Vector2d> holes = row_of(40.0, pitch_mm, 10, 50.0);
    holes.erase(holes.begin() + 4);
    const MeasuredFace face = made_part(holes, 0.0, 0.5, kOwnMm, rng);
    double peak = 0.0, peak_mm = 0.0;
    for (double p = 155.0; p > 45.0; p -= 0.005) {  // half a pitch peaks too: the longest stays
      std::complex<double> sum = 0.0;
      for (const MeasuredHole& hole : face.holes)
        sum += std::polar(1.0, 2.0 * std::numbers::pi * hole.centre_mm.x() / p);
      if (std::abs(sum) > peak + 0.1) {
        peak = std::abs(sum);
        peak_mm = p;
      } else if (std::abs(sum) > peak && std::abs(p - peak_mm) < 2.0) {
        peak = std::abs(sum);
        peak_mm = p;
      }
    }
    const auto got = PatternInference{}(face);
    ASSERT_TRUE(got);
    ASSERT_EQ(got->items.size(), 1u);
    const Dimension& pitch = got->items[0].dimensions[0];
    EXPECT_NEAR(pitch.measured_mm, peak_mm, pitch.sigma_mm + 0.005);
  }
}

TEST(SeriesPrior, WeighsAValueByTheSeriesItBelongsTo) {
  const SeriesPrior prior;
  // 3 in belongs to all six series; 1/32 in to the last alone. Steps of 1/32 in.
  double all = 0.0;
  for (const Series& series : prior.inch) all += series.share * series.step_mm;
  EXPECT_NEAR(prior.weight_mm(Unit::kInch, 96), all, kRoundingMm);
  EXPECT_NEAR(prior.weight_mm(Unit::kInch, 97), 0.04 * kInch / 32.0, kRoundingMm);
  EXPECT_NEAR(prior.weight_mm(Unit::kMm, -20), 0.3 * 10.0 + 0.35 * 5.0 + 0.3 * 1.0 + 0.05 * 0.5, kRoundingMm);
}

/// Over any long range the prior sums to one a millimetre, whatever the unit: no unit is favoured.
TEST(SeriesPrior, GivesBothUnitsTheSameSum) {
  const SeriesPrior prior;
  for (const Unit unit : {Unit::kMm, Unit::kInch}) {
    double sum = 0.0;
    const long steps = std::lround(2540.0 / prior.finest_mm(unit));
    for (long i = 0; i < steps; ++i) sum += prior.weight_mm(unit, i);
    EXPECT_NEAR(sum, 2540.0, 1e-6);
  }
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <cmath>

#include "simulated_face.h"
#include "test_readings.h"

namespace fairhole {
namespace {

// A second way to both: the reading is mended by as much as the slip, and all is adjusted again.
TEST(DoubtfulReadings, SayWhatMendingTheReadingWouldDo) {
  constexpr double kSlipMm = 0.05;  // so small that the equations stay straight
  std::mt19937_64 random(11);
  const test::SimulatedFace face = test::simulate_face(random, 8, 6);
  SurveyOptions all_kept;
  all_kept.look_for_blunders = false;
  const auto adjusted = adjust(face.readings, all_kept);
  ASSERT_TRUE(adjusted);
  ASSERT_GT(adjusted->face.doubtful.size(), 30U);
  double least = 1.0;
  for (const DoubtfulReading& reading : adjusted->face.doubtful) {
    SCOPED_TRACE(reading.row);
    Readings mended = face.readings;
    mended.rows[static_cast<std::size_t>(reading.row) - 1].value_mm -= kSlipMm;
    const auto again = adjust(mended, all_kept);
    ASSERT_TRUE(again);
    for (std::size_t h = 0; h < adjusted->face.holes.size(); ++h) {
      const Eigen::Vector2d moved = adjusted->face.holes[h].centre_mm - again->face.holes[h].centre_mm;
      EXPECT_LT((moved - kSlipMm * reading.per_mm.segment<2>(2 * static_cast<Eigen::Index>(h))).norm(), 2e-4);
    }
    const double log_ratio = (adjusted->chi2 - again->chi2) / 2.0;
    EXPECT_NEAR(reading.score * kSlipMm - reading.information * kSlipMm * kSlipMm / 2.0, log_ratio, 2e-3);
    least = std::min(least, reading.information);
  }
  EXPECT_LT(least, 1.0);  // some are hardly checked
}

// Four holes, of which each has one `across`: nothing checks it, and an error in it is the hole's.
TEST(DoubtfulReadings, AnUncheckedReadingCarriesItsHoleAlong) {
  const Readings readings = test::must_parse(test::with_header(
      "along,A,,100.0,0.3,\nalong,B,,200.0,0.3,\nalong,C,,300.0,0.3,\ncentres,A,B,100.0,0.3,\n"
      "centres,B,C,100.0,0.3,\ncentres,A,C,200.0,0.3,\nacross,A,,50.0,0.3,\nacross,B,,50.0,0.3,\n"
      "across,C,,50.0,0.3,\n"));
  const SurveyResult result = test::must_adjust(readings);
  ASSERT_EQ(result.face.doubtful.size(), 9U);
  const DoubtfulReading& across = result.face.doubtful[7];
  EXPECT_EQ(across.hole, "B");
  EXPECT_NEAR(across.information, 0.0, 1e-6);
  EXPECT_NEAR(across.per_mm[3], 1.0, 1e-6);
  const DoubtfulReading& along = result.face.doubtful[1];
  // Beside two distances: weight 1/s^2 of 1/s^2 + ... of the straight line's own small net.
  EXPECT_GT(along.information, 0.4 / (0.3 * 0.3));
}

// Slips that were found speak for more that were not; readings alone, against it.
TEST(DoubtfulReadings, ShareOfSlipsFollowsTheFile) {
  const char* rows =
      "along,A,,100.0,0.3,\nalong,B,,200.0,0.3,\nalong,C,,300.0,0.3,\ncentres,A,B,{},0.3,\n"
      "centres,B,C,100.0,0.3,\ncentres,A,C,200.0,0.3,\nacross,A,,50.0,0.3,\nacross,B,,50.0,0.3,\n"
      "across,C,,50.0,0.3,\n";
  const auto share = [&](const char* distance) {
    std::string text = rows;
    text.replace(text.find("{}"), 2, distance);
    const SurveyResult result = test::must_adjust(test::must_parse(test::with_header(text)));
    double odds = 0.0;
    for (const auto& size : result.face.doubtful.front().sizes) odds += size.odds;
    return odds;
  };
  // Beta prior of 2 in 100: (2 + 1) / 109 against 2 / 109 in odds.
  EXPECT_NEAR(share("110.0") / share("100.0"), (3.0 / 106.0) / (2.0 / 107.0), 1e-9);
}

}  // namespace
}  // namespace fairhole

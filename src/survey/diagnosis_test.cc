// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "fairhole/geometry/statistics.h"
#include "fairhole/survey/survey.h"
#include "simulated_face.h"
#include "test_readings.h"

namespace fairhole {
namespace {

using test::must_adjust;
using test::simulate;

test::SimulatedFace quiet_face(unsigned seed) {
  std::mt19937_64 rng(seed);
  return simulate({.holes = 12, .centres_per_hole = 3, .with_tape = false}, rng);
}

int row_of(const Readings& readings, ReadingKind kind, const HoleId& from) {
  for (std::size_t i = 0; i < readings.rows.size(); ++i) {
    if (readings.rows[i].kind == kind && readings.rows[i].from == from) return static_cast<int>(i);
  }
  ADD_FAILURE() << "no such reading";
  return 0;
}

std::vector<int> rejected_rows(const SurveyResult& result) {
  std::vector<int> rows;
  for (const ReadingVerdict& v : result.readings) {
    if (v.rejected) rows.push_back(v.row);
  }
  return rows;
}

struct NamedSlip {
  const char* name;
  double size_mm;
};
void PrintTo(const NamedSlip& slip, std::ostream* os) { *os << slip.name; }
class SlipOfAReading : public testing::TestWithParam<NamedSlip> {};

TEST_P(SlipOfAReading, IsFoundAndNamed) {
  test::SimulatedFace face = quiet_face(5);
  const auto row = static_cast<std::size_t>(row_of(face.readings, ReadingKind::kAcross, "H5"));
  face.readings.rows[row].value_mm += GetParam().size_mm;
  const SurveyResult result = must_adjust(face.readings);
  EXPECT_THAT(rejected_rows(result), testing::ElementsAre(face.readings.rows[row].row));
  ASSERT_TRUE(result.readings[row].slip);
  EXPECT_EQ(result.readings[row].slip->name, GetParam().name);
  constexpr double kExactMm = 1e-9;  // the size of the slip itself, not an estimate
  EXPECT_NEAR(result.readings[row].slip->size_mm, GetParam().size_mm, kExactMm);
  EXPECT_GT(result.readings[row].slip->odds, 0.9);
  EXPECT_GT(result.chi2_p, 0.001);
  EXPECT_GT(result.chi2_before, result.chi2);
}
INSTANTIATE_TEST_SUITE_P(Trade, SlipOfAReading,
                         testing::Values(NamedSlip{"100 mm start", 100.0}, NamedSlip{"1 in start", 25.4},
                                         NamedSlip{"a foot", 304.8}, NamedSlip{"1 in", -25.4}));

TEST(Snooping, LeavesGoodReadingsAlone) {
  int rejected = 0;
  for (unsigned seed = 100; seed < 120; ++seed) {
    rejected += static_cast<int>(rejected_rows(must_adjust(quiet_face(seed).readings)).size());
  }
  // 20 faces of about 70 readings, each falsely set aside once in a thousand: 1.4 expected; 7 is 4 sigma.
  EXPECT_LE(rejected, 7);
}

TEST(Snooping, FindsTwoBlundersInOneHole) {
  test::SimulatedFace face = quiet_face(7);
  const auto along = static_cast<std::size_t>(row_of(face.readings, ReadingKind::kAlong, "H5"));
  const auto run = static_cast<std::size_t>(row_of(face.readings, ReadingKind::kRun, "H5"));
  face.readings.rows[along].value_mm += 10.0;  // both tell the same tale
  face.readings.rows[run].value_mm += 10.0;
  const SurveyResult result = must_adjust(face.readings);
  EXPECT_THAT(rejected_rows(result),
              testing::UnorderedElementsAre(face.readings.rows[along].row, face.readings.rows[run].row));
}

TEST(Snooping, ClaimsNoLocationWhereNoneCanBeHad) {
  // One redundant reading: every reading of the loop bears the same w (the published trilateration shows it
  // too).
  const std::string rows =
      "along,A,,100,0.3,\nacross,A,,50,0.3,\nalong,B,,200,0.3,\nacross,B,,50,0.3,\n"
      "centres,A,B,110,0.3,\n";
  const SurveyResult result = must_adjust(test::must_parse(test::with_header(rows)));
  ASSERT_EQ(rejected_rows(result).size(), 1u);
  for (const ReadingVerdict& v : result.readings) EXPECT_FALSE(v.slip && v.slip->odds > 0.5);
  ASSERT_FALSE(result.together.empty());
  EXPECT_THAT(result.together.front(), testing::ElementsAre(1, 3, 5));
}

TEST(Snooping, OffLeavesEverythingIn) {
  test::SimulatedFace face = quiet_face(9);
  face.readings.rows[0].value_mm += 100.0;
  EXPECT_TRUE(rejected_rows(must_adjust(face.readings, {.look_for_blunders = false})).empty());
}

double worst_axis_mm(const SurveyResult& result) {
  double worst = 0.0;
  for (const MeasuredHole& hole : result.face.holes) {
    worst = std::max(worst, confidence_ellipse(hole.centre_cov_mm2).major_mm);
  }
  return worst;
}

TEST(NextReading, LowersTheWorstUncertaintyByWhatItPredicts) {
  constexpr double kPredictionMm = 1e-4;  // rank-one update against a new adjustment: linearisation only
  for (unsigned seed = 30; seed < 40; ++seed) {
    SCOPED_TRACE(seed);
    std::mt19937_64 rng(seed);
    test::SimulatedFace face = simulate({.holes = 9, .centres_per_hole = 1, .with_tape = false}, rng);
    std::erase_if(face.readings.rows,
                  [](const Reading& r) { return r.kind == ReadingKind::kAlong && r.from == "H8"; });
    SurveyOptions plain;
    plain.look_for_blunders = false;
    plain.next_count = 1;
    const SurveyResult before = must_adjust(face.readings, plain);
    ASSERT_EQ(before.next.size(), 1u);
    Reading taken;
    taken.kind = before.next[0].kind;
    taken.from = before.next[0].from;
    taken.to = before.next[0].to;
    taken.sigma_mm = face.readings.tape_sigma_mm;
    taken.row = static_cast<int>(face.readings.rows.size()) + 1;
    const auto place = [&](const HoleId& id) -> Eigen::Vector2d { return before.face.find(id)->centre_mm; };
    taken.value_mm = taken.kind == ReadingKind::kCentres ? (place(taken.from) - place(taken.to)).norm()
                     : taken.kind == ReadingKind::kAlong
                         ? place(taken.from).x() + place(taken.from).y() * std::tan(before.square_rad)
                         : place(taken.from).y();
    face.readings.rows.push_back(taken);
    const SurveyResult after = must_adjust(face.readings, plain);
    EXPECT_NEAR(worst_axis_mm(before) - worst_axis_mm(after), before.next[0].gain_mm, kPredictionMm);
  }
}

TEST(Unchecked, AreExactlyThoseWithoutRedundancy) {
  const std::string rows =
      "along,A,,100,,\nacross,A,,50,,\nalong,B,,200,,\nacross,B,,50,,\ncentres,A,B,100,,\n";
  const SurveyResult result = must_adjust(test::must_parse(test::with_header(rows)));
  // Across readings only turn the line AB: to first order nothing checks them.
  EXPECT_THAT(result.unchecked, testing::ElementsAre(2, 4));
  for (const int row : result.unchecked) {
    EXPECT_FALSE(result.readings[static_cast<std::size_t>(row - 1)].w);
    EXPECT_FALSE(result.readings[static_cast<std::size_t>(row - 1)].mdb_mm);
  }
}

}  // namespace
}  // namespace fairhole

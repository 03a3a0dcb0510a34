// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>

#include "support/evidence.h"
#include "support/statistics.h"
#include "test_readings.h"
#include "trade_slips.h"

namespace fairhole {
namespace {

constexpr std::uint64_t kSeed = 1851;
constexpr int kCasesOfEach = 300;
constexpr double kApart = 5.0;  // sigmas between explanations: the nearest rival wins with 0.6 % chance
constexpr double kLeastShare = 0.9;
constexpr double kHighOdds = 0.9;
constexpr int kEnoughClaims = 50;
constexpr int kEnoughCases = 100;

struct Tally {
  int cases = 0;
  int distinguishable = 0;
  int found = 0;  // of the distinguishable: the reading was left out
  int named = 0;  // of the distinguishable: and its slip named
  int claims = 0;
  int claims_right = 0;
};

/// A face of 8 to 19 holes of any common size from 14 to 36 mm, read as written down.
test::SimulatedFace written_face(std::mt19937_64& random) {
  test::SimulatedFace face = test::simulate_face(random, 8 + static_cast<int>(random() % 12U), 7);
  const double larger = -8.0 + 22.0 * test::uniform(random);
  for (int h = 0; h < face.holes; ++h) face.truth[face.d(h)] += larger;
  face.truth[face.common()] += larger;
  face.measure_again(random);
  for (Reading& r : face.readings.rows) test::write_down(r, r.value_mm);
  return face;
}

/// Puts a slip into some reading that can have it.
test::Explanation put_in(test::SimulatedFace& face, const std::string& name, std::mt19937_64& random) {
  while (true) {
    const std::size_t row = random() % face.readings.rows.size();
    Reading& reading = face.readings.rows[row];
    if (reading.kind == ReadingKind::kDia) continue;
    std::vector<double> sizes{-150.0 + 300.0 * test::uniform(random)};
    if (!name.empty()) sizes = test::sizes_of_slip(face, reading, name);
    if (sizes.empty()) continue;
    const double size = sizes[random() % sizes.size()];
    if (!test::can_be_read(reading, reading.value_mm + size)) continue;
    test::write_down(reading, reading.value_mm + size);
    return {row, name, size};
  }
}

using Table = std::map<std::string, Tally>;

void run_case(const std::string& name, std::mt19937_64& random, Table& table) {
  test::SimulatedFace face = written_face(random);
  const test::Explanation truth = put_in(face, name, random);
  Tally& own = table[name];
  ++own.cases;
  SurveyOptions options;
  options.next_count = 0;
  options.full_covariance = false;
  const SurveyResult result = test::must_adjust(face.readings, options);
  ASSERT_EQ(result.readings.size(), face.readings.rows.size());
  const ReadingVerdict& verdict = result.readings[truth.row];
  const bool right = verdict.slip && verdict.slip->name == name;
  if (!name.empty() &&
      test::is_distinguishable(face, face.residual_maker(), truth, test::all_explanations(face), kApart)) {
    ++own.distinguishable;
    own.found += verdict.rejected ? 1 : 0;
    own.named += verdict.rejected && right ? 1 : 0;
  }
  for (std::size_t i = 0; i < result.readings.size(); ++i) {
    const auto& slip = result.readings[i].slip;
    if (!slip || slip->odds < kHighOdds) continue;
    ++table[slip->name].claims;
    table[slip->name].claims_right += i == truth.row && slip->name == name ? 1 : 0;
  }
}

TEST(SlipStatistics, NamesWhatCanBeToldApartAndClaimsHonestly) {
  std::mt19937_64 random(kSeed);
  Table table;
  for (int k = 0; k < test::trials(kCasesOfEach); ++k) {
    for (const std::string& name : test::slip_names()) run_case(name, random, table);
    run_case("", random, table);
  }
  Tally all;
  fmt::print("{:<16} {:>6} {:>16} {:>6} {:>12} {:>7} {:>6}\n", "slip", "cases", "distinguishable", "found",
             "named right", "claims", "right");
  for (const auto& [name, t] : table) {
    fmt::print("{:<16} {:>6} {:>16} {:>6} {:>12} {:>7} {:>6}\n", name.empty() ? "(no name)" : name, t.cases,
               t.distinguishable, t.found, t.named, t.claims, t.claims_right);
    all.distinguishable += t.distinguishable;
    all.named += t.named;
    all.claims += t.claims;
    all.claims_right += t.claims_right;
  }
  fmt::print("{:<16} {:>6} {:>16} {:>6} {:>12} {:>7} {:>6}\n", "all", "", all.distinguishable, "", all.named,
             all.claims, all.claims_right);
  if (!test::judge_frequencies()) return;
  for (const auto& [name, t] : table) {
    SCOPED_TRACE(name);
    EXPECT_GE(t.named, kLeastShare * t.distinguishable);
    if (t.claims >= kEnoughClaims) {
      EXPECT_GE(t.claims_right, kLeastShare * t.claims);
    }
    if (!name.empty()) {
      EXPECT_GE(t.distinguishable, kEnoughCases) << "too few to prove anything";
    }
  }
  const char* trial = "survey: slips of a fitter, written down as readings are";
  test::statistics(trial, "named rightly, of those that can be told apart")
      .trials(all.distinguishable, "slips", kSeed)
      .at_least(static_cast<double>(all.named) / all.distinguishable, kLeastShare);
  test::statistics(trial, "right, of slips claimed with odds of 0.9 and more")
      .trials(all.claims, "claims", kSeed)
      .at_least(static_cast<double>(all.claims_right) / all.claims, kLeastShare);
}

}  // namespace
}  // namespace fairhole

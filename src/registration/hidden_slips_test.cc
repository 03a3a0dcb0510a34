// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/hidden_slips.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

#include "support/statistics.h"
#include "test_cases.h"

namespace fairhole {
namespace {

constexpr double kPitchMm = 76.2;

Pattern row_of(int count) {
  Pattern row;
  for (int i = 0; i < count; ++i)
    row.push_back({"N" + std::to_string(i + 1), {kPitchMm * i, 0.0}, std::nullopt});
  return row;
}

/// Holes where the drawing has them but for `off`, read to `sigma_mm`, each with an `across` of its own that
/// nothing checks.
MeasuredFace face_of(const Pattern& row, const std::vector<Eigen::Vector2d>& off, double sigma_mm,
                     const std::vector<DoubtfulReading::Size>& sizes) {
  MeasuredFace face;
  const auto rows = 2 * static_cast<Eigen::Index>(row.size());
  face.covariance_mm2 = sigma_mm * sigma_mm * Eigen::MatrixXd::Identity(rows, rows);
  for (std::size_t i = 0; i < row.size(); ++i) {
    MeasuredHole hole;
    hole.id = "H" + std::to_string(i + 1);
    hole.centre_mm = row[i].centre_mm + off[i];
    hole.centre_cov_mm2 = sigma_mm * sigma_mm * Eigen::Matrix2d::Identity();
    face.holes.push_back(hole);
    DoubtfulReading reading;
    reading.row = static_cast<int>(i) + 1;
    reading.hole = hole.id;
    reading.per_mm = Eigen::VectorXd::Unit(rows, 2 * static_cast<Eigen::Index>(i) + 1);
    reading.sizes = sizes;
    face.doubtful.push_back(std::move(reading));
  }
  return face;
}

Result<Registration> try_to_register(const Pattern& row, const MeasuredFace& face) {
  RegistrationKnown known;
  known.place = PosePrior{};
  known.mirrored = false;
  return Registrar{}(row, face, known);
}

Registration registered(const Pattern& row, const MeasuredFace& face) {
  const Result<Registration> got = try_to_register(row, face);
  EXPECT_TRUE(got) << (got ? "" : describe(got.problems().front()));
  return got ? *got : Registration{};
}

double probability_of(const std::vector<HiddenSlip>& slips, int row) {
  for (const HiddenSlip& slip : slips)
    if (slip.row == row) return slip.probability();
  return 0.0;
}

TEST(HiddenSlips, WithNothingToCompareThePriorStands) {
  MeasuredFace face = face_of(row_of(1), {Eigen::Vector2d::Zero()}, 0.2, {{5.0, 5.0, 0.03}});
  const auto slips = hidden_slips(face, {});
  ASSERT_EQ(slips.size(), 1U);
  EXPECT_NEAR(slips[0].probability(), 0.03 / 1.03, 1e-12);
  EXPECT_NEAR(slips[0].sizes[0].mm, 5.0, 1e-9);
}

// One size, or any size between two: Bayes' rule, the integral by 20,000 steps.
TEST(HiddenSlips, OtherReadingsWeighByBayes) {
  constexpr double kScore = 1.3, kInformation = 0.9, kLow = 0.5, kHigh = 4.0, kOdds = 0.02;
  const auto likelihood = [](double s) { return std::exp(kScore * s - kInformation * s * s / 2.0); };
  double band = 0.0, moment = 0.0;
  constexpr int kSteps = 20000;
  for (int i = 0; i < kSteps; ++i) {
    const double s = kLow + (kHigh - kLow) * (i + 0.5) / kSteps;
    band += kOdds * likelihood(s) / kSteps;
    moment += s * kOdds * likelihood(s) / kSteps;
  }
  const double one = 0.01 * likelihood(-2.0);
  MeasuredFace face =
      face_of(row_of(1), {Eigen::Vector2d::Zero()}, 0.2, {{kLow, kHigh, kOdds}, {-2.0, -2.0, 0.01}});
  face.doubtful[0].score = kScore;
  face.doubtful[0].information = kInformation;
  const auto slips = hidden_slips(face, {});
  ASSERT_EQ(slips.size(), 1U);
  ASSERT_EQ(slips[0].sizes.size(), 2U);
  EXPECT_NEAR(slips[0].sizes[0].probability, band / (1.0 + band + one), 1e-6);
  EXPECT_NEAR(slips[0].sizes[0].mm, moment / band, 1e-6);
  EXPECT_NEAR(slips[0].sizes[1].probability, one / (1.0 + band + one), 1e-9);
}

// A reading that the others nearly caught, of a hole that the drawing hardly speaks of.
TEST(HiddenSlips, WhatTheReadingsAloneSuspectIsWeighedToo) {
  const Pattern row = row_of(4);
  const std::vector<Eigen::Vector2d> off(4, Eigen::Vector2d::Zero());
  MeasuredFace face = face_of(row, off, 0.2, {{2.0, 2.0, 0.02}});
  face.doubtful[1].score = 30.0, face.doubtful[1].information = 10.0;
  face.doubtful[1].per_mm *= 0.01;
  const auto slips = hidden_slips(face, registered(row, face));
  const double weight = 0.02 * std::exp(30.0 * 2.0 - 10.0 * 2.0);
  EXPECT_NEAR(probability_of(slips, 2), weight / (1.0 + weight), 1e-3);
}

TEST(HiddenSlips, AHoleOutOfItsRowByOneReadingAloneWasMisread) {
  const Pattern row = row_of(6);
  std::vector<Eigen::Vector2d> off(6, Eigen::Vector2d::Zero());
  off[1] = {0.1, -0.15}, off[2] = {-0.15, 0.1}, off[4] = {0.05, 0.15};
  off[3] = {-0.05, 2.5};
  MeasuredFace face = face_of(row, off, 0.2, {{1.0, 8.0, 0.006}, {-8.0, -1.0, 0.006}});
  ASSERT_EQ(registered(row, face).matches.size(), 6U);
  auto slips = hidden_slips(face, registered(row, face));
  EXPECT_GT(probability_of(slips, 4), 0.5);
  for (const int other : {1, 2, 3, 5, 6}) EXPECT_LT(probability_of(slips, other), 0.01) << other;
  // Off as far the other way too: that no slip of this one reading explains.
  off[3] = {1.8, 1.8};
  face = face_of(row, off, 0.2, {{1.0, 8.0, 0.006}, {-8.0, -1.0, 0.006}});
  slips = hidden_slips(face, registered(row, face));
  EXPECT_LT(probability_of(slips, 4), 0.2);
  // A second reading of it bears it out: it was drilled there.
  off[3] = {-0.05, 2.5};
  face = face_of(row, off, 0.2, {{1.0, 8.0, 0.006}, {-8.0, -1.0, 0.006}});
  face.doubtful[3].information = 0.5 / (0.3 * 0.3);
  slips = hidden_slips(face, registered(row, face));
  EXPECT_LT(probability_of(slips, 4), 0.01);
}

TEST(HiddenSlips, ReadingsThatExplainTheSameShareTheBlame) {
  const Pattern row = row_of(6);
  std::vector<Eigen::Vector2d> off(6, Eigen::Vector2d::Zero());
  off[3] = {0.0, 2.5};
  MeasuredFace face = face_of(row, off, 0.2, {{1.0, 8.0, 0.006}});
  face.doubtful[2].per_mm = face.doubtful[3].per_mm;
  const auto slips = hidden_slips(face, registered(row, face));
  EXPECT_NEAR(probability_of(slips, 3), probability_of(slips, 4), 1e-9);
  EXPECT_GT(probability_of(slips, 4), 0.4);
  EXPECT_LT(probability_of(slips, 4), 0.5);
}

/// Slips as claimed come true: rows drawn from the model's own priors, in bins of what is claimed.
TEST(HiddenSlipsStatistics, ComeTrueAsOftenAsClaimed) {
  const std::vector<DoubtfulReading::Size> sizes{{1.0, 3.0, 0.006},   {-3.0, -1.0, 0.006},
                                                 {3.0, 8.0, 0.004},   {-8.0, -3.0, 0.004},
                                                 {10.0, 10.0, 0.002}, {-10.0, -10.0, 0.002}};
  double total = 1.0;
  for (const auto& size : sizes) total += size.odds;
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform;
  constexpr std::array<double, 7> kEdges{0.0, 0.005, 0.02, 0.1, 0.4, 0.8, 1.0001};
  std::array<double, 6> claimed{}, variance{}, seen{};
  const int rows = test::trials(4000);
  int refused = 0;
  for (int trial = 0; trial < rows; ++trial) {
    const int count = 4 + trial % 5;
    const Pattern row = row_of(count);
    const double scatter = 0.5 * std::exp(0.7 * normal(random));
    std::vector<Eigen::Vector2d> off;
    std::vector<bool> slipped;
    for (int i = 0; i < count; ++i) {
      const double spread = std::hypot(scatter, 0.2);
      Eigen::Vector2d at{spread * normal(random), spread * normal(random)};
      if (uniform(random) < 0.02) {  // truly off: r = c u / (1 - u), u the root of a uniform number
        const double u = std::min(std::sqrt(uniform(random)), 0.95), way = 2.0 * M_PI * uniform(random);
        at += 2.0 * u / (1.0 - u) * Eigen::Vector2d(std::cos(way), std::sin(way));
      }
      double left = total * uniform(random) - 1.0;
      slipped.push_back(left > 0.0);
      for (const auto& size : sizes) {
        if (left > 0.0 && left <= size.odds)
          at.y() += size.low_mm + (size.high_mm - size.low_mm) * uniform(random);
        left -= size.odds;
      }
      off.push_back(at);
    }
    const MeasuredFace face = face_of(row, off, 0.2, sizes);
    const Result<Registration> registration = try_to_register(row, face);
    if (!registration) {  // a slip or a hole far off may make it look like the other hand's row: that is said
      ++refused;
      continue;
    }
    const auto slips = hidden_slips(face, *registration);
    for (const Match& match : registration->matches) {
      const int number = std::stoi(match.measured.substr(1));
      const double p = probability_of(slips, number);
      std::size_t bin = 0;
      while (p >= kEdges[bin + 1]) ++bin;
      claimed[bin] += p;
      variance[bin] += p * (1.0 - p);
      seen[bin] += slipped[static_cast<std::size_t>(number) - 1] ? 1.0 : 0.0;
    }
  }
  EXPECT_LE(refused, 1 + rows / 1000);
  for (std::size_t bin = 0; bin < claimed.size(); ++bin) {
    RecordProperty("bin" + std::to_string(bin),
                   std::to_string(claimed[bin]) + " / " + std::to_string(seen[bin]));
    if (!test::judge_frequencies()) continue;
    EXPECT_LT(std::abs(seen[bin] - claimed[bin]), 3.5 * std::sqrt(variance[bin]) + 1.0)
        << "bin " << bin << ": " << claimed[bin] << " claimed, " << seen[bin] << " seen";
  }
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <algorithm>

#include "fairhole/geometry/statistics.h"
#include "support/statistics.h"
#include "test_faces.h"

namespace fairhole {
namespace {

constexpr double kRmsTolerance = 0.03;  // of the bound
constexpr double kKs01 = 1.63;          // sqrt(n) D at 1 % (Kolmogorov)

/// Truth of the tape's scale and zeros and of the corner drawn from their priors; the bound is the covariance
/// that readings without any error give.
TEST(TapeStatistics, ReachesTheCramerRaoBoundWithHonestEllipses) {
  std::mt19937_64 random(20261);
  const int faces = test::trials(1000);
  double squares = 0.0;
  double bound = 0.0;
  int holes_seen = 0;
  int inside = 0;
  std::vector<double> p_values;
  const double limit = chi2_quantile(0.95, 2.0);
  for (int k = 0; k < faces; ++k) {
    const int holes = 5 + k % 56;
    const test::SimulatedFace face = test::simulate_face(random, holes);
    const std::string text = test::face_text(face, test::noisy_values(face, random));
    const SurveyResult r = test::must_adjust(test::must_parse(text), test::plain_adjustment());
    const SurveyResult exact = test::must_adjust(
        test::must_parse(test::face_text(face, test::exact_values(face))), test::plain_adjustment());
    ASSERT_EQ(r.face.holes.size(), static_cast<std::size_t>(holes));
    for (int h = 0; h < holes; ++h) {
      const MeasuredHole* hole = r.face.find(test::hole_name(h));
      const Eigen::Vector2d e = hole->centre_mm - face.truth.centre_mm[static_cast<std::size_t>(h)];
      squares += e.squaredNorm();
      if (e.dot(hole->centre_cov_mm2.llt().solve(e)) <= limit) ++inside;
    }
    bound += exact.face.covariance_mm2.trace();
    holes_seen += holes;
    p_values.push_back(r.chi2_p);
  }
  if (!test::judge_frequencies()) return;
  const double ratio = std::sqrt(squares / bound);
  const double share = static_cast<double>(inside) / holes_seen;
  std::sort(p_values.begin(), p_values.end());
  double distance = 0.0;
  const auto n = static_cast<double>(p_values.size());
  for (std::size_t i = 0; i < p_values.size(); ++i) {
    const auto at = static_cast<double>(i);
    distance = std::max({distance, p_values[i] - at / n, (at + 1.0) / n - p_values[i]});
  }
  fmt::print("RMS / bound {:.4f}, in the 95 % ellipse {:.4f}, sqrt(n) D {:.3f}\n", ratio, share,
             distance * std::sqrt(n));
  EXPECT_NEAR(ratio, 1.0, kRmsTolerance);
  EXPECT_GE(share, 0.935);
  EXPECT_LE(share, 0.965);
  EXPECT_LT(distance * std::sqrt(n), kKs01);
}

/// A slip of the trade put into a well braced face, or an error of no name.
TEST(TapeStatistics, NamesWhatIsDistinguishableAndClaimsHonestly) {
  std::mt19937_64 random(20263);
  const std::vector<std::pair<std::string, double>> slips = {
      {"100 mm start", 100.0}, {"1 in start", 25.4}, {"1 in", -25.4},          {"10 mm", 10.0},
      {"10 mm", -10.0},        {"a foot", 304.8},    {"edge for centre", 12.5}};
  const int wanted = test::trials(600);
  int named = 0;
  int named_right = 0;
  int claims = 0;
  int claims_right = 0;
  for (int k = 0; k < wanted; ++k) {
    const test::SimulatedFace face = test::simulate_face(random, 12);
    std::vector<double> values = test::noisy_values(face, random);
    std::size_t row = 0;
    do row = std::uniform_int_distribution<std::size_t>(0, values.size() - 1)(random);
    while (face.taken[row].kind == "dia");
    std::string name = "none";
    if (k % 3 == 0) {
      values[row] += std::uniform_real_distribution<double>(-150.0, 150.0)(random);
    } else {
      // An edge is read for a centre only where a centre was meant: the last slip of the list.
      const std::string& kind = face.taken[row].kind;
      const bool over_centres = kind == "along" || kind == "across" || kind == "centres";
      const auto& slip = slips[random() % (slips.size() - (over_centres ? 0 : 1))];
      name = slip.first;
      const double radius = 0.5 * face.truth.diameter_mm[static_cast<std::size_t>(face.taken[row].from)];
      values[row] += name == "edge for centre" ? radius : slip.second;
    }
    if (values[row] <= 0.0) continue;  // refused as a reading, never adjusted
    SurveyOptions options;
    options.next_count = 0;
    const SurveyResult r = test::must_adjust(test::must_parse(test::face_text(face, values)), options);
    ASSERT_EQ(r.readings.size(), values.size());
    if (name != "none") {
      ++named;
      const ReadingVerdict& v = r.readings[row];
      if (v.rejected && v.slip && v.slip->name == name) ++named_right;
    }
    for (std::size_t i = 0; i < r.readings.size(); ++i) {
      const auto& slip = r.readings[i].slip;
      if (!slip || slip->odds < 0.9) continue;
      ++claims;
      if (i == row && slip->name == name) ++claims_right;
    }
  }
  if (!test::judge_frequencies()) return;
  fmt::print("named right {} of {}, claims right {} of {}\n", named_right, named, claims_right, claims);
  EXPECT_GE(named_right, 0.9 * named);
  EXPECT_GT(claims, wanted / 4);
  EXPECT_GE(claims_right, 0.9 * claims);
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>

#include "simulated_face.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_readings.h"

namespace fairhole {
namespace {

constexpr std::uint64_t kSeed = 1729;

SurveyResult adjust_all(const Readings& readings) {
  return test::must_adjust(readings, {.look_for_blunders = false, .next_count = 0, .full_covariance = false});
}

/// The reading of largest |w|.
std::size_t worst(const SurveyResult& result) {
  std::size_t at = 0;
  double most = 0.0;
  for (std::size_t i = 0; i < result.readings.size(); ++i) {
    const double w = std::abs(result.readings[i].w.value_or(0.0));
    if (w <= most) continue;
    most = w;
    at = i;
  }
  return at;
}

/// Readings and priors as one linear model of independent unit errors: v = R e, without any adjustment.
struct LinearFace {
  Eigen::MatrixXd maker;  // readings x (readings and priors)

  explicit LinearFace(const test::SimulatedFace& face) {
    const Eigen::MatrixXd a = face.weighted_jacobian();
    const Eigen::MatrixXd b = face.prior_rows();
    Eigen::MatrixXd all(a.rows() + b.rows(), a.cols());
    all << a, b;
    maker = -a * face.inverse_information() * all.transpose();
    maker.leftCols(a.rows()) += Eigen::MatrixXd::Identity(a.rows(), a.rows());
  }
  double redundancy(Eigen::Index i) const { return maker(i, i); }

  /// The w that the linear model gives for the errors now in the face's readings and in what its priors say;
  /// 0 where nothing checks.
  Eigen::VectorXd w_of(const test::SimulatedFace& face) const {
    const auto& rows = face.readings.rows;
    Eigen::VectorXd e(maker.cols());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      e[static_cast<Eigen::Index>(i)] =
          (rows[i].value_mm - face.measure(rows[i], face.truth)) / rows[i].sigma_mm;
    }
    e.tail(maker.cols() - maker.rows()) = -face.prior_rows() * face.truth;
    Eigen::VectorXd w = maker * e;
    for (Eigen::Index i = 0; i < w.size(); ++i) {
      w[i] = redundancy(i) < kLeastRedundancy ? 0.0 : w[i] / std::sqrt(redundancy(i));
    }
    return w;
  }
};

struct Power {
  int trials = 0;
  int fired = 0;           // the blundered reading's own test
  int located = 0;         // fired, and no other |w| is larger
  int located_direct = 0;  // the same by the linear model from the same errors
};

/// Errors of the size of a reading's mdb, one at a time in readings of one face.
void try_face(std::mt19937_64& random, int times, Power& power) {
  test::SimulatedFace face = test::simulate_face(random, 6 + static_cast<int>(random() % 10U), 6);
  const LinearFace linear(face);
  for (int k = 0; k < times; ++k) {
    face.measure_again(random);
    const auto row = static_cast<std::size_t>(random() % face.readings.rows.size());
    const auto index = static_cast<Eigen::Index>(row);
    Reading& reading = face.readings.rows[row];
    const double redundancy = linear.redundancy(index);
    if (redundancy < kLeastRedundancy) continue;
    const double sign = random() % 2U == 0 ? 1.0 : -1.0;
    reading.value_mm += sign * kDelta0 * reading.sigma_mm / std::sqrt(redundancy);
    const SurveyResult result = adjust_all(face.readings);
    ++power.trials;
    const bool fired = std::abs(result.readings[row].w.value_or(0.0)) > kCriticalW;
    power.fired += fired ? 1 : 0;
    power.located += fired && worst(result) == row ? 1 : 0;
    const Eigen::VectorXd w = linear.w_of(face);
    Eigen::Index largest = 0;
    const double most = w.cwiseAbs().maxCoeff(&largest);
    power.located_direct += most > kCriticalW && largest == index ? 1 : 0;
  }
}

// delta_0 = 4.132 is what gives a two-sided test of 0.1 % a power of 80 % (Baarda 1968).
TEST(BlunderStatistics, OfTheSizeOfTheMdbAreFoundFourTimesInFive) {
  constexpr int kFaces = 270;
  constexpr int kTimes = 20;
  constexpr double kPower = 0.80;
  constexpr double kTolerance = 0.03;
  constexpr double kSame = 0.005;  // the two differ by curvature, and where two w are one and the same
  std::mt19937_64 random(kSeed);
  Power power;
  for (int f = 0; f < test::trials(kFaces); ++f) try_face(random, kTimes, power);
  const double n = power.trials;
  fmt::print("trials {}, own test fires {:.2f} %, located {:.2f} %, by direct simulation {:.2f} %\n",
             power.trials, 100.0 * power.fired / n, 100.0 * power.located / n,
             100.0 * power.located_direct / n);
  if (!test::judge_frequencies()) return;
  EXPECT_GE(power.trials, 5000);
  const char* trial = "survey: one blunder of the size of its mdb";
  test::statistics(trial, "its own test fires (alpha 0.1 %, power 80 %)")
      .trials(power.trials, "blunders", kSeed)
      .near(power.fired / n, kPower, kTolerance);
  test::statistics(trial, "rightly located, against direct simulation")
      .trials(power.trials, "blunders", kSeed)
      .near(power.located / n, power.located_direct / n, kSame);
}

/// Squared length, in the space of the residuals, of what is left of the errors (row, size in sigmas) when
/// the readings of `set` may take any value.
double unexplained(const Eigen::MatrixXd& r, const Eigen::VectorXd& residual_of_errors, double whole,
                   std::initializer_list<Eigen::Index> set) {
  const auto k = static_cast<Eigen::Index>(set.size());
  Eigen::MatrixXd m(k, k);
  Eigen::VectorXd v(k);
  for (Eigen::Index a = 0; a < k; ++a) {
    v[a] = residual_of_errors[*(set.begin() + a)];
    for (Eigen::Index b = 0; b < k; ++b) m(a, b) = r(*(set.begin() + a), *(set.begin() + b));
  }
  if (m.determinant() < 1e-6) return 0.0;
  return whole - v.dot(m.ldlt().solve(v));
}

struct Pair {
  Eigen::Index first = 0;
  Eigen::Index second = 0;
  double first_sigmas = 0.0;
  double second_sigmas = 0.0;
};

/// Whether the largest w points at an innocent reading, and yet every other pair, and every single reading,
/// leaves at least `distance` sigmas unexplained.
bool hides_and_can_be_found(const Eigen::MatrixXd& r, const Pair& pair, double distance) {
  const Eigen::VectorXd v = pair.first_sigmas * r.col(pair.first) + pair.second_sigmas * r.col(pair.second);
  const double whole = pair.first_sigmas * v[pair.first] + pair.second_sigmas * v[pair.second];
  Eigen::VectorXd w2 = Eigen::VectorXd::Zero(v.size());
  for (Eigen::Index i = 0; i < v.size(); ++i) {
    if (r(i, i) >= kLeastRedundancy) w2[i] = v[i] * v[i] / r(i, i);
  }
  Eigen::Index largest = 0;
  w2.maxCoeff(&largest);
  if (largest == pair.first || largest == pair.second) return false;
  for (Eigen::Index i = 0; i < v.size(); ++i) {
    for (Eigen::Index j = i + 1; j < v.size(); ++j) {
      if (i == pair.first && j == pair.second) continue;
      if (unexplained(r, v, whole, {i, j}) < distance * distance) return false;
    }
  }
  return true;
}

// Two errors whose largest w is that of a third, good reading: snooping one at a time begins wrongly. Where
// the a-priori sigmas tell the pair from every other pair, the pair is found.
TEST(BlunderStatistics, TwoThatHideEachOtherAreFoundWhereSigmasAllow) {
  constexpr int kCases = 200;
  constexpr double kDistance = 5.0;
  constexpr double kLeastShare = 0.9;
  std::mt19937_64 random(kSeed + 1);
  int cases = 0;
  int found = 0;
  while (cases < test::trials(kCases)) {
    test::SimulatedFace face = test::simulate_face(random, 6 + static_cast<int>(random() % 5U), 6);
    const Eigen::MatrixXd r = face.residual_maker();
    const auto n = static_cast<unsigned>(face.readings.rows.size());
    for (int k = 0; k < 60 && cases < kCases; ++k) {
      Pair pair{static_cast<Eigen::Index>(random() % n), static_cast<Eigen::Index>(random() % n), 0.0, 0.0};
      if (pair.first >= pair.second) continue;
      auto& rows = face.readings.rows;
      const double size = 3.0 + 12.0 * test::uniform(random);
      pair.first_sigmas = size / rows[static_cast<std::size_t>(pair.first)].sigma_mm;
      pair.second_sigmas =
          (random() % 2U == 0 ? size : -size) / rows[static_cast<std::size_t>(pair.second)].sigma_mm;
      if (!hides_and_can_be_found(r, pair, kDistance)) continue;
      face.measure_again(random);
      rows[static_cast<std::size_t>(pair.first)].value_mm += size;
      rows[static_cast<std::size_t>(pair.second)].value_mm += pair.second_sigmas > 0.0 ? size : -size;
      const SurveyResult result =
          test::must_adjust(face.readings, {.next_count = 0, .full_covariance = false});
      ASSERT_EQ(result.readings.size(), rows.size());
      ++cases;
      found += result.readings[static_cast<std::size_t>(pair.first)].rejected &&
                       result.readings[static_cast<std::size_t>(pair.second)].rejected
                   ? 1
                   : 0;
    }
  }
  fmt::print("pairs that hide each other {}, found {}\n", cases, found);
  if (!test::judge_frequencies()) return;
  test::statistics("survey: two blunders that hide each other",
                   "pairs found where the sigmas tell them apart")
      .trials(cases, "pairs", kSeed + 1)
      .at_least(static_cast<double>(found) / cases, kLeastShare);
}

}  // namespace
}  // namespace fairhole

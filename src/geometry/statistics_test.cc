// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/statistics.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "support/evidence.h"

namespace fairhole {
namespace {

// Source: fixtures/reference/statistics_critical_values.csv (scipy.stats 1.10.1), printed to six decimals.
constexpr double kPrintedDigits = 0.6e-6;

struct Row {
  std::string distribution, tail;
  double alpha = 0.0;
  double dof1 = 0.0, dof2 = 0.0;
  double value = 0.0;
};

std::vector<Row> published_rows() {
  std::ifstream file(FAIRHOLE_SOURCE_DIR "/fixtures/reference/statistics_critical_values.csv");
  std::vector<Row> rows;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream cells(line);
    std::string alpha, dof, value;
    Row row;
    std::getline(cells, row.distribution, ',');
    std::getline(cells, row.tail, ',');
    std::getline(cells, alpha, ',');
    std::getline(cells, dof, ',');
    std::getline(cells, value, ',');
    row.alpha = std::stod(alpha);
    row.value = std::stod(value);
    const std::size_t semicolon = dof.find(';');
    if (!dof.empty()) row.dof1 = std::stod(dof.substr(0, semicolon));
    if (semicolon != std::string::npos) row.dof2 = std::stod(dof.substr(semicolon + 1));
    rows.push_back(row);
  }
  return rows;
}

/// How steeply alpha changes with the critical value, to compare a tail on the printed value's own digits.
template <class Tail>
double tail_tolerance(const Tail& tail, double value) {
  return std::abs(tail(value - kPrintedDigits) - tail(value + kPrintedDigits)) + 1e-12;
}

TEST(PublishedCriticalValues, AreMet) {
  int checked = 0;
  const char* source = "scipy.stats 1.10.1, tables of critical values";
  test::Evidence normal = test::published(source, "normal: quantiles and tails");
  test::Evidence student = test::published(source, "Student's t: quantiles");
  test::Evidence chi2_law = test::published(source, "chi-square: quantiles and tails");
  test::Evidence fisher = test::published(source, "F: tails");
  for (const Row& row : published_rows()) {
    SCOPED_TRACE(fmt::format("{} {} {} {};{}", row.distribution, row.tail, row.alpha, row.dof1, row.dof2));
    if (row.distribution == "normal") {
      const double p = 1.0 - (row.tail == "two-sided" ? row.alpha / 2 : row.alpha);
      normal.near(normal_quantile(p), row.value, kPrintedDigits);
      normal.near(normal_cdf(row.value), p, tail_tolerance(normal_cdf, row.value));
    } else if (row.distribution == "t") {
      student.near(student_t_quantile(1.0 - row.alpha / 2, row.dof1), row.value, kPrintedDigits);
    } else if (row.distribution == "chi2") {
      const auto tail = [&row](double chi2) { return chi2_upper_tail(chi2, row.dof1); };
      chi2_law.near(chi2_quantile(1.0 - row.alpha, row.dof1), row.value, kPrintedDigits);
      chi2_law.near(tail(row.value), row.alpha, tail_tolerance(tail, row.value));
    } else if (row.distribution == "F") {
      const auto tail = [&row](double f) { return f_upper_tail(f, row.dof1, row.dof2); };
      fisher.near(tail(row.value), row.alpha, tail_tolerance(tail, row.value));
    } else {
      continue;  // Grubbs' test is not part of this module
    }
    ++checked;
  }
  EXPECT_EQ(checked, 12 + 28 + 45 + 42);
}

TEST(Chi2UpperTail, WithNothingToTestIsOne) { EXPECT_EQ(chi2_upper_tail(3.0, 0.0), 1.0); }

constexpr double kRounding = 1e-12;

TEST(ConfidenceEllipse, OfAxesParallelCovariance) {
  // 95 % of a plane normal error lies within sqrt(5.991465) sigmas. Source: chi-square, 2 degrees of freedom,
  // as above.
  constexpr double kPrinted = 1e-6;
  const Ellipse ellipse = confidence_ellipse((Eigen::Matrix2d() << 4.0, 0.0, 0.0, 0.25).finished());
  EXPECT_NEAR(ellipse.major_mm, 2.0 * std::sqrt(5.991465), kPrinted);
  EXPECT_NEAR(ellipse.minor_mm, 0.5 * std::sqrt(5.991465), kPrinted);
  EXPECT_NEAR(ellipse.angle_rad, 0.0, kRounding);
  const Ellipse upright = confidence_ellipse((Eigen::Matrix2d() << 0.25, -0.0, -0.0, 4.0).finished());
  EXPECT_NEAR(upright.angle_rad, std::numbers::pi / 2, kRounding);
}

TEST(ConfidenceEllipse, FollowsARotation) {
  for (const double degrees : {-80.0, -45.0, -10.0, 15.0, 45.0, 89.0}) {
    SCOPED_TRACE(degrees);
    const double t = degrees * std::numbers::pi / 180.0;
    Eigen::Matrix2d turn;
    turn << std::cos(t), -std::sin(t), std::sin(t), std::cos(t);
    const Eigen::Matrix2d cov_mm2 = turn * Eigen::Vector2d(9.0, 1.0).asDiagonal() * turn.transpose();
    const Ellipse ellipse = confidence_ellipse(cov_mm2, 0.5);
    EXPECT_NEAR(ellipse.angle_rad, t, kRounding);
    EXPECT_NEAR(ellipse.major_mm / ellipse.minor_mm, 3.0, kRounding * 10);
    EXPECT_NEAR(ellipse.minor_mm, std::sqrt(2.0 * std::numbers::ln2), kRounding);
  }
}

TEST(ConfidenceEllipse, OfNoErrorIsAPoint) {
  const Ellipse ellipse = confidence_ellipse(Eigen::Matrix2d::Zero());
  EXPECT_EQ(ellipse.major_mm, 0.0);
  EXPECT_EQ(ellipse.minor_mm, 0.0);
}

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// What is left of the survey's errors once a part hangs on two of its holes, against closed forms.
#include <gtest/gtest.h>

#include "fairhole/fairing/odds.h"

namespace fairhole {
namespace {

/// A row of five holes, 100 mm apart along x, hung on the first and the last; on an old carrier each stack
/// has the carrier's own hole first.
struct Row {
  Assembly assembly;
  std::vector<LocatingPair> hung_on;
  Eigen::Index rows = 0;

  explicit Row(bool old_carrier = false) {
    assembly.seats.emplace_back().joint = "joint";
    int next = 0;
    for (int k = 0; k < 5; ++k) {
      Stack stack;
      stack.id = "S" + std::to_string(k + 1);
      stack.plate_is_new = !old_carrier;
      if (old_carrier) stack.layers.push_back(hole("", k, next++));
      stack.layers.push_back(hole("joint", k, next++));
      assembly.stacks.push_back(stack);
    }
    rows = 2 * Eigen::Index{next};
    assembly.covariance_mm2 = Eigen::MatrixXd::Identity(rows, rows);
    hung_on = {{"joint", "S1", "S5", {0.0, 0.0}, {400.0, 0.0}}};
  }

  static OldLayer hole(const std::string& joint, int k, int index) {
    OldLayer layer;
    layer.joint = joint, layer.centre_mm = {100.0 * k, 0.0}, layer.covariance_index = index;
    return layer;
  }

  /// Of the part's hole k, setting errors left out.
  Eigen::Matrix2d left_of(int k) const {
    FairingRules rules;
    rules.setting_sigma_mm = 0.0;
    return stack_cases(assembly, hung_on, rules)[static_cast<std::size_t>(k)].layer_cov_mm2.back();
  }
};

/// Covariance of errors that one vector of (x, y) each hole spans.
Eigen::MatrixXd one_cause(Eigen::Index rows, double every_x, double every_y, double turn) {
  Eigen::VectorXd e(rows);
  for (Eigen::Index k = 0; k < rows / 2; ++k) {
    e.segment<2>(2 * k) = Eigen::Vector2d(every_x, every_y + turn * 100.0 * static_cast<double>(k));
  }
  return e * e.transpose();
}

TEST(Hanging, WhatAllHolesOfThePartShareMovesNothing) {
  Row row;
  row.assembly.covariance_mm2 = one_cause(row.rows, 2.0, -3.0, 0.01);
  for (int k = 0; k < 5; ++k) EXPECT_NEAR(row.left_of(k).norm(), 0.0, 1e-12) << k;
}

TEST(Hanging, AStretchedTapeShowsBetweenTheHoles) {
  Row row;  // x errors in the share t = k / 4 of 1 mm: the middle stays, the ends come off by half, one each
            // way
  Eigen::VectorXd stretch = Eigen::VectorXd::Zero(row.rows);
  for (int k = 0; k < 5; ++k) stretch(2 * k) = k / 4.0;
  row.assembly.covariance_mm2 = stretch * stretch.transpose();
  for (int k = 0; k < 5; ++k) EXPECT_NEAR(row.left_of(k)(0, 0), std::pow(k / 4.0 - 0.5, 2), 1e-12) << k;
}

// Independent errors of 1 mm each axis, t = k / 4. Across the row: e - (1 - t) e_a - t e_b; along it: e -
// (e_a + e_b) / 2.
TEST(Hanging, IndependentErrorsAddThoseOfTheLocatingHoles) {
  const Row row;
  for (int k = 0; k < 5; ++k) {
    const double t = k / 4.0;
    const bool ends = k == 0 || k == 4;
    const Eigen::Matrix2d left = row.left_of(k);
    EXPECT_NEAR(left(0, 0), ends ? 0.5 : 1.5, 1e-12) << k;
    EXPECT_NEAR(left(1, 1), ends ? 0.0 : 1.0 + (1.0 - t) * (1.0 - t) + t * t, 1e-12) << k;
    EXPECT_NEAR(left(0, 1), 0.0, 1e-12) << k;
  }
}

TEST(Hanging, OneHoleAloneTakesTheShiftOnly) {
  Row row;
  row.hung_on = {{"joint", "S2", "", {100.0, 0.0}, {100.0, 0.0}}};
  EXPECT_NEAR(row.left_of(1).norm(), 0.0, 1e-12);
  EXPECT_TRUE(row.left_of(4).isApprox(2.0 * Eigen::Matrix2d::Identity(), 1e-12));
}

TEST(Hanging, OnAnOldCarrierOnlyTheHolesOfBothCount) {
  Row row(true);
  for (int k = 0; k < 5; ++k) {
    const Eigen::Matrix2d left = row.left_of(k);  // both rows' errors, independent: twice those above
    EXPECT_NEAR(left(0, 0), k == 0 || k == 4 ? 1.0 : 3.0, 1e-12) << k;
  }
  const auto cases = stack_cases(row.assembly, row.hung_on, {});
  EXPECT_NEAR(cases[2].layer_cov_mm2.front().norm(), 0.0, 1e-12) << "the carrier's own hole is where it is";
  row.assembly.covariance_mm2 = Eigen::MatrixXd::Zero(row.rows, row.rows);
  for (Eigen::Index a = 0; a < row.rows; a += 4) {  // the carrier's holes alone, all off alike
    for (Eigen::Index b = 0; b < row.rows; b += 4) row.assembly.covariance_mm2(a, b) = 9.0;
  }
  for (int k = 0; k < 5; ++k) EXPECT_NEAR(row.left_of(k).norm(), 0.0, 1e-12) << k;
}

TEST(Hanging, WhatStaysKeepsItsErrors) {
  Row row;
  row.assembly.seats[0].stays = true;
  row.assembly.covariance_mm2 = one_cause(row.rows, 2.0, -3.0, 0.01);
  EXPECT_NEAR(row.left_of(2)(0, 0), 4.0, 1e-12);
  EXPECT_NEAR(row.left_of(2)(1, 1), 1.0, 1e-12);  // -3 + 0.01 * 200
}

TEST(Hanging, ACarrierHasNoLocatingHoles) {
  Row row(true);
  row.assembly.seats.insert(row.assembly.seats.begin(), SeatedFace{});
  const std::vector<LocatingPair> pairs = choose_locating(row.assembly, std::vector<bool>(5, true));
  ASSERT_EQ(pairs.size(), 2U);
  EXPECT_TRUE(pairs[0].stack_a.empty());
  EXPECT_EQ(pairs[1].stack_b, "S5");
}

}  // namespace
}  // namespace fairhole

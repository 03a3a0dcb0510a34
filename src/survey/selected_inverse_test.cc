// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "selected_inverse.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <random>

namespace fairhole::survey_detail {
namespace {

// A random sparse positive definite matrix, against the dense inverse.
TEST(SelectedInverse, AgreesWithTheDenseInverseOnThePatternAndInFull) {
  constexpr double kRounding = 1e-11;  // entries about 1, condition below 1e3
  std::mt19937_64 random(7);
  for (const int n : {1, 2, 9, 40, 83}) {
    SCOPED_TRACE(n);
    Eigen::MatrixXd dense = Eigen::MatrixXd::Identity(n, n);
    for (int k = 0; k < 2 * n; ++k) {
      const auto i = static_cast<Eigen::Index>(random() % static_cast<unsigned>(n));
      const auto j = static_cast<Eigen::Index>(random() % static_cast<unsigned>(n));
      Eigen::VectorXd row = Eigen::VectorXd::Zero(n);
      row[i] += 1.0;
      row[j] -= 0.6;
      dense += row * row.transpose();
    }
    const Eigen::SparseMatrix<double> sparse = dense.sparseView();
    const SelectedInverse::Factor factor(sparse);
    const SelectedInverse selected(factor);
    const Eigen::MatrixXd inverse = dense.inverse();
    for (int i = 0; i < n; ++i) {
      for (int j = 0; j < n; ++j) {
        if (dense(i, j) == 0.0) continue;
        EXPECT_NEAR(selected(i, j), inverse(i, j), kRounding);
      }
    }
    EXPECT_LT((selected.full() - inverse).cwiseAbs().maxCoeff(), kRounding);
  }
}

}  // namespace
}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_normals.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <algorithm>
#include <random>

namespace fairhole::detail {
namespace {

/// A chain of parts, each meeting the next two, as sums of squares; what is added goes into `all` as well.
struct Chain {
  Chain(int parts, std::mt19937_64& random)
      : normals(parts), all(Eigen::MatrixXd::Zero(4 * parts + 1, 4 * parts + 1)) {
    for (int first = 0; first < parts; ++first) {
      for (int cone = 0; cone < 6; ++cone) add(first, std::min(first + 3, parts), random);
    }
  }

  /// The square of a random row over parts `first` to `past`.
  void add(int first, int past, std::mt19937_64& random) {
    std::normal_distribution<double> normal;
    const Eigen::Index worst = all.rows() - 1;
    Eigen::VectorXd row = Eigen::VectorXd::Zero(all.rows());
    for (double& v : row.segment(4 * first, 4 * (past - first))) v = normal(random);
    for (int part = first; part < past; ++part) row[4 * part + 3] = 0.0;  // nothing sees this entry
    row[worst] = 1.0;
    const Eigen::MatrixXd square = row * row.transpose();
    all += square;
    for (int low = first; low < past; ++low) {
      for (int high = low; high < past; ++high)
        normals.between(high, low) += square.block<4, 4>(4 * high, 4 * low);
      normals.worst_and(low) += square.block<1, 4>(worst, 4 * low);
    }
    normals.worst() += square(worst, worst);
  }

  SeatNormals normals;
  Eigen::MatrixXd all;
};

TEST(SeatNormals, DenseAndSparseSolveTheSystemAndLeaveWhatNothingSeesAtZero) {
  std::mt19937_64 random(31);
  std::normal_distribution<double> normal;
  for (const int parts : {1, 2, 12, 32, 33, 150}) {  // 33 parts: 100 unknowns, factored sparse
    SCOPED_TRACE(parts);
    Chain chain(parts, random);
    chain.normals.note_used();
    chain.normals.factor();
    Eigen::VectorXd right(4 * parts + 1);
    for (double& v : right) v = normal(random);
    const Eigen::VectorXd x = chain.normals.solve(right);
    for (int part = 0; part < parts; ++part) {
      EXPECT_EQ(x[4 * part + 3], 0.0);
      right[4 * part + 3] = 0.0;  // the rows of those entries are empty
    }
    const Eigen::VectorXd expected = chain.all.fullPivLu().solve(right);
    EXPECT_LE((x - expected).norm(), 1e-9 * expected.norm());
  }
}

}  // namespace
}  // namespace fairhole::detail

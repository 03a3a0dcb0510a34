// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <vector>

#include "round_values.h"
#include "structure.h"

namespace fairhole::inference {

/// A face as the dimensions are worked out from it.
struct FaceView {
  std::vector<Eigen::Vector2d> holes_mm;
  Eigen::MatrixXd covariance_mm2;  ///< 2n x 2n
  /// Of the first face the turn is an unknown of the whole; of another it was taken off, its uncertainty is
  /// in the covariance.
  bool turn_unknown = true;
  /// The face lies somewhere along x: it says nothing of firsts, only of pitches.
  bool shifted_along_x = false;
};

/// Items are numbered: all lines of all rows, then each rows' whole, then the rings.
struct ItemNumbers {
  std::vector<std::vector<int>> lines;  ///< by rows and line
  std::vector<int> wholes;              ///< by rows
  std::vector<int> rings;
  int count = 0;
};
ItemNumbers number_items(const Structure& structure);

/// The frame's origin when no datum edge gives one: the first hole of the first rows. Its start and gauge are
/// then 0 by definition, and every other place is known no better than they are.
struct LooseOrigin {
  bool is = false;
  Eigen::Matrix2d cov_mm2 = Eigen::Matrix2d::Zero();
};

/// For rows r: question 2r-th group is {pitch, first}, then one {gauge} a line; then one a ring. In that
/// order.
std::vector<Question> ask(const Structure& structure, const ItemNumbers& numbers,
                          const std::vector<FaceView>& faces, const LooseOrigin& origin);

}  // namespace fairhole::inference

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

namespace fairhole {

/// A reading that was kept though it may be a slip, and what the other readings say of that: were it wrong by
/// s mm, all of them would be exp(score s - information s^2 / 2) times as likely as if it were right.
struct DoubtfulReading {
  int row = 0;
  std::string hole;          ///< the reading's own (its `from`)
  std::string text;          ///< in words, for the reader: "across to H4, 107.0 mm"
  Eigen::VectorXd per_mm;    ///< what 1 mm of error in it does to x, y of every hole of the face
  double score = 0.0;        ///< 1/mm
  double information = 0.0;  ///< 1/mm2; 0: nothing checks it

  /// Slips between `low_mm` and `high_mm` (equal: of just this size) and their odds against no slip before
  /// anything was compared.
  struct Size {
    double low_mm = 0.0, high_mm = 0.0;
    double odds = 0.0;
  };
  std::vector<Size> sizes;
};

/// What is left of that once everything was compared: a slip that may hide.
struct HiddenSlip {
  int row = 0;
  std::string hole;
  std::string text;
  Eigen::VectorXd per_mm;  ///< as above
  struct Size {
    double mm = 0.0;
    double probability = 0.0;
  };
  std::vector<Size> sizes;  ///< at most one of them

  double probability() const { return total(sizes); }
  /// That a slip of any of these sizes hides.
  static double total(const std::vector<Size>& sizes) {
    double sum = 0.0;
    for (const Size& size : sizes) sum += size.probability;
    return sum;
  }
};

}  // namespace fairhole

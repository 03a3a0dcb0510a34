// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "edge_cost.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace fairhole::photo {
namespace {

// What is written out against central differences, at a lens and pose where nothing vanishes.
TEST(EdgeCost, DerivativesAreThoseOfTheMisfit) {
  const EdgeSight edge{0, 0, {83.0, 141.0}, {900.0, 410.0}, Eigen::Vector2d(0.6, -0.8), 0.03};
  const EdgeCost cost(edge, 0.05);
  std::vector<std::vector<double>> blocks{{8.0, 1990.0, 1510.0, -0.1, 0.04, 3e-4, -2e-4, 0.05},
                                          {0.3, -0.2, 1.1, -40.0, 25.0, 610.0},
                                          {0.2},
                                          {12.0, -7.0, 0.4, 1.3, 0.99, 1.004}};
  const auto misfit = [&] {
    const double* at[] = {blocks[0].data(), blocks[1].data(), blocks[2].data(), blocks[3].data()};
    double value = 0.0;
    cost.Evaluate(at, &value, nullptr);
    return value;
  };
  std::vector<std::vector<double>> slopes;
  for (const auto& block : blocks) slopes.emplace_back(block.size());
  double* to[] = {slopes[0].data(), slopes[1].data(), slopes[2].data(), slopes[3].data()};
  const double* at[] = {blocks[0].data(), blocks[1].data(), blocks[2].data(), blocks[3].data()};
  double value = 0.0;
  cost.Evaluate(at, &value, to);
  for (std::size_t b = 0; b < blocks.size(); ++b)
    for (std::size_t i = 0; i < blocks[b].size(); ++i) {
      const double kept = blocks[b][i], step = 1e-6 * std::max(1.0, std::abs(kept));
      blocks[b][i] = kept + step;
      const double above = misfit();
      blocks[b][i] = kept - step;
      const double below = misfit();
      blocks[b][i] = kept;
      // The misfit is some 1e4 sigmas: differences of it are right to 1e-16 * 1e4 / 1e-6.
      EXPECT_NEAR(slopes[b][i], (above - below) / (2.0 * step), 1e-5 * std::abs(slopes[b][i]) + 1e-4)
          << b << " " << i;
    }
}

}  // namespace
}  // namespace fairhole::photo

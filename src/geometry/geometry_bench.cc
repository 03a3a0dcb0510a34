// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/geometry/circle.h"
#include "fairhole/geometry/statistics.h"
#include "test_discs.h"

namespace fairhole {
namespace {

void smallest_enclosing_of_a_stack(benchmark::State& state) {
  std::mt19937_64 random(1);
  const auto discs = test::random_discs(random, test::Kind::kStack, static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(smallest_enclosing(discs));
}
BENCHMARK(smallest_enclosing_of_a_stack)->DenseRange(1, 4)->Arg(12);

void chance_in_a_circle(benchmark::State& state) {
  const Eigen::Matrix2d cov_mm2 = (Eigen::Matrix2d() << 0.09, 0.02, 0.02, 0.04).finished();
  for (auto _ : state) benchmark::DoNotOptimize(probability_in_circle({0.3, 0.4}, cov_mm2, 0.8));
}
BENCHMARK(chance_in_a_circle);

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "test_drawings.h"

namespace fairhole {
namespace {

/// Gauge lines of ten holes, one hole in ten left out, one more in ten strewn about.
void infer_rows(benchmark::State& state) {
  std::mt19937_64 rng(1);
  const auto count = static_cast<std::size_t>(state.range(0));
  std::vector<Eigen::Vector2d> holes;
  for (int line = 0; holes.size() < count; ++line) {
    const double pitch_mm = kMmPerInch / 8.0 * std::uniform_int_distribution<int>(16, 40)(rng);
    for (const Eigen::Vector2d& hole : test::row_of(38.1, pitch_mm, 10, 50.8 * (line + 1))) {
      if (holes.size() >= count) break;
      const auto kind = rng() % 10;
      if (kind == 0 && holes.size() > 3) continue;
      holes.push_back(kind == 1 ? Eigen::Vector2d(test::uniform(rng, 0.0, 1000.0), 50.8 * (line + 0.5))
                                : hole);
    }
  }
  const MeasuredFace face = test::made_part(holes, 0.001, 0.5, 0.2, rng);
  for (auto _ : state) benchmark::DoNotOptimize(PatternInference{}(face));
  state.SetComplexityN(static_cast<benchmark::IterationCount>(count));
}
BENCHMARK(infer_rows)
    ->Arg(10)
    ->Arg(30)
    ->Arg(100)
    ->Arg(300)
    ->Arg(1000)
    ->Complexity()
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

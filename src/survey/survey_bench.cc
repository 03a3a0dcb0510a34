// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/survey/survey.h"
#include "simulated_face.h"

namespace fairhole {
namespace {

/// About five readings a hole: 1,000 holes have 5,000.
void survey_face(benchmark::State& state) {
  std::mt19937_64 rng(1);
  const test::SimulatedFace face =
      test::simulate({.holes = static_cast<int>(state.range(0)), .centres_per_hole = 2}, rng);
  for (auto _ : state) benchmark::DoNotOptimize(adjust(face.readings));
  state.counters["readings"] = static_cast<double>(face.readings.rows.size());
  state.SetComplexityN(state.range(0));
}
BENCHMARK(survey_face)->RangeMultiplier(10)->Range(10, 1000)->Complexity()->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include <algorithm>

#include "fairhole/survey/survey.h"
#include "simulated_face.h"

namespace fairhole {
namespace {

/// Five readings a hole: 1,000 holes have 5,000. Next readings are proposed in each.
void adjust_with(benchmark::State& state, const SurveyOptions& options, int blunders = 0) {
  std::mt19937_64 random(1910);
  test::SimulatedFace face = test::simulate_face(random, static_cast<int>(state.range(0)), 5, true);
  const std::size_t rows = face.readings.rows.size();
  for (int k = 0; k < blunders; ++k)
    face.readings.rows[rows * static_cast<std::size_t>(2 * k + 1) / static_cast<std::size_t>(2 * blunders)]
        .value_mm += 10.0;
  for (auto _ : state) benchmark::DoNotOptimize(adjust(face.readings, options));
  state.counters["readings"] = static_cast<double>(rows);
  state.SetComplexityN(state.range(0));
}

/// Everything that `survey` does.
void adjust_face(benchmark::State& state) { adjust_with(state, {}); }
/// The same but for the covariance over all holes, whose size is the square of their number.
void adjust_face_without_full_covariance(benchmark::State& state) {
  adjust_with(state, {.full_covariance = false});
}
/// Everything, with one reading of a hundred 10 mm off.
void adjust_face_with_blunders(benchmark::State& state) {
  adjust_with(state, {}, std::max(1, static_cast<int>(state.range(0)) / 20));
}
/// One adjustment, its tests and the next readings; no search for blunders.
void adjust_face_once(benchmark::State& state) {
  adjust_with(state, {.look_for_blunders = false, .full_covariance = false});
}

void sizes(benchmark::internal::Benchmark* b) {
  for (const int holes : {100, 180, 300, 560, 1000}) b->Arg(holes);
  b->Unit(benchmark::kMillisecond)->Complexity();
}
BENCHMARK(adjust_face_once)->Apply(sizes);
BENCHMARK(adjust_face_without_full_covariance)->Apply(sizes);
BENCHMARK(adjust_face)->Apply(sizes);
BENCHMARK(adjust_face_with_blunders)->Apply(sizes);

}  // namespace
}  // namespace fairhole

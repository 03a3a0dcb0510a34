// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/survey/survey.h"
#include "simulated_face.h"

namespace fairhole {
namespace {

/// Everything `survey` does, blunders and next readings included; five readings a hole: 1,000 holes have
/// 5,000.
void adjust_face(benchmark::State& state) {
  std::mt19937_64 random(1910);
  const test::SimulatedFace face = test::simulate_face(random, static_cast<int>(state.range(0)), 5, true);
  for (auto _ : state) benchmark::DoNotOptimize(adjust(face.readings));
  state.counters["readings"] = static_cast<double>(face.readings.rows.size());
}
/// The adjustment and the tests of the readings, without the search for blunders and the covariance between
/// holes.
void adjust_face_without_full_covariance(benchmark::State& state) {
  std::mt19937_64 random(1910);
  const test::SimulatedFace face = test::simulate_face(random, static_cast<int>(state.range(0)), 5, true);
  const SurveyOptions options{.look_for_blunders = false, .full_covariance = false};
  for (auto _ : state) benchmark::DoNotOptimize(adjust(face.readings, options));
  state.counters["readings"] = static_cast<double>(face.readings.rows.size());
}
BENCHMARK(adjust_face_without_full_covariance)
    ->Arg(10)
    ->Arg(30)
    ->Arg(100)
    ->Arg(300)
    ->Arg(1000)
    ->Unit(benchmark::kMillisecond);
BENCHMARK(adjust_face)->Arg(10)->Arg(30)->Arg(100)->Arg(300)->Arg(1000)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

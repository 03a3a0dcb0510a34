// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/registration/registration.h"
#include "test_cases.h"

namespace fairhole {
namespace {

void register_from_seat(benchmark::State& state) {
  std::mt19937_64 rng(1);
  const auto count = static_cast<int>(state.range(0));
  const Pattern pattern = test::strewn(count, rng);
  MeasuredFace face =
      test::measured_part(pattern, Motion{}, 0.4, test::survey_covariance(count, 0.3, 0.2), rng);
  face.covariance_mm2.resize(0, 0);
  const RegistrationKnown prior = test::drawn_prior(Motion{}, {3.0, 3.0, 0.002}, pattern[0].centre_mm, rng);
  for (auto _ : state) benchmark::DoNotOptimize(Registrar{}(pattern, face, prior));
  state.SetComplexityN(count);
}
BENCHMARK(register_from_seat)->RangeMultiplier(2)->Range(8, 256)->Complexity()->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

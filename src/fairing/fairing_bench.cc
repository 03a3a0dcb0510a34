// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/odds.h"
#include "test_assemblies.h"

namespace fairhole {
namespace {

void fair(benchmark::State& state) {
  const Assembly assembly = test::JobMaker(1, {.stacks = static_cast<int>(state.range(0))}).make();
  for (auto _ : state) benchmark::DoNotOptimize(FirstFairing{}(assembly));
  state.SetComplexityN(state.range(0));
}
BENCHMARK(fair)->RangeMultiplier(2)->Range(8, 256)->Complexity()->Unit(benchmark::kMillisecond);

void decide_one_stack(benchmark::State& state) {
  const Assembly assembly = test::JobMaker(2, {.stacks = 2}).make();
  const auto cases = stack_cases(assembly, choose_locating(assembly, {true, true}), {});
  for (auto _ : state) benchmark::DoNotOptimize(options_for(cases[0], {}));
}
BENCHMARK(decide_one_stack)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace fairhole

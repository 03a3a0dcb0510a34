// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/fairing/first_fairing.h"
#include "fairhole/fairing/joint_seats.h"
#include "fairhole/fairing/odds.h"
#include "test_assemblies.h"
#include "test_choices.h"
#include "test_seats.h"

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

/// Two plates, four angles, a beam; the argument is the number of stacks.
void least_worst_of_a_frame(benchmark::State& state) {
  const auto stacks = static_cast<int>(state.range(0));
  const JointCase joint = test::frame_case(1, stacks, 0.2);
  const std::vector<double> limits(static_cast<std::size_t>(stacks), 0.0);
  LeastWorst found;
  for (auto _ : state) found = least_worst(joint, limits);
  state.counters["gap_mm"] = found.value_mm - found.lower_mm;
}
BENCHMARK(least_worst_of_a_frame)->Arg(14)->Arg(40)->Arg(120)->Unit(benchmark::kMillisecond);

/// The argument is the number of parts: plates in a row, each with two angles and a beam, ten stacks a plate.
void least_worst_of_a_chain(benchmark::State& state) {
  const int plates = static_cast<int>(state.range(0)) / 4;
  const JointCase joint = test::chain_case(1, 10 * plates, plates, 0.2, false);
  const std::vector<double> limits(static_cast<std::size_t>(joint.stacks), 0.0);
  LeastWorst found;
  for (auto _ : state) found = least_worst(joint, limits);
  state.counters["gap_mm"] = found.value_mm - found.lower_mm;
}
BENCHMARK(least_worst_of_a_chain)
    ->Arg(4)
    ->Arg(16)
    ->Arg(48)
    ->Arg(160)
    ->Arg(500)
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

void levels_of_a_frame(benchmark::State& state, std::uint64_t seed, const std::vector<double>& limits_mm,
                       const std::vector<double>& costs) {
  const auto stacks = static_cast<int>(state.range(0));
  const JointCase joint = test::frame_case(seed, stacks, 0.2);
  const auto levels = test::even_levels(stacks, limits_mm, costs);
  LevelChoice found;
  for (auto _ : state) found = cheapest_levels(joint, levels);
  state.counters["cost"] = found.cost;
  state.counters["bound"] = found.bound;
  state.counters["solved"] = found.sets_solved;
}
const std::vector<double> kSixSizesMm{10.8, 11.2, 11.6, 12.0, 12.5, 13.0};
const std::vector<double> kSixCosts{0, 3, 6, 9, 12, 15, 100};
BENCHMARK_CAPTURE(levels_of_a_frame, count, 1, {11.2}, {0, 1})
    ->Arg(40)
    ->Arg(120)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(levels_of_a_frame, six_sizes_1, 1, kSixSizesMm, kSixCosts)
    ->Arg(40)
    ->Arg(120)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(levels_of_a_frame, six_sizes_2, 2, kSixSizesMm, kSixCosts)
    ->Arg(40)
    ->Arg(120)
    ->Unit(benchmark::kMillisecond);

void choose_in(benchmark::State& state, const ChoiceCase& choice_case) {
  ChoiceFound found;
  for (auto _ : state) found = cheapest_choice(choice_case);
  state.counters["cost"] = found.cost;
  state.counters["bound"] = found.bound;
  state.counters["solved"] = found.sets_solved;
}

/// As above with options of all kinds and groups; the second argument is the seed, the third the scatter in
/// hundredths of a millimetre, the fourth whether both plates stay.
void choice_of_a_frame(benchmark::State& state) {
  choose_in(state,
            test::frame_choice(static_cast<std::uint64_t>(state.range(1)), static_cast<int>(state.range(0)),
                               static_cast<double>(state.range(2)) / 100.0, state.range(3) != 0));
}
/// Four plates in a row; the second argument is the seed, the third whether they close to a ring, the fourth
/// how many stacks would rather keep to one size.
void choice_of_a_chain(benchmark::State& state) {
  const JointCase joint = test::chain_case(static_cast<std::uint64_t>(state.range(1)),
                                           static_cast<int>(state.range(0)), 4, 0.2, state.range(2) != 0);
  choose_in(state, test::sized_choice(joint, static_cast<int>(state.range(3))));
}
BENCHMARK(choice_of_a_frame)
    ->ArgsProduct({{60}, {1, 2, 3, 4}, {20}, {0}})
    ->ArgsProduct({{120}, {1, 2, 3, 4, 5, 6}, {15, 20, 30}, {0}})
    ->ArgsProduct({{120}, {1, 2, 3, 4, 5, 6}, {20}, {1}})
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);
BENCHMARK(choice_of_a_chain)
    ->ArgsProduct({{120}, {1, 2, 3}, {0, 1}, {20, 120}})
    ->Iterations(1)
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

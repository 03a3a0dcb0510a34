// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include <random>

#include "fairhole/fasteners/bolt.h"
#include "fairhole/fasteners/group.h"

namespace fairhole::fasteners {
namespace {

std::vector<ShankNeed> random_needs(std::size_t count) {
  std::mt19937_64 engine(1);
  std::vector<ShankNeed> needs;
  for (std::size_t i = 0; i < count; ++i) {
    const auto least_nm = static_cast<std::int64_t>(22000000 + engine() % 60000);
    needs.push_back({"S", {least_nm, least_nm + 13000}, ""});
  }
  return needs;
}

void BM_GroupShanks(benchmark::State& state) {
  const auto needs = random_needs(static_cast<std::size_t>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(group_shanks(needs, 0.005));
}
BENCHMARK(BM_GroupShanks)->Arg(100)->Arg(1000);

void BM_GroupingChoices(benchmark::State& state) {
  const auto needs = random_needs(static_cast<std::size_t>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(grouping_choices(needs));
}
BENCHMARK(BM_GroupingChoices)->Arg(100)->Arg(1000);

void BM_DesignBolt(benchmark::State& state) {
  BoltOrder order;
  order.stack = {"S1", {{"near", 12.7, 0.5, false}, {"plate", 12, 0.1, false}, {"far", 12.7, 0.5, false}}};
  order.nominal_mm = 22.0;
  order.shank = *limits_of({"k", 6}, 22.0);
  for (auto _ : state) benchmark::DoNotOptimize(design_bolt(order, standard_catalogue()));
}
BENCHMARK(BM_DesignBolt);

}  // namespace
}  // namespace fairhole::fasteners

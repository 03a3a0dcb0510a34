// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fair_stage.h"
#include "fairhole/fairing/joint_fairing.h"
#include "fairhole/job/load.h"
#include "fairhole/job/run.h"

/// The demo job: all joints of the crane.
namespace fairhole::job {
namespace {

const Job& crane() {
  static const Job job = *load_job(FAIRHOLE_SOURCE_DIR "/fixtures/jobs/wharf-crane");
  return job;
}

const Assembly& crane_assembly() {
  static const Assembly assembly = *job_assembly(crane(), join_faces(crane(), survey_faces(crane())));
  return assembly;
}

void crane_faired(benchmark::State& state) {
  const Assembly& assembly = crane_assembly();
  Plan plan;
  for (auto _ : state) plan = JointFairing{crane().rules}(assembly).plan;
  state.counters["cost"] = plan.cost;
  state.counters["bound"] = plan.bound;
  state.counters["proven"] = plan.proven ? 1.0 : 0.0;
}
BENCHMARK(crane_faired)->Unit(benchmark::kMillisecond);

/// One decision pinned, the plan before it known.
void crane_what_if(benchmark::State& state) {
  const Plan before = JointFairing{crane().rules}(crane_assembly()).plan;
  Assembly pinned = crane_assembly();
  pinned.stacks.front().pinned_finish_mm = pinned.stacks.front().fastener.sizes_mm.back();
  for (auto _ : state) benchmark::DoNotOptimize(JointFairing{crane().rules}(pinned, &before));
}
BENCHMARK(crane_what_if)->Unit(benchmark::kMillisecond);

void crane_run(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(run(crane(), {}));
}
BENCHMARK(crane_run)->Unit(benchmark::kMillisecond)->UseRealTime();  // photographs are read on all cores

}  // namespace
}  // namespace fairhole::job

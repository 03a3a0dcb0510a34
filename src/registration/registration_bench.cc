// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>

#include "fairhole/registration/registration.h"
#include "random_cases.h"
#include "ransac.h"

namespace fairhole {
namespace {

constexpr int kCases = 20;  // of every kind, in turn
constexpr int kLargeCases = 6;

/// Parts with 40 % of the holes missing and as many extra, either hand; holes taken as independent.
std::vector<test::RandomCase> cases_of(test::Shape shape, int count, bool correlated) {
  std::mt19937_64 rng(31);
  std::vector<test::RandomCase> cases;
  for (int k = 0; k < (count > 300 ? kLargeCases : kCases); ++k) {
    cases.push_back(test::random_case(shape, count, {0.4, 0.4}, 0.5, rng));
    if (!correlated) cases.back().face.covariance_mm2.resize(0, 0);
  }
  return cases;
}

/// Whether one pose is the other, or the other after one of the pattern's own symmetries.
bool are_alike(const test::Drawn& drawn, const Motion& one, const Motion& other) {
  return std::any_of(drawn.symmetries.begin(), drawn.symmetries.end(), [&](const Motion& symmetry) {
    const Motion there = one * symmetry;
    return std::all_of(drawn.pattern.begin(), drawn.pattern.end(), [&](const NominalHole& hole) {
      return (there * hole.centre_mm - other * hole.centre_mm).norm() < 0.4 * drawn.nearest_mm;
    });
  });
}

/// One of the pattern's own symmetries is no error.
bool is_wrong(const test::RandomCase& made, const Motion& pose) {
  return !made.is_right(pose) && !are_alike(made.drawn, made.truth, pose);
}

/// The chance that the first pose is wrong, as the odds claim it.
double claimed_wrong(const test::RandomCase& made, const Registration& got) {
  const Motion& first = got.face_from_pattern.motion;
  double right = got.odds;
  for (const Rival& rival : got.rivals) {
    if (are_alike(made.drawn, rival.face_from_pattern.motion, first)) right += rival.odds;
  }
  return 1.0 - right;
}

void exhaustive(benchmark::State& state, test::Shape shape, bool correlated) {
  const auto cases = cases_of(shape, static_cast<int>(state.range(0)), correlated);
  std::size_t k = 0;
  int wrong = 0, incomplete = 0, unlisted = 0;
  double claimed = 0.0;
  for (auto _ : state) {
    const test::RandomCase& made = cases[k++ % cases.size()];
    const auto got = Registrar{}(made.drawn.pattern, made.face);
    state.PauseTiming();
    wrong += !got || is_wrong(made, got->face_from_pattern.motion) ? 1 : 0;
    claimed += got ? claimed_wrong(made, *got) : 1.0;
    incomplete += !got || !got->complete ? 1 : 0;
    bool listed = got && made.is_right(got->face_from_pattern.motion);
    if (got) {
      for (const Rival& rival : got->rivals) listed = listed || made.is_right(rival.face_from_pattern.motion);
    }
    unlisted += listed ? 0 : 1;
    state.ResumeTiming();
  }
  const auto runs = static_cast<double>(state.iterations());
  state.counters["wrong_in_100"] = 100.0 * wrong / runs;
  state.counters["claimed_wrong_in_100"] = 100.0 * claimed / runs;
  state.counters["truth_unlisted_in_100"] = 100.0 * unlisted / runs;
  state.counters["incomplete_in_100"] = 100.0 * incomplete / runs;
}

void ransac(benchmark::State& state, test::Shape shape) {
  const auto cases = cases_of(shape, static_cast<int>(state.range(0)), false);
  std::size_t k = 0;
  int wrong = 0;
  std::mt19937_64 rng(32);
  for (auto _ : state) {
    const test::RandomCase& made = cases[k++ % cases.size()];
    const auto got = test::plain_ransac(made.drawn.pattern, made.face, rng);
    state.PauseTiming();
    wrong += !got || is_wrong(made, *got) ? 1 : 0;
    state.ResumeTiming();
  }
  state.counters["wrong_in_100"] = 100.0 * wrong / static_cast<double>(state.iterations());
}

// Whole rounds of the cases, so that every one counts as often.
#define BOTH(name, ...)                                               \
  BENCHMARK_CAPTURE(exhaustive, name, __VA_ARGS__, false)             \
      ->Arg(12)                                                       \
      ->Arg(50)                                                       \
      ->Arg(200)                                                      \
      ->Iterations(3 * kCases)                                        \
      ->Unit(benchmark::kMillisecond);                                \
  BENCHMARK_CAPTURE(exhaustive, name##_large, __VA_ARGS__, false)     \
      ->Arg(1000)                                                     \
      ->Iterations(kLargeCases)                                       \
      ->Unit(benchmark::kMillisecond);                                \
  BENCHMARK_CAPTURE(exhaustive, name##_correlated, __VA_ARGS__, true) \
      ->Arg(12)                                                       \
      ->Arg(50)                                                       \
      ->Arg(200)                                                      \
      ->Iterations(3 * kCases)                                        \
      ->Unit(benchmark::kMillisecond);                                \
  BENCHMARK_CAPTURE(ransac, name, __VA_ARGS__)                        \
      ->Arg(12)                                                       \
      ->Arg(50)                                                       \
      ->Arg(200)                                                      \
      ->Iterations(3 * kCases)                                        \
      ->Unit(benchmark::kMillisecond)

BOTH(irregular, test::Shape::kStrewn);
BOTH(grid, test::Shape::kGrid);
BOTH(staggered, test::Shape::kStaggered);

}  // namespace
}  // namespace fairhole

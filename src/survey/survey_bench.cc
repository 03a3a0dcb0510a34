// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <benchmark/benchmark.h>
#include <ceres/ceres.h>
#include <ceres/covariance.h>

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

/// A reading's misfit in sigmas as a function of the unknowns it depends on, all others as they stand in
/// `state`.
struct Misfit {
  const test::SimulatedFace* face;
  const Reading* reading;
  std::vector<int> unknowns;
  Eigen::VectorXd* state;

  bool operator()(double const* const* values, double* misfit) const {
    for (std::size_t i = 0; i < unknowns.size(); ++i) (*state)[unknowns[i]] = *values[i];
    *misfit = (face->measure(*reading, *state) - reading->value_mm) / reading->sigma_mm;
    return true;
  }
};
/// What is known beforehand: a sum of unknowns that should be 0, in sigmas.
struct Beforehand {
  std::vector<double> weights;
  bool operator()(double const* const* values, double* misfit) const {
    *misfit = 0.0;
    for (std::size_t i = 0; i < weights.size(); ++i) *misfit += weights[i] * *values[i];
    return true;
  }
};

template <class Functor>
void add(ceres::Problem& problem, Functor functor, const std::vector<int>& unknowns, Eigen::VectorXd& at) {
  auto* cost = new ceres::DynamicNumericDiffCostFunction<Functor>(new Functor(std::move(functor)));
  std::vector<double*> blocks;
  for (const int k : unknowns) {
    cost->AddParameterBlock(1);
    blocks.push_back(&at[k]);
  }
  cost->SetNumResiduals(1);
  problem.AddResidualBlock(cost, nullptr, blocks);
}

/// The general-purpose peer: Ceres on the same readings and priors, from the truth on, and the covariance of
/// every hole; no tests, no blunders, no next readings.
void adjust_face_by_ceres(benchmark::State& state) {
  std::mt19937_64 random(1910);
  const test::SimulatedFace face = test::simulate_face(random, static_cast<int>(state.range(0)), 5, true);
  const Eigen::MatrixXd priors = face.prior_rows();
  for (auto _ : state) {
    Eigen::VectorXd at = face.truth, scratch = face.truth;
    ceres::Problem problem;
    for (const Reading& r : face.readings.rows)
      add(problem, Misfit{&face, &r, face.parameters_of(r), &scratch}, face.parameters_of(r), at);
    for (Eigen::Index i = 0; i < priors.rows(); ++i) {
      std::vector<int> unknowns;
      Beforehand known;
      for (Eigen::Index k = 0; k < priors.cols(); ++k) {
        if (priors(i, k) == 0.0) continue;
        unknowns.push_back(static_cast<int>(k));
        known.weights.push_back(priors(i, k));
      }
      add(problem, known, unknowns, at);
    }
    for (int h = 0; h < face.holes; ++h) {
      for (double* oval : {&at[face.d(h) + 1], &at[face.d(h) + 2]}) {
        if (!face.oval(h) && problem.HasParameterBlock(oval)) problem.SetParameterBlockConstant(oval);
      }
    }
    ceres::Solver::Options options;
    options.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
    options.num_threads = 1;
    ceres::Solver::Summary summary;
    ceres::Solve(options, &problem, &summary);
    std::vector<std::pair<const double*, const double*>> wanted;
    for (int h = 0; h < face.holes; ++h) {
      for (const auto& [a, b] : {std::pair(0, 0), std::pair(0, 1), std::pair(1, 1)})
        wanted.emplace_back(&at[2 * h + a], &at[2 * h + b]);
    }
    ceres::Covariance::Options sparse;
    sparse.num_threads = 1;
    ceres::Covariance covariance(sparse);
    if (!summary.IsSolutionUsable() || !covariance.Compute(wanted, &problem)) {
      state.SkipWithError("no solution");
      return;
    }
  }
  state.counters["readings"] = static_cast<double>(face.readings.rows.size());
}

void sizes(benchmark::internal::Benchmark* b) {
  for (const int holes : {10, 30, 100, 300, 1000}) b->Arg(holes);
  b->Unit(benchmark::kMillisecond)->Complexity();
}
BENCHMARK(adjust_face_once)->Apply(sizes);
BENCHMARK(adjust_face_without_full_covariance)->Apply(sizes);
BENCHMARK(adjust_face)->Apply(sizes);
BENCHMARK(adjust_face_with_blunders)->Apply(sizes);
BENCHMARK(adjust_face_by_ceres)->Apply(sizes);
BENCHMARK(adjust_face_once)
    ->Name("adjust_face_once_large")
    ->Arg(3000)
    ->Arg(10000)
    ->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace fairhole

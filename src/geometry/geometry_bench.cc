// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <CGAL/Min_sphere_of_spheres_d.h>
#include <CGAL/Min_sphere_of_spheres_d_traits_2.h>
#include <CGAL/Simple_cartesian.h>
#include <benchmark/benchmark.h>

#include "fairhole/geometry/circle.h"
#include "fairhole/geometry/statistics.h"
#include "test_discs.h"

namespace fairhole {
namespace {

void smallest_enclosing_of_a_stack(benchmark::State& state) {
  std::mt19937_64 random(1);
  const auto discs = test::random_discs(random, test::Kind::kStack, static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(smallest_enclosing(discs));
}
BENCHMARK(smallest_enclosing_of_a_stack)->DenseRange(2, 4)->Arg(12);

/// The general-purpose peer, in double precision.
void smallest_enclosing_by_cgal(benchmark::State& state) {
  using Traits = CGAL::Min_sphere_of_spheres_d_traits_2<CGAL::Simple_cartesian<double>, double>;
  std::mt19937_64 random(1);
  std::vector<Traits::Sphere> spheres;
  for (const Circle& c : test::random_discs(random, test::Kind::kStack, static_cast<int>(state.range(0))))
    spheres.emplace_back(Traits::Point(c.centre_mm.x(), c.centre_mm.y()), c.radius_mm);
  for (auto _ : state) {
    CGAL::Min_sphere_of_spheres_d<Traits> found(spheres.begin(), spheres.end());
    benchmark::DoNotOptimize(found.radius());
  }
}
BENCHMARK(smallest_enclosing_by_cgal)->DenseRange(2, 4)->Arg(12);

void chance_in_a_circle(benchmark::State& state) {
  const Eigen::Matrix2d cov_mm2 = (Eigen::Matrix2d() << 0.09, 0.02, 0.02, 0.04).finished();
  for (auto _ : state) benchmark::DoNotOptimize(probability_in_circle({0.3, 0.4}, cov_mm2, 0.8));
}
BENCHMARK(chance_in_a_circle);

}  // namespace
}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// A second opinion on the circles: CGAL's smallest enclosing sphere of spheres in exact rational arithmetic.
// CGAL is used by this test program alone and never becomes part of the library.
#include <CGAL/Cartesian.h>
#include <CGAL/Gmpq.h>
#include <CGAL/Min_sphere_of_spheres_d.h>
#include <CGAL/Min_sphere_of_spheres_d_traits_2.h>
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "fairhole/geometry/circle.h"
#include "support/evidence.h"
#include "support/statistics.h"
#include "test_discs.h"

namespace fairhole {
namespace {

using Exact = CGAL::Gmpq;
using Traits = CGAL::Min_sphere_of_spheres_d_traits_2<CGAL::Cartesian<Exact>, Exact>;
using MinSphere = CGAL::Min_sphere_of_spheres_d<Traits>;

constexpr double kPromisedMm = 1e-9;  // the header's promise

Circle exact_smallest(const std::vector<Circle>& discs) {
  std::vector<Traits::Sphere> spheres;
  for (const Circle& disc : discs) {
    spheres.emplace_back(Traits::Point(Exact(disc.centre_mm.x()), Exact(disc.centre_mm.y())),
                         Exact(disc.radius_mm));
  }
  MinSphere sphere(spheres.begin(), spheres.end());
  const double root = std::sqrt(CGAL::to_double(sphere.discriminant()));
  const auto value = [root](const auto& pair) {  // a + b sqrt(discriminant)
    return CGAL::to_double(pair.first) + CGAL::to_double(pair.second) * root;
  };
  auto centre = sphere.center_cartesian_begin();
  const double x_mm = value(*centre++);
  const double y_mm = value(*centre);
  return {{x_mm, y_mm}, value(sphere.radius())};
}

class AgainstCgal : public ::testing::TestWithParam<int> {};

TEST_P(AgainstCgal, RadiusIsTheExactOne) {
  const auto kind = static_cast<test::Kind>(GetParam());
  std::mt19937_64 random(1000U + static_cast<unsigned>(GetParam()));
  double worst_mm = 0.0;
  double worst_centre_mm = 0.0;
  const int sets = test::trials(4000);
  test::Evidence exact_radius =
      test::second_method("CGAL, smallest enclosing sphere of spheres, exact rational arithmetic",
                          "radius about random discs", "mm");
  for (int set = 0; set < sets; ++set) {
    SCOPED_TRACE(fmt::format("set {}", set));
    const std::vector<Circle> discs = test::random_discs(random, kind, 1 + set % 13);
    const SupportedCircle ours = smallest_enclosing(discs);
    const Circle exact = exact_smallest(discs);
    worst_mm = std::max(worst_mm, std::abs(ours.circle.radius_mm - exact.radius_mm));
    worst_centre_mm = std::max(worst_centre_mm, (ours.circle.centre_mm - exact.centre_mm).norm());
    exact_radius.near(ours.circle.radius_mm, exact.radius_mm, kPromisedMm);
    if (HasFailure()) return;
    if (kind == test::Kind::kStack || kind == test::Kind::kScattered) {
      ASSERT_NEAR((ours.circle.centre_mm - exact.centre_mm).norm(), 0.0, kPromisedMm);
    }
  }
  fmt::print("kind {}: {} sets, worst radius {:.1e} mm, worst centre {:.1e} mm\n", GetParam(), sets, worst_mm,
             worst_centre_mm);
}

TEST_P(AgainstCgal, TheSupportHoldsTheCircleAlone) {
  const auto kind = static_cast<test::Kind>(GetParam());
  std::mt19937_64 random(2000U + static_cast<unsigned>(GetParam()));
  for (int set = 0; set < test::trials(500); ++set) {
    SCOPED_TRACE(fmt::format("set {}", set));
    const std::vector<Circle> discs = test::random_discs(random, kind, 1 + set % 13);
    const SupportedCircle ours = smallest_enclosing(discs);
    ASSERT_TRUE(ours.support.size() >= 1 && ours.support.size() <= 3);
    ASSERT_TRUE(std::is_sorted(ours.support.begin(), ours.support.end()));
    std::vector<Circle> holders;
    for (const int i : ours.support) holders.push_back(discs[static_cast<std::size_t>(i)]);
    ASSERT_NEAR(exact_smallest(holders).radius_mm, ours.circle.radius_mm, kPromisedMm);
  }
}

INSTANTIATE_TEST_SUITE_P(Kinds, AgainstCgal, ::testing::Range(0, test::kKinds));

}  // namespace
}  // namespace fairhole

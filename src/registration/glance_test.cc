// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "glance.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>
#include <set>

#include "edges.h"
#include "fairhole/registration/registration.h"
#include "random_cases.h"
#include "scene.h"
#include "search.h"
#include "support/statistics.h"

namespace fairhole {
namespace {

/// The distribution built up draw by draw, as an urn gives it.
std::vector<double> urn(std::size_t drawn, std::size_t marked, std::size_t all) {
  std::vector<double> p(drawn + 2, 0.0);
  p[0] = 1.0;
  for (std::size_t n = 0; n < drawn; ++n) {
    for (std::size_t k = n + 2; k-- > 0;) {
      const auto chance = [&](std::size_t before) {
        return before >= marked ? 0.0 : static_cast<double>(marked - before) / static_cast<double>(all - n);
      };
      p[k] = p[k] * (1.0 - chance(k)) + (k > 0 ? p[k - 1] * chance(k - 1) : 0.0);
    }
  }
  return p;
}

TEST(ChanceOfFew, IsThatOfAnUrn) {
  constexpr double kRounding = 1e-9;  // lgamma of 3,000 is good to 1e-12 of twenty thousand
  for (const auto& [drawn, marked, all] : {std::array<std::size_t, 3>{5, 4, 9},
                                           {20, 30, 40},
                                           {64, 500, 998},
                                           {900, 500, 998},
                                           {1500, 1500, 2998}}) {
    const std::vector<double> p = urn(drawn, marked, all);
    double sum = 0.0;
    for (std::size_t few = 0; few <= drawn; ++few) {
      sum += p[few];
      const double got = chance_of_few(few, drawn, marked, all);
      EXPECT_NEAR(got, sum, kRounding) << few << " of " << drawn;
      if (sum > 1e-250 && sum < 0.1) {
        EXPECT_NEAR(std::log(got / sum), 0.0, kRounding) << few << " of " << drawn;
      }
    }
  }
}

/// What the look is to find, hole by hole.
std::size_t counted(const Scene& scene, const Gates& gates, const NearestNominal& nearest,
                    const FastPose& pose, const Looseness& loose) {
  std::set<int> explained;
  std::size_t too_wide = 0;
  for (std::size_t i = 0; i < scene.points.measured_mm.size(); ++i) {
    const Eigen::Vector2d q_mm = pose.to_pattern(scene.points.measured_mm[i]);
    const double gate_mm =
        gates.sigmas * std::sqrt(gates.variance_mm2[i] + loose.at(scene.points.measured_mm[i]));
    const int a = nearest(q_mm.x(), q_mm.y());
    if (gate_mm > gates.reach_mm) {
      ++too_wide;
    } else if (a >= 0 && (scene.points.nominal_mm[at(a)] - q_mm).norm() <= gate_mm) {
      explained.insert(a);
    }
  }
  return explained.size() + too_wide;
}

struct Part {
  test::RandomCase made;
  Scene scene;
  explicit Part(test::RandomCase one)
      : made(std::move(one)), scene(*make_scene(made.drawn.pattern, made.face, {}, Registrar{})) {}
};

Part random_part(test::Shape shape, int count, std::mt19937_64& rng) {
  test::RandomCase made = test::random_case(shape, count, {0.4, 0.4}, 0.5, rng);
  made.face.covariance_mm2.resize(0, 0);
  return Part(std::move(made));
}

/// Any two pairs of the true pose as base: what is explained is counted, a pose that explains as many as are
/// needed is never turned down (but for one in some ten thousand), one that explains fewer always is.
TEST(Glance, CountsAndTurnsDownOnlyWhatExplainsTooFew) {
  std::mt19937_64 rng(41);
  for (int run = 0; run < 60; ++run) {
    SCOPED_TRACE(run);
    const Part part = random_part(static_cast<test::Shape>(run % test::kShapes), 10 + 3 * run, rng);
    const Gates gates(part.scene);
    const NearestNominal nearest(part.scene.points.nominal_mm, gates.reach_mm);
    Glance glance(part.scene, gates, nearest);
    const FastPose pose = FastPose::of(part.made.truth);
    const Looseness loose{part.scene.points.measured_mm.front(), 0.5, 1e-7};
    const std::size_t count = counted(part.scene, gates, nearest, pose, loose);
    ASSERT_GE(count, 3U);
    glance.ask_for(2);
    glance(pose, loose, {});
    std::vector<Pairing> explained = glance.explained();
    ASSERT_GE(explained.size(), 2U);
    for (int draw = 0; draw < 20; ++draw) {
      std::swap(explained[0], explained[rng() % explained.size()]);
      std::swap(explained[1], explained[1 + rng() % (explained.size() - 1)]);
      const std::span<const Pairing> base(explained.data(), 2);
      glance.ask_for(2);
      EXPECT_EQ(glance(pose, loose, base), count);
      glance.ask_for(count);
      EXPECT_EQ(glance(pose, loose, base), count);
      EXPECT_GE(glance(pose, loose, {}), count);  // two of them go without a look
      glance.ask_for(count + 1);
      EXPECT_EQ(glance(pose, loose, base), 0U);
    }
  }
}

double farthest_mm(const Scene& scene, const Motion& one, const Motion& other) {
  double most_mm = 0.0;
  for (const Eigen::Vector2d& q_mm : scene.points.nominal_mm)
    most_mm = std::max(most_mm, (one * q_mm - other * q_mm).norm());
  return most_mm;
}

/// Two pairs laid on each other, without the search's help.
Motion laid(const Scene& scene, const Pairing& one, const Pairing& two, bool mirrored) {
  const auto& from = scene.points.nominal_mm;
  const auto& to = scene.points.measured_mm;
  Motion pose{{0.0, 0.0}, Angle(), mirrored};
  const Eigen::Vector2d edge = pose * from[at(two.nominal)] - pose * from[at(one.nominal)];
  const Eigen::Vector2d image = to[at(two.measured)] - to[at(one.measured)];
  pose.turn = Angle::radians(std::atan2(image.y(), image.x()) - std::atan2(edge.y(), edge.x()));
  pose.shift_mm = 0.5 * (to[at(one.measured)] + to[at(two.measured)] - pose * from[at(one.nominal)] -
                         pose * from[at(two.nominal)]);
  return pose;
}

/// On large parts the search looks twice before it polishes, and looks into each place once. The plain way:
/// every hypothesis of some pairs polished, whatever it may explain. What comes within a thousandth of the
/// best must be among the search's poses.
TEST(SearchStatistics, LargePartsLoseNoPoseThatEveryHypothesisPolishedFinds) {
  constexpr double kLogThousandth = 6.91;
  constexpr int kHoles = 400, kEdges = 4;
  std::mt19937_64 rng(42);
  int poses = 0, lost = 0;
  for (int run = 0; run < test::trials(30); ++run) {
    SCOPED_TRACE(run);
    const auto shape =
        std::array{test::Shape::kStaggered, test::Shape::kGrid, test::Shape::kTwoRows}[run % 3];
    const Part part = random_part(shape, kHoles, rng);
    const Scene& scene = part.scene;
    ASSERT_GE(scene.points.measured_mm.size(), EdgeOrder::kLarge);
    const SearchResult found = find_starts(scene, {std::nullopt, nullptr, Registrar{}.most_poses});
    const Gates gates(scene);
    const NearestNominal nearest(scene.points.nominal_mm, gates.reach_mm);
    const QuickEvidence evidence(scene);
    const LengthIndex lengths(scene.points.nominal_mm);
    const auto measured = static_cast<int>(scene.points.measured_mm.size());
    for (int edge = 0; edge < kEdges; ++edge) {
      const int i = static_cast<int>(rng() % static_cast<std::size_t>(measured));
      const int j = (i + measured / 2) % measured;
      const double length_mm = (scene.points.measured_mm[at(i)] - scene.points.measured_mm[at(j)]).norm();
      const double variance_mm2 = 0.5 * (gates.variance_mm2[at(i)] + gates.variance_mm2[at(j)]);
      const Looseness loose{0.5 * (scene.points.measured_mm[at(i)] + scene.points.measured_mm[at(j)]),
                            0.5 * variance_mm2, 2.0 * variance_mm2 / (length_mm * length_mm)};
      lengths.matching(length_mm, gates.sigmas * std::sqrt(2.0 * variance_mm2), [&](int a, int b) {
        for (int way = 0; way < 4; ++way, std::swap(a, b)) {
          const Motion start = laid(scene, {a, i}, {b, j}, way > 1);
          const auto polished = polish(scene, gates, nearest, evidence, FastPose::of(start), loose);
          if (!polished || polished->start.score < found.starts.front().score - kLogThousandth) continue;
          ++poses;
          lost += std::none_of(found.starts.begin(), found.starts.end(),
                               [&](const Start& one) {
                                 const Motion& pose = polished->start.pose;
                                 return one.pose.mirrored == pose.mirrored &&
                                        farthest_mm(scene, one.pose, pose) < 2.0 * scene.alike_mm;
                               })
                      ? 1
                      : 0;
        }
      });
    }
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(poses, 100);
  EXPECT_EQ(lost, 0);
}

}  // namespace
}  // namespace fairhole

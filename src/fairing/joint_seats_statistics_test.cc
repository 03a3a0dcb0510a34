// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>

#include "fairhole/fairing/joint_seats.h"
#include "fairhole/geometry/circle.h"
#include "support/statistics.h"
#include "test_seats.h"

// Against a second method that shares nothing with the search: a smoothed maximum followed down by gradients
// from several starts, judged by plain geometry, over all sets of levels.
namespace fairhole {
namespace {

using test::uniform;

/// Pushes a smoothed largest (|c - z| + r - limit) down; variables: seats and stack centres.
class SmoothDescent {
 public:
  SmoothDescent(const JointCase& joint, const std::vector<double>& limit_radius)
      : joint_(joint), limit_(limit_radius) {}

  /// Best true worst value over the starts (found by plain geometry), stopping at `enough`.
  double run(double enough, std::mt19937_64& random, int starts) {
    double best = kNoLimit;
    for (int start = 0; start < starts && best > enough; ++start) {
      std::vector<SeatMove> moves;
      for (const SeatPlay& play : joint_.parts) {
        const double share = start == 0 ? 0.0 : 1.0;
        moves.push_back({share * uniform(random, play.dx_mm.least, play.dx_mm.most),
                         share * uniform(random, play.dy_mm.least, play.dy_mm.most),
                         share * uniform(random, play.turn_rad.least, play.turn_rad.most)});
      }
      best = std::min(best, descend(moves));
    }
    return best;
  }

 private:
  static constexpr double kArmMm = 100.0;  // turn counted at this arm, so that all variables are of one size

  Eigen::Vector2d centre(const SeatDisc& disc, const std::vector<SeatMove>& moves) const {
    Eigen::Vector2d centre = disc.centre_mm;
    for (const SeatFollow& follow : disc.follows) {
      const SeatMove& m = moves[static_cast<std::size_t>(follow.part)];
      centre += follow.by_shift * Eigen::Vector2d(m.dx_mm, m.dy_mm) +
                follow.by_sine_mm * std::sin(m.turn_rad) +
                follow.by_versine_mm * (1.0 - std::cos(m.turn_rad));
    }
    return centre;
  }
  double worst(const std::vector<SeatMove>& moves) const {
    std::vector<std::vector<Circle>> stacks(limit_.size());
    for (const SeatDisc& disc : joint_.discs) {
      stacks[static_cast<std::size_t>(disc.stack)].push_back({centre(disc, moves), disc.radius_mm});
    }
    double most = -kNoLimit;
    for (std::size_t s = 0; s < stacks.size(); ++s) {
      if (limit_[s] != kNoLimit)
        most = std::max(most, smallest_enclosing(stacks[s]).circle.radius_mm - limit_[s]);
    }
    return most;
  }
  double descend(std::vector<SeatMove> moves) {
    std::vector<Eigen::Vector2d> z(limit_.size(), Eigen::Vector2d::Zero());
    std::vector<int> count(limit_.size(), 0);
    for (const SeatDisc& d : joint_.discs)
      z[static_cast<std::size_t>(d.stack)] += centre(d, moves), ++count[static_cast<std::size_t>(d.stack)];
    for (std::size_t s = 0; s < z.size(); ++s) z[s] /= std::max(1, count[s]);
    double best = worst(moves);
    double soft = 0.2, rate = 0.1;
    std::vector<Eigen::Vector2d> z_speed(z.size(), Eigen::Vector2d::Zero());
    std::vector<Eigen::Vector3d> speed(moves.size(), Eigen::Vector3d::Zero());
    for (int round = 0; round < 10; ++round, soft *= 0.5, rate *= 0.5) {
      for (int step = 0; step < 120; ++step) push(moves, z, speed, z_speed, soft, rate);
      best = std::min(best, worst(moves));
    }
    return best;
  }
  void push(std::vector<SeatMove>& moves, std::vector<Eigen::Vector2d>& z,
            std::vector<Eigen::Vector3d>& speed, std::vector<Eigen::Vector2d>& z_speed, double soft,
            double rate) const {
    struct Term {
      double value;
      Eigen::Vector2d unit;
    };
    std::vector<Term> terms;
    double most = -kNoLimit;
    for (const SeatDisc& d : joint_.discs) {
      const auto s = static_cast<std::size_t>(d.stack);
      const Eigen::Vector2d out = centre(d, moves) - z[s];
      const double length = std::sqrt(out.squaredNorm() + 1e-4 * soft * soft);
      terms.push_back({limit_[s] == kNoLimit ? -kNoLimit : length + d.radius_mm - limit_[s], out / length});
      most = std::max(most, terms.back().value);
    }
    double total = 0.0;
    for (const Term& t : terms) total += std::exp((t.value - most) / soft);
    std::vector<Eigen::Vector3d> slope(moves.size(), Eigen::Vector3d::Zero());
    std::vector<Eigen::Vector2d> z_slope(z.size(), Eigen::Vector2d::Zero());
    for (std::size_t i = 0; i < terms.size(); ++i) {
      const SeatDisc& d = joint_.discs[i];
      const Eigen::Vector2d g = std::exp((terms[i].value - most) / soft) / total * terms[i].unit;
      for (const SeatFollow& f : d.follows) {
        const auto p = static_cast<std::size_t>(f.part);
        const double t = moves[p].turn_rad;
        slope[p].head<2>() += f.by_shift.transpose() * g;
        slope[p][2] += (f.by_sine_mm * std::cos(t) + f.by_versine_mm * std::sin(t)).dot(g) / kArmMm;
      }
      z_slope[static_cast<std::size_t>(d.stack)] -= g;
    }
    for (std::size_t s = 0; s < z.size(); ++s) {
      z_speed[s] = 0.8 * z_speed[s] - rate * z_slope[s];
      z[s] += z_speed[s];
    }
    for (std::size_t p = 0; p < moves.size(); ++p) {
      speed[p] = 0.8 * speed[p] - rate * slope[p];
      const SeatPlay& play = joint_.parts[p];
      moves[p].dx_mm = std::clamp(moves[p].dx_mm + speed[p][0], play.dx_mm.least, play.dx_mm.most);
      moves[p].dy_mm = std::clamp(moves[p].dy_mm + speed[p][1], play.dy_mm.least, play.dy_mm.most);
      moves[p].turn_rad =
          std::clamp(moves[p].turn_rad + speed[p][2] / kArmMm, play.turn_rad.least, play.turn_rad.most);
    }
  }

  const JointCase& joint_;
  std::vector<double> limit_;
};

/// Up to three parts, two of them with play, and six stacks at most.
JointCase small_case(std::uint64_t seed) {
  test::CaseMaker maker(seed);
  std::mt19937_64& random = maker.random();
  const int fixed = maker.part({}, {150, 50});
  const int a = maker.part(test::even_play(uniform(random, 0, 2), 1.5, uniform(random, 0, 0.6)), {140, 60});
  const int b = maker.part(test::even_play(1.0, uniform(random, 0, 2), 0.3), {100, 40});
  const int stacks = 3 + static_cast<int>(random() % 4);
  for (int s = 0; s < stacks; ++s) {
    const Eigen::Vector2d place(uniform(random, 0, 300), uniform(random, 0, 100));
    const int stack = maker.stack();
    for (const int part : {fixed, a, b}) {
      if (part == a || random() % 3 != 0) maker.hole(part, stack, place, 0.5, uniform(random, 10, 10.6));
    }
  }
  return maker.made();
}

std::vector<double> limits_of(const std::vector<StackLevels>& levels, const std::vector<int>& choice) {
  std::vector<double> out;
  for (std::size_t s = 0; s < choice.size(); ++s) {
    const auto k = static_cast<std::size_t>(choice[s]);
    const auto& limits = levels[s].limit_diameter_mm;
    out.push_back(k < limits.size() ? limits[k] / 2.0 : kNoLimit);
  }
  return out;
}

double cost_of(const std::vector<StackLevels>& levels, const std::vector<int>& choice) {
  double sum = 0.0;
  for (std::size_t s = 0; s < choice.size(); ++s) sum += levels[s].cost[static_cast<std::size_t>(choice[s])];
  return sum;
}

/// Choices cheaper than `cost` that no single step up keeps so: if none of them holds, nothing cheaper does.
std::vector<std::vector<int>> cheaper_choices(const std::vector<StackLevels>& levels, double cost) {
  std::vector<std::vector<int>> out;
  std::vector<int> choice(levels.size(), 0);
  for (;;) {
    const double own = cost_of(levels, choice);
    bool highest = own < cost - 1e-9;
    for (std::size_t s = 0; s < choice.size() && highest; ++s) {
      const auto k = static_cast<std::size_t>(choice[s]);
      if (k + 1 < levels[s].cost.size())
        highest = own + levels[s].cost[k + 1] - levels[s].cost[k] >= cost - 1e-9;
    }
    if (highest) out.push_back(choice);
    std::size_t s = 0;
    while (s < choice.size() && ++choice[s] == static_cast<int>(levels[s].cost.size())) choice[s++] = 0;
    if (s == choice.size()) return out;
  }
}

TEST(JointSeatsStatistics, CostAgainstTryingAllLevels) {
  std::mt19937_64 random(7);
  int confirmed = 0, roomy = 0, costly = 0;
  const int jobs = test::trials(200);
  for (int job = 0; job < jobs; ++job) {
    const JointCase joint = small_case(1000 + static_cast<std::uint64_t>(job));
    const auto levels = test::even_levels(joint.stacks, {10.9, 11.4}, {0.0, 2.0, 7.0});
    const LevelChoice found = cheapest_levels(joint, levels);
    ASSERT_TRUE(found.proven) << job;
    EXPECT_NEAR(cost_of(levels, levels_at(joint, levels, found.moves)), found.cost, 1e-9) << job;
    for (const auto& choice : cheaper_choices(levels, found.cost)) {
      SmoothDescent descent(joint, limits_of(levels, choice));
      EXPECT_GT(descent.run(0.0, random, 3), 0.0) << "job " << job << ": a cheaper choice holds";
    }
    if (found.cost > 0.0) ++costly;
    if (found.margin_mm > 0.02 && found.margin_mm != kNoLimit) {  // wide enough for the second method to hit
      ++roomy;
      if (SmoothDescent(joint, limits_of(levels, found.level)).run(0.0, random, 20) <= 0.0) ++confirmed;
    }
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GT(costly, jobs / 2);  // the question is not idle
  EXPECT_GE(confirmed,
            (98 * roomy) / 100);  // the second method finds what there is, or it would prove nothing
}

TEST(JointSeatsStatistics, ValueAgainstSmoothDescent) {
  std::mt19937_64 random(8);
  int close = 0;
  const int jobs = test::trials(100);
  for (int job = 0; job < jobs; ++job) {
    const JointCase joint = small_case(5000 + static_cast<std::uint64_t>(job));
    const std::vector<double> none(static_cast<std::size_t>(joint.stacks), 0.0);
    const LeastWorst found = least_worst(joint, none);
    const double other = 2.0 * SmoothDescent(joint, none).run(found.value_mm / 2.0 + 1e-4, random, 10);
    EXPECT_LE(found.lower_mm, other + 1e-9) << job;  // else the bound is false
    EXPECT_LE(found.value_mm, other + 1e-6) << job;
    EXPECT_LE(found.value_mm - found.lower_mm, 1e-4) << job;
    if (other < found.value_mm + 0.005) ++close;
  }
  if (!test::judge_frequencies()) return;
  EXPECT_GE(close, (95 * jobs) / 100);
}

// Larger cases: nothing to try all of, but what is claimed must be so.
TEST(JointSeatsStatistics, LargerFramesKeepTheirWord) {
  const int jobs = test::trials(12);
  for (int job = 0; job < jobs; ++job) {
    const int stacks = 40 + 40 * (job % 3);
    const JointCase joint = test::frame_case(100 + static_cast<std::uint64_t>(job), stacks, 0.2);
    const auto levels = test::even_levels(stacks, {11.0}, {0.0, 1.0});
    const LevelChoice found = cheapest_levels(joint, levels);
    EXPECT_TRUE(found.proven) << job;
    EXPECT_EQ(cost_of(levels, levels_at(joint, levels, found.moves)), found.cost);
    for (std::size_t p = 0; p < joint.parts.size(); ++p) {
      EXPECT_LE(std::abs(found.moves[p].dx_mm), joint.parts[p].dx_mm.most);
      EXPECT_LE(std::abs(found.moves[p].dy_mm), joint.parts[p].dy_mm.most);
      EXPECT_LE(std::abs(found.moves[p].turn_rad), joint.parts[p].turn_rad.most);
    }
  }
}

}  // namespace
}  // namespace fairhole

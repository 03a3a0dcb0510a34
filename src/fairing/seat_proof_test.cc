// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <Eigen/LU>

#include "cone3.h"
#include "seat_relaxation.h"
#include "seat_search.h"
#include "test_choices.h"
#include "test_seats.h"

// Proofs are sound whatever the solver did: random multipliers, random cuts, against trying.
namespace fairhole::detail {
namespace {

using test::uniform;

Eigen::Vector3d inside(std::mt19937_64& random) {
  const Eigen::Vector2d p{uniform(random, -2, 2), uniform(random, -2, 2)};
  return {p.norm() + uniform(random, 0.01, 1.0), p.x(), p.y()};
}

TEST(Cone3, ScalingCarriesSlackAndMultiplierToOnePoint) {
  std::mt19937_64 random(1);
  for (int i = 0; i < 100; ++i) {
    const Eigen::Vector3d s = inside(random), z = inside(random);
    const ConeScaling scaling(s, z);
    EXPECT_NEAR((scaling.times(z) - scaling.inverse_times(s)).norm(), 0.0, 1e-9);
    EXPECT_NEAR((scaling.times(scaling.inverse_times(s)) - s).norm(), 0.0, 1e-9);
    EXPECT_NEAR((scaling.inverse_square() * s - z).norm(), 0.0,
                1e-8 * (1.0 + scaling.inverse_square().norm()));
    EXPECT_NEAR((cone_product(s, cone_quotient(s, z)) - z).norm(), 0.0, 1e-9 / cone_determinant(s));
  }
}

TEST(Cone3, StepEndsOnTheBoundary) {
  std::mt19937_64 random(2);
  int finite = 0;
  for (int i = 0; i < 200; ++i) {
    const Eigen::Vector3d v = inside(random);
    const Eigen::Vector3d d{uniform(random, -1, 1), uniform(random, -1, 1), uniform(random, -1, 1)};
    const double step = cone_step(v, d);
    const auto depth = [&](double t) { return (v + t * d)[0] - (v + t * d).tail<2>().norm(); };
    if (std::isinf(step)) {
      EXPECT_GE(depth(1e6), -1e-6);
      continue;
    }
    ++finite;
    EXPECT_NEAR(depth(step), 0.0, 1e-9 * (1.0 + step));
    EXPECT_GT(depth(0.999 * step), 0.0);
  }
  EXPECT_GT(finite, 100);
}

TEST(SeatProof, LeastOnArcAgainstTrying) {
  std::mt19937_64 random(3);
  for (int i = 0; i < 300; ++i) {
    const double a = uniform(random, -2, 2), b = uniform(random, -2, 2);
    double least = uniform(random, -M_PI, M_PI), most = uniform(random, -M_PI, M_PI);
    if (least > most) std::swap(least, most);
    double tried = kNoLimit;
    constexpr int kSteps = 20000;
    for (int k = 0; k <= kSteps; ++k) {
      const double t = least + (most - least) * k / kSteps;
      tried = std::min(tried, a * std::sin(t) + b * (1.0 - std::cos(t)));
    }
    EXPECT_LE(least_on_arc(a, b, {least, most}), tried + 1e-12);
    EXPECT_NEAR(least_on_arc(a, b, {least, most}), tried,
                1e-6);  // the grid's own coarseness: (2 pi / 20000)^2
  }
}

SeatMove anywhere(std::mt19937_64& random, const SeatPlay& play) {
  return {uniform(random, play.dx_mm.least, play.dx_mm.most),
          uniform(random, play.dy_mm.least, play.dy_mm.most),
          uniform(random, play.turn_rad.least, play.turn_rad.most)};
}

TEST(SeatProof, AnyMultipliersAreSound) {
  std::mt19937_64 random(4);
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    JointCase joint = test::frame_case(seed, 10);
    for (SeatPlay& play : joint.parts) play.turn_rad = {-0.3, 0.2};  // turns so wide that the arc matters
    const SeatModel model(joint);
    std::vector<Eigen::Vector3d> multipliers;
    for (std::size_t i = 0; i < joint.discs.size(); ++i) {
      multipliers.push_back({uniform(random, 0, 1), uniform(random, -1, 1), uniform(random, -1, 1)});
    }
    const SeatProof proof = proof_of(model, model.whole_box(), multipliers);
    for (int trial = 0; trial < 200; ++trial) {
      std::vector<SeatMove> moves;
      for (const SeatPlay& play : joint.parts) moves.push_back(anywhere(random, play));
      std::vector<double> radii;
      for (int s = 0; s < joint.stacks; ++s) radii.push_back(model.clean_up(s, moves).radius_mm);
      EXPECT_LE(proof.excess_mm(model.clean_up_rooms(radii)),
                1e-9);  // these radii hold, so nothing may say that they do not
    }
  }
}

TEST(SeatProof, AnyMultipliersAreSoundForSharedMoves) {
  std::mt19937_64 random(14);
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    ChoiceCase choice_case = test::small_choice(seed);  // discs with two follows
    for (SeatPlay& play : choice_case.joint.parts) play.turn_rad = {-0.3, 0.2};
    const SeatModel model(choice_case.joint);
    std::vector<Eigen::Vector3d> multipliers;
    for (std::size_t i = 0; i < choice_case.joint.discs.size(); ++i)
      multipliers.push_back({uniform(random, 0, 1), uniform(random, -1, 1), uniform(random, -1, 1)});
    const SeatProof proof = proof_of(model, model.whole_box(), multipliers);
    for (int trial = 0; trial < 100; ++trial) {
      std::vector<SeatMove> moves;
      for (const SeatPlay& play : choice_case.joint.parts) moves.push_back(anywhere(random, play));
      std::vector<double> rooms;  // what each disc needs about a centre anywhere
      for (int s = 0; s < model.stacks(); ++s) {
        const Eigen::Vector2d centre{uniform(random, -2, 2), uniform(random, -2, 2)};
        for (const SeatDisc& disc : model.discs(s)) rooms.push_back((centre_at(disc, moves) - centre).norm());
      }
      EXPECT_LE(proof.excess_mm(rooms), 1e-9);
    }
  }
}

TEST(SeatProof, SpoiltMultipliersAreSound) {
  // Near the optimum there is no room for a bound that is only nearly right.
  std::mt19937_64 random(9);
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const SeatModel model(test::frame_case(seed, 14));
    const std::vector<double> rooms = model.clean_up_rooms(std::vector<double>(14, 0.0));
    const SeatFound found = find_seats(model, rooms, {});
    const SeatRelaxation hull = hull_relaxation(model, rooms, model.whole_box());
    const auto good = disc_multipliers(model, hull, solve(hull.program, hull.start, 1e-9));
    for (int trial = 0; trial < 50; ++trial) {
      auto spoilt = good;
      for (Eigen::Vector3d& m : spoilt) {
        m[0] *= uniform(random, 0.0, 1.1);
        m.tail<2>() *= uniform(random, 0.98, 1.02);
      }
      EXPECT_LE(proof_of(model, model.whole_box(), spoilt).excess_mm(rooms), found.value_mm + 1e-9);
    }
  }
}

TEST(SeatRelaxation, DiscsMoveAsTheirParts) {
  std::mt19937_64 random(10);
  JointCase joint = test::frame_case(1, 14);
  for (SeatPlay& play : joint.parts) play.turn_rad = {0.1, 0.7};
  const SeatModel model(joint);
  const std::vector<double> rooms = model.clean_up_rooms(std::vector<double>(14, 0.0));
  const SeatRelaxation hull = hull_relaxation(model, rooms, model.whole_box());
  for (std::size_t i = 0; i < hull.program.cones.size(); ++i) {
    if (hull.disc_of_cone[i] < 0) continue;
    const SeatDisc& disc = model.joint().discs[static_cast<std::size_t>(hull.disc_of_cone[i])];
    const SeatCone& cone = hull.program.cones[i];
    std::vector<SeatMove> moves;
    for (const SeatPlay& play : joint.parts) moves.push_back(anywhere(random, play));
    Eigen::Vector3d seen = cone.at;
    for (const SeatSlope& slope : cone.parts) {
      const auto p = static_cast<std::size_t>(slope.part);
      const PartScale& scale = hull.scale[p];
      const double off = moves[p].turn_rad - scale.turn_middle_rad;
      PartVector v = PartVector::Zero();
      const Eigen::Vector2d shift = Eigen::Vector2d(moves[p].dx_mm, moves[p].dy_mm) - scale.shift_middle_mm;
      for (int k = 0; k < 2; ++k)
        v[k] = scale.shift_half_mm[k] > 0.0 ? shift[k] / scale.shift_half_mm[k] : 0.0;
      v[2] = std::sin(off) / scale.sine_unit;
      v[3] = (1.0 - std::cos(off)) / scale.versine_unit;
      seen += slope.slope * v;
    }
    EXPECT_NEAR((seen.tail<2>() - centre_at(disc, moves)).norm(), 0.0, 1e-9);
  }
}

TEST(SeatProof, SolversProofIsTight) {
  // Without turns the problem is convex: the proof must come up to the value.
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    JointCase joint = test::frame_case(seed, 20);
    for (SeatPlay& play : joint.parts) play.turn_rad = {0, 0};
    const SeatModel model(joint);
    const std::vector<double> rooms = model.clean_up_rooms(std::vector<double>(20, 5.0));
    const SeatFound found = find_seats(model, rooms, {});
    ASSERT_EQ(found.proofs.size(), 1U);
    EXPECT_NEAR(found.proofs.front().excess_mm(rooms), found.value_mm, SeatAim{}.gap_mm);
    EXPECT_NEAR(model.worst_mm(found.moves, rooms), found.value_mm, 1e-12);
  }
}

}  // namespace
}  // namespace fairhole::detail

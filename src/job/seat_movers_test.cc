// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The toe of a crane as bodies in space: a beam across two plates, each clasped between two angles, and a
// saddle between the plates. The bodies are moved in space as far as their contacts let them, and the moves
// of every face in its carrier's own frame must be just those that the movers know, whoever looked at which
// side.
#include "seat_movers.h"

#include <gmock/gmock.h>

#include <Eigen/QR>
#include <random>

#include "check_contacts.h"
#include "fairhole/fairing/movers.h"
#include "test_job.h"
#include "test_toe.h"

namespace fairhole::job {
namespace {

using Eigen::Vector2d;

using test::Contact;
using test::ContactMoves;
using test::seat_of;
using test::Toe;

constexpr double kTurnArmMm = 300.0;  // a turn counts as what it moves so far off

/// How all seats differ from nominal: along, across, turn; one joint after the other.
Eigen::VectorXd change(const Job& job, const std::vector<Motion>& seats) {
  Eigen::VectorXd all(3 * static_cast<Eigen::Index>(seats.size()));
  for (std::size_t i = 0; i < seats.size(); ++i) {
    const Motion& nominal = job.joints[i].seat.motion;
    const Vector2d shift = seats[i].shift_mm - nominal.shift_mm;
    const double turn = std::remainder(seats[i].turn.radians() - nominal.turn.radians(), 2.0 * M_PI);
    all.segment<3>(3 * static_cast<Eigen::Index>(i)) << shift, kTurnArmMm * turn;
  }
  return all;
}

constexpr double kSmallMm = 1e-4;  // second-order parts of a turn are far below any rank's threshold

Eigen::MatrixXd moves_in_space(const Toe& toe) {
  Eigen::MatrixXd columns(3 * static_cast<Eigen::Index>(toe.contacts.size()), ContactMoves::kCount);
  for (int k = 0; k < ContactMoves::kCount; ++k) {
    ContactMoves moves;
    moves[k] = ContactMoves::is_turn(k) ? kSmallMm / kTurnArmMm : kSmallMm;
    std::vector<Motion> seats;
    for (const Contact& contact : toe.contacts) seats.push_back(seat_of(contact, moves));
    columns.col(k) = change(toe.job, seats) / kSmallMm;
  }
  return columns;
}

Eigen::MatrixXd moves_of_movers(const Toe& toe, const Assembly& assembly) {
  std::vector<Eigen::VectorXd> columns;
  for (std::size_t k = 0; k < assembly.movers.size(); ++k) {
    const SeatPlay& play = assembly.movers[k].play;
    for (int axis = 0; axis < 3; ++axis) {
      const SeatRange& range = axis == 0 ? play.dx_mm : axis == 1 ? play.dy_mm : play.turn_rad;
      if (range.most <= range.least) continue;
      std::vector<SeatMove> moves = no_moves(assembly);
      (axis == 0   ? moves[k].dx_mm
       : axis == 1 ? moves[k].dy_mm
                   : moves[k].turn_rad) = axis == 2 ? kSmallMm / kTurnArmMm : kSmallMm;
      std::vector<Motion> seats;
      for (std::size_t i = 0; i < assembly.seats.size(); ++i)
        seats.push_back(seat_at(assembly, i, moves).motion);
      columns.push_back(change(toe.job, seats) / kSmallMm);
    }
  }
  Eigen::MatrixXd all(3 * static_cast<Eigen::Index>(toe.contacts.size()),
                      static_cast<Eigen::Index>(columns.size()));
  for (std::size_t k = 0; k < columns.size(); ++k) all.col(static_cast<Eigen::Index>(k)) = columns[k];
  return all;
}

Eigen::Index rank(const Eigen::MatrixXd& matrix) {
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(matrix);
  qr.setThreshold(1e-4);  // directions differ by whole units or by second-order parts of 1e-6
  return qr.rank();
}

Assembly assembly_of(const Toe& toe, double slack_mm) {
  Assembly assembly;
  assembly.seats = toe.seats();
  assembly.movers = seat_movers(toe.job, assembly.seats, slack_mm);
  return assembly;
}

constexpr unsigned kStatements = 200;  // of 2^20 ways to look at the faces

TEST(SeatMovers, KnowJustTheMovesThatContactLeavesInSpace) {
  for (unsigned seed = 1; seed <= kStatements; ++seed) {
    const Toe toe(seed);
    const Eigen::MatrixXd in_space = moves_in_space(toe);
    const Eigen::MatrixXd known = moves_of_movers(toe, assembly_of(toe, 0.0));
    Eigen::MatrixXd both(in_space.rows(), in_space.cols() + known.cols());
    both << in_space, known;
    // Fourteen, but a beam that goes along with both plates is seen by no face.
    ASSERT_EQ(rank(in_space), 13) << seed;
    ASSERT_EQ(rank(known), 13) << "seed " << seed;
    ASSERT_EQ(rank(both), 13) << "seed " << seed;
  }
}

ContactMoves any_moves(unsigned seed) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> any(-1.0, 1.0);
  ContactMoves moves;
  for (int k = 0; k < ContactMoves::kCount; ++k)
    moves[k] = any(random) * (ContactMoves::is_turn(k) ? 0.004 : 0.8);
  return moves;
}

TEST(SeatMovers, WholeMovesAreFollowedToo) {
  constexpr double kTurnsTogetherMm = 0.01;  // a slide of 0.8 mm along a heel turned by 0.004: 0.003 mm
  for (unsigned seed = 1; seed <= kStatements; ++seed) {
    const Toe toe(seed);
    Assembly assembly = assembly_of(toe, 0.0);
    const ContactMoves moves = any_moves(seed);
    const Eigen::MatrixXd known = moves_of_movers(toe, assembly);
    std::vector<Motion> seats;
    for (const Contact& contact : toe.contacts) seats.push_back(seat_of(contact, moves));
    const Eigen::VectorXd wanted = change(toe.job, seats);
    const Eigen::VectorXd share = known.colPivHouseholderQr().solve(wanted);
    EXPECT_LT((known * share - wanted).cwiseAbs().maxCoeff(), kTurnsTogetherMm) << seed;
  }
}

TEST(CheckContacts, RigidBodiesInContactPassAndTornOnesDoNot) {
  for (unsigned seed = 1; seed <= kStatements; ++seed) {
    const Toe toe(seed);
    std::vector<SeatPlan> plans = toe.moved(any_moves(seed));
    EXPECT_THAT(test::lines(check_contacts(toe.job, plans, 0.0)), testing::IsEmpty()) << seed;
    // A leg on its plate, 1 mm along the heel or away from it: no angle that lies on the beam can do that.
    const std::size_t joint = 2 * (seed % 4);
    const Motion& seat = toe.job.joints[joint].seat.motion;
    plans[joint].plate_from_face.motion.shift_mm += seat.linear().col(1);
    EXPECT_EQ(check_contacts(toe.job, plans, 0.0).size(), 1U) << seed;
    EXPECT_THAT(check_contacts(toe.job, plans, 1.0), testing::IsEmpty()) << seed;
    // One flange of the saddle alone.
    plans = toe.moved(any_moves(seed));
    plans.back().plate_from_face.motion.shift_mm.y() += 1.0;
    EXPECT_EQ(check_contacts(toe.job, plans, 0.0).size(), 1U) << seed;
  }
}

// All that the movers allow, slack and all, passes the check that knows nothing of them.
TEST(CheckContacts, WhatMoversAllowPasses) {
  constexpr double kSlackMm = 0.5;
  for (unsigned seed = 1; seed <= kStatements; ++seed) {
    const Toe toe(seed);
    const Assembly assembly = assembly_of(toe, kSlackMm);
    std::mt19937_64 random(seed);
    const auto any = [&random](const SeatRange& r) {
      return std::uniform_real_distribution<double>(r.least, std::nextafter(r.most, 1e9))(random);
    };
    std::vector<SeatMove> moves;
    for (const Mover& mover : assembly.movers)
      moves.push_back({any(mover.play.dx_mm), any(mover.play.dy_mm), any(mover.play.turn_rad)});
    std::vector<SeatPlan> plans;
    for (std::size_t i = 0; i < assembly.seats.size(); ++i) {
      SeatPlan plan;
      plan.joint = assembly.seats[i].joint;
      plan.plate_from_face = seat_at(assembly, i, moves);
      plans.push_back(plan);
    }
    EXPECT_THAT(test::lines(check_contacts(toe.job, plans, kSlackMm)), testing::IsEmpty()) << seed;
  }
}

TEST(CheckContacts, NamesTheJointAndTheGap) {
  const Toe toe(1);
  std::vector<SeatPlan> plans = toe.moved({});
  plans.back().plate_from_face.motion.shift_mm.y() += 3.0;  // half on either flange
  EXPECT_THAT(
      test::lines(check_contacts(toe.job, plans, 0.5)),
      testing::ElementsAre(testing::AnyOf(
          "E575 joint saddle left flange: the seats ask more of saddle than a rigid part in contact can do: "
          "1.50 mm is left between this face and where the part's other contacts hold it; seats that agree "
          "within 0.50 mm; look for a slip in the readings of this part, or state more play or a larger "
          "\"contact_slack\"",
          "E575 joint saddle right flange: the seats ask more of saddle than a rigid part in contact can "
          "do: 1.50 mm is left between this face and where the part's other contacts hold it; seats that "
          "agree within 0.50 mm; look for a slip in the readings of this part, or state more play or a "
          "larger \"contact_slack\"")));
}

}  // namespace
}  // namespace fairhole::job

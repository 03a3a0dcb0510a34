// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The toe of a crane as bodies in space: a beam across two plates, each clasped between two angles, and a
// saddle between the plates. The bodies are moved in space as far as their contacts let them, and the moves
// of every face in its carrier's own frame must be just those that the movers know, whoever looked at which
// side.
#include "seat_movers.h"

#include <gmock/gmock.h>

#include <Eigen/Geometry>
#include <Eigen/QR>
#include <random>

#include "check_contacts.h"
#include "fairhole/fairing/movers.h"
#include "test_job.h"

namespace fairhole::job {
namespace {

using Eigen::AngleAxisd;
using Eigen::Isometry3d;
using Eigen::Translation3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kHeightMm = 420.0;  // of the plates, along Y
constexpr double kApartMm = 1000.0;  // the plates, along Z
constexpr double kHeelMm = 300.0;    // length of the angles
constexpr double kLegMm = 90.0;

/// A face or plate as its observer sees it: n towards him, x and y his own.
struct Seen {
  Vector3d origin, x, y;
};

struct Body3 {
  enum Kind { kLeftPlate, kRightPlate, kBeam, kAngle, kSaddle } kind;
  int angle = -1;  // of four
};

/// One joint in space.
struct Contact {
  Seen face, carrier;
  Body3 part, on;
};

Vector3d facing(bool one_way, const Vector3d& n) { return one_way ? n : Vector3d(-n); }

/// What contact leaves: X is square to the beam, Y along the heels, Z square to the plates.
struct ContactMoves {
  double square_mm = 0.0, lean_rad = 0.0;              // beam and angles together
  double left_mm = 0.0, right_mm = 0.0;                // the plates with their angles, along Z
  double up_mm = 0.0, along_mm = 0.0, roll_rad = 0.0;  // the beam in its own plane
  std::array<double, 4> slide_mm{};                    // each angle along its heel
  double saddle_x_mm = 0.0, saddle_y_mm = 0.0, saddle_rad = 0.0;

  static constexpr int kCount = 14;
  double& operator[](int k) {
    double* all[] = {&square_mm,   &lean_rad,    &left_mm,     &right_mm,    &up_mm,
                     &along_mm,    &roll_rad,    &slide_mm[0], &slide_mm[1], &slide_mm[2],
                     &slide_mm[3], &saddle_x_mm, &saddle_y_mm, &saddle_rad};
    return *all[k];
  }
  static bool is_turn(int k) { return k == 1 || k == 6 || k == 13; }

  Isometry3d of(const Body3& body) const {
    const Vector3d middle(0.0, 200.0, kApartMm / 2.0);
    const auto about = [](const Vector3d& at, double turn, const Vector3d& axis) {
      return Isometry3d(Translation3d(at) * AngleAxisd(turn, axis) * Translation3d(-at));
    };
    const Isometry3d together =
        Translation3d(square_mm, 0.0, 0.0) * about(middle, lean_rad, Vector3d::UnitZ());
    switch (body.kind) {
      case Body3::kLeftPlate:
        return Isometry3d(Translation3d(0.0, 0.0, left_mm));
      case Body3::kRightPlate:
        return Isometry3d(Translation3d(0.0, 0.0, right_mm));
      case Body3::kBeam:
        return together * Translation3d(0.0, up_mm, along_mm) * about(middle, roll_rad, Vector3d::UnitX());
      case Body3::kAngle:
        return together * Translation3d(0.0, slide_mm[static_cast<std::size_t>(body.angle)],
                                        body.angle < 2 ? left_mm : right_mm);
      case Body3::kSaddle:
        return Translation3d(saddle_x_mm, saddle_y_mm, 0.0) *
               about({600.0, 250.0, 0.0}, saddle_rad, Vector3d::UnitZ());
    }
    return Isometry3d::Identity();
  }
};

/// Where a face stands in its carrier's frame once both bodies have moved.
Motion seat_of(const Contact& contact, const ContactMoves& moves) {
  const Isometry3d carrier_from_face = moves.of(contact.on).inverse() * moves.of(contact.part);
  const Vector3d origin = carrier_from_face * contact.face.origin - contact.carrier.origin;
  const Vector3d x = carrier_from_face.linear() * contact.face.x,
                 y = carrier_from_face.linear() * contact.face.y;
  const auto flat = [&](const Vector3d& v) {
    return Vector2d(v.dot(contact.carrier.x), v.dot(contact.carrier.y));
  };
  Motion seat;
  seat.shift_mm = flat(origin);
  seat.turn = Angle::radians(std::atan2(flat(x).y(), flat(x).x()));
  seat.mirrored = flat(x).x() * flat(y).y() - flat(x).y() * flat(y).x() < 0.0;
  return seat;
}

/// The job of these bodies, as people who looked at this side or that would state it.
class Toe {
 public:
  explicit Toe(unsigned seed) : random_(seed) {
    for (const bool left : {true, false}) add_plate(left);
    add_beam();
    for (int k = 0; k < 4; ++k) add_angle(k);
    add_saddle();
  }

  Job job;
  std::vector<Contact> contacts;  // of job.joints

  std::vector<SeatedFace> seats() const {
    std::vector<SeatedFace> all;
    for (const Joint& joint : job.joints) {
      all.push_back(
          {joint.part, joint.face, joint.name, joint.on, joint.seat, joint.seat, false, joint.play});
    }
    return all;
  }

  std::vector<SeatPlan> moved(const ContactMoves& moves) const {
    std::vector<SeatPlan> plans;
    for (std::size_t i = 0; i < contacts.size(); ++i) {
      SeatPlan plan;
      plan.joint = job.joints[i].name;
      plan.plate_from_face.motion = seat_of(contacts[i], moves);
      plans.push_back(plan);
    }
    return plans;
  }

 private:
  bool coin() { return std::bernoulli_distribution(0.5)(random_); }

  static Face face(const std::string& name, bool faying, const Vector2d& size) {
    Face made;
    made.name = name;
    made.measured_from = faying ? Surface::kFaying : Surface::kOuter;
    made.outline_mm = {{0.0, 0.0}, {size.x(), 0.0}, size, {0.0, size.y()}};
    return made;
  }

  static double plate_z(bool left) { return left ? 0.0 : kApartMm; }

  /// x runs from the beam; the datum edge is the one from which y leads over the plate.
  void add_plate(bool left) {
    const Vector3d n = facing(coin(), Vector3d::UnitZ());
    const Vector3d y = n.cross(Vector3d::UnitX());
    plates_[left ? 0 : 1] = {{0.0, y.y() > 0.0 ? 0.0 : kHeightMm, plate_z(left)}, Vector3d::UnitX(), y};
    Plate plate;
    plate.name = left ? "left" : "right";
    plate.outline_mm = {{0.0, 0.0}, {900.0, 0.0}, {900.0, kHeightMm}, {0.0, kHeightMm}};
    job.plates.push_back(plate);
  }

  void add_beam() {
    const bool faying = coin();
    const Vector3d n = facing(faying, Vector3d::UnitX());  // its back lies against the angles
    const Vector3d x = facing(coin(), Vector3d::UnitZ());
    const Vector3d y = n.cross(x);
    beam_ = {{0.0, y.y() > 0.0 ? 50.0 : 350.0, x.z() > 0.0 ? -100.0 : 1100.0}, x, y};
    Part part{"beam", "beam", {face("back", faying, {1200.0, 300.0})}};
    job.parts.push_back(part);
    beam_faying_ = faying;
  }

  /// Angles 0 and 1 clasp the left plate, 2 and 3 the right one: the first of each on its -Z side.
  void add_angle(int k) {
    const bool left = k < 2;
    const double side = k % 2 == 0 ? -1.0 : 1.0;
    const std::string id = "angle " + std::to_string(k + 1);
    Part part{id, "angle", {}};
    // The outside of the heel looks to the plate and to the beam.
    const Body3 body{Body3::kAngle, k};
    const Seen& plate = plates_[left ? 0 : 1];
    const bool on_marked = plate.x.cross(plate.y).z() * side > 0.0;
    add_leg(part, "plate-leg", body, {left ? Body3::kLeftPlate : Body3::kRightPlate}, Vector3d::UnitX(),
            Vector3d(0.0, 0.0, -side), plate, left ? "left" : "right", on_marked, 120.0);
    add_leg(part, "beam-leg", body, {Body3::kBeam}, Vector3d(0.0, 0.0, side), -Vector3d::UnitX(), beam_,
            "beam/back", beam_faying_, 120.0);
    job.parts.push_back(part);
  }

  void add_leg(Part& part, const std::string& name, const Body3& body, const Body3& on, const Vector3d& away,
               const Vector3d& out_of_faying, const Seen& carrier, const std::string& carrier_name,
               bool on_marked, double foot_mm) {
    const bool faying = coin();
    const Vector3d n = facing(faying, out_of_faying);
    const Vector3d x = away.cross(n);
    const double z = body.angle < 2 ? 0.0 : kApartMm;
    const Vector3d origin(0.0, x.y() > 0.0 ? foot_mm : foot_mm + kHeelMm, z);
    part.faces.push_back(face(name, faying, {kHeelMm, kLegMm}));
    add_joint(part.id, name, carrier_name, on_marked, faying, {{origin, x, away}, carrier, body, on});
  }

  void add_saddle() {
    Part part{"saddle", "saddle", {}};
    const Vector2d size(280.0, 80.0);
    Vector3d first_x = Vector3d::Zero();
    for (const bool left : {true, false}) {
      const bool faying = coin();
      const Vector3d n = facing(faying, Vector3d(0.0, 0.0, left ? -1.0 : 1.0));
      const Vector3d x = facing(coin(), Vector3d::UnitX());
      const Vector3d y = n.cross(x);
      const Vector3d origin(x.x() > 0.0 ? 500.0 : 500.0 + size.x(), y.y() > 0.0 ? 200.0 : 200.0 + size.y(),
                            plate_z(left));
      part.faces.push_back(face(left ? "left flange" : "right flange", faying, size));
      const Seen& plate = plates_[left ? 0 : 1];
      const bool on_marked = plate.x.cross(plate.y).z() * (left ? 1.0 : -1.0) > 0.0;
      add_joint("saddle", part.faces.back().name, left ? "left" : "right", on_marked, faying,
                {{origin, x, y}, plate, {Body3::kSaddle}, {left ? Body3::kLeftPlate : Body3::kRightPlate}});
      if (left) first_x = x;
      if (!left) part.faces[coin() ? 0 : 1].opposite = Face::Opposite{"", x.dot(first_x) > 0.0};
    }
    for (int k : {0, 1}) {
      if (part.faces[static_cast<std::size_t>(k)].opposite)
        part.faces[static_cast<std::size_t>(k)].opposite->face =
            part.faces[static_cast<std::size_t>(1 - k)].name;
    }
    job.parts.push_back(part);
  }

  void add_joint(const std::string& part, const std::string& face_name, const std::string& on, bool on_marked,
                 bool faying, const Contact& contact) {
    Joint joint;
    joint.name = part + " " + face_name;
    joint.part = part, joint.face = face_name, joint.on = on;
    joint.on_marked_face = on_marked;
    joint.seat.motion = seat_of(contact, {});
    EXPECT_EQ(joint.seat.motion.mirrored, on_marked == faying) << joint.name;  // decision 4
    joint.play = {-2.0, 2.0, -2.0, 2.0, Angle::degrees(-0.5), Angle::degrees(0.5)};
    job.joints.push_back(joint);
    contacts.push_back(contact);
  }

  std::mt19937_64 random_;
  Seen plates_[2], beam_;
  bool beam_faying_ = true;
};

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

constexpr unsigned kStatements = 300;  // of 2^20 ways to look at the faces

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

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <array>
#include <random>
#include <string>
#include <vector>

#include "fairhole/fairing/plan.h"
#include "fairhole/job/job.h"

/// The toe of a crane as bodies in space: X away from the beam along the plates, Y up along the heels, Z from
/// plate to plate. A beam across two plates, each clasped between two angles, and a saddle between the
/// plates.
namespace fairhole::job::test {

inline constexpr double kApartMm = 1000.0;  // the plates, along Z
inline constexpr double kLegMm = 90.0;
inline constexpr double kFootMm = 60.0;  // the angles' lower ends above the plates' lower edges

/// A face or plate as its observer sees it: n towards him, x and y his own.
struct Seen {
  Eigen::Vector3d origin, x, y;
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

inline Eigen::Vector3d facing(bool one_way, const Eigen::Vector3d& n) {
  return one_way ? n : Eigen::Vector3d(-n);
}

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

  Eigen::Isometry3d of(const Body3& body) const {
    const Eigen::Vector3d middle(0.0, 200.0, kApartMm / 2.0);
    const auto about = [](const Eigen::Vector3d& at, double turn, const Eigen::Vector3d& axis) {
      return Eigen::Isometry3d(Eigen::Translation3d(at) * Eigen::AngleAxisd(turn, axis) *
                               Eigen::Translation3d(-at));
    };
    const Eigen::Isometry3d together =
        Eigen::Translation3d(square_mm, 0.0, 0.0) * about(middle, lean_rad, Eigen::Vector3d::UnitZ());
    switch (body.kind) {
      case Body3::kLeftPlate:
        return Eigen::Isometry3d(Eigen::Translation3d(0.0, 0.0, left_mm));
      case Body3::kRightPlate:
        return Eigen::Isometry3d(Eigen::Translation3d(0.0, 0.0, right_mm));
      case Body3::kBeam:
        return together * Eigen::Translation3d(0.0, up_mm, along_mm) *
               about(middle, roll_rad, Eigen::Vector3d::UnitX());
      case Body3::kAngle:
        return together * Eigen::Translation3d(0.0, slide_mm[static_cast<std::size_t>(body.angle)],
                                               body.angle < 2 ? left_mm : right_mm);
      case Body3::kSaddle:
        return Eigen::Translation3d(saddle_x_mm, saddle_y_mm, 0.0) *
               about({600.0, 250.0, 0.0}, saddle_rad, Eigen::Vector3d::UnitZ());
    }
    return Eigen::Isometry3d::Identity();
  }
};

/// Where a face stands in its carrier's frame once both bodies have moved.
inline Motion seat_of(const Contact& contact, const ContactMoves& moves) {
  const Eigen::Isometry3d carrier_from_face = moves.of(contact.on).inverse() * moves.of(contact.part);
  const Eigen::Vector3d origin = carrier_from_face * contact.face.origin - contact.carrier.origin;
  const Eigen::Vector3d x = carrier_from_face.linear() * contact.face.x,
                        y = carrier_from_face.linear() * contact.face.y;
  const auto flat = [&](const Eigen::Vector3d& v) {
    return Eigen::Vector2d(v.dot(contact.carrier.x), v.dot(contact.carrier.y));
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
  explicit Toe(unsigned seed, double heel_mm = 300.0)
      : heel_mm_(heel_mm), height_mm_(heel_mm + 120.0), random_(seed) {
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

  static Face face(const std::string& name, bool faying, const Eigen::Vector2d& size) {
    Face made;
    made.name = name;
    made.measured_from = faying ? Surface::kFaying : Surface::kOuter;
    made.outline_mm = {{0.0, 0.0}, {size.x(), 0.0}, size, {0.0, size.y()}};
    return made;
  }

  static double plate_z(bool left) { return left ? 0.0 : kApartMm; }

  /// x runs from the beam; the datum edge is the one from which y leads over the plate.
  void add_plate(bool left) {
    const Eigen::Vector3d n = facing(coin(), Eigen::Vector3d::UnitZ());
    const Eigen::Vector3d y = n.cross(Eigen::Vector3d::UnitX());
    plates_[left ? 0 : 1] = {
        {0.0, y.y() > 0.0 ? 0.0 : height_mm_, plate_z(left)}, Eigen::Vector3d::UnitX(), y};
    Plate plate;
    plate.name = left ? "left" : "right";
    plate.outline_mm = {{0.0, 0.0}, {900.0, 0.0}, {900.0, height_mm_}, {0.0, height_mm_}};
    job.plates.push_back(plate);
  }

  void add_beam() {
    const bool faying = coin();
    const Eigen::Vector3d n = facing(faying, Eigen::Vector3d::UnitX());  // its back lies against the angles
    const Eigen::Vector3d x = facing(coin(), Eigen::Vector3d::UnitZ());
    const Eigen::Vector3d y = n.cross(x);
    beam_ = {{0.0, y.y() > 0.0 ? kFootMm : kFootMm + heel_mm_, x.z() > 0.0 ? -100.0 : 1100.0}, x, y};
    Part part{"beam", "beam", {face("back", faying, {1200.0, heel_mm_})}};
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
    add_leg(part, "plate-leg", body, {left ? Body3::kLeftPlate : Body3::kRightPlate},
            Eigen::Vector3d::UnitX(), Eigen::Vector3d(0.0, 0.0, -side), plate, left ? "left" : "right",
            on_marked);
    add_leg(part, "beam-leg", body, {Body3::kBeam}, Eigen::Vector3d(0.0, 0.0, side),
            -Eigen::Vector3d::UnitX(), beam_, "beam/back", beam_faying_);
    job.parts.push_back(part);
  }

  void add_leg(Part& part, const std::string& name, const Body3& body, const Body3& on,
               const Eigen::Vector3d& away, const Eigen::Vector3d& out_of_faying, const Seen& carrier,
               const std::string& carrier_name, bool on_marked) {
    const bool faying = coin();
    const Eigen::Vector3d n = facing(faying, out_of_faying);
    const Eigen::Vector3d x = away.cross(n);
    const double z = body.angle < 2 ? 0.0 : kApartMm;
    const Eigen::Vector3d origin(0.0, x.y() > 0.0 ? kFootMm : kFootMm + heel_mm_, z);
    part.faces.push_back(face(name, faying, {heel_mm_, kLegMm}));
    add_joint(part.id, name, carrier_name, on_marked, faying, {{origin, x, away}, carrier, body, on});
  }

  void add_saddle() {
    Part part{"saddle", "saddle", {}};
    const Eigen::Vector2d size(280.0, 80.0);
    Eigen::Vector3d first_x = Eigen::Vector3d::Zero();
    for (const bool left : {true, false}) {
      const bool faying = coin();
      const Eigen::Vector3d n = facing(faying, Eigen::Vector3d(0.0, 0.0, left ? -1.0 : 1.0));
      const Eigen::Vector3d x = facing(coin(), Eigen::Vector3d::UnitX());
      const Eigen::Vector3d y = n.cross(x);
      const Eigen::Vector3d origin(x.x() > 0.0 ? 500.0 : 500.0 + size.x(),
                                   y.y() > 0.0 ? 200.0 : 200.0 + size.y(), plate_z(left));
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

  double heel_mm_, height_mm_;
  std::mt19937_64 random_;
  Seen plates_[2], beam_;
  bool beam_faying_ = true;
};

}  // namespace fairhole::job::test

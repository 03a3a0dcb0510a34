// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_movers.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "face_relation.h"

namespace fairhole::job {
namespace {

using Directions = Eigen::Matrix2d;

double half(const SeatRange& range) { return (range.most - range.least) / 2.0; }

SeatRange both(const SeatRange& a, const SeatRange& b) {
  const SeatRange met{std::max(a.least, b.least), std::min(a.most, b.most)};
  const double middle = (met.least + met.most) / 2.0;
  return met.least <= met.most ? met : SeatRange{middle, middle};
}

SeatRange hull(const SeatRange& a, const SeatRange& b) {
  return {std::min(a.least, b.least), std::max(a.most, b.most)};
}

SeatRange negative(const SeatRange& r) { return {-r.most, -r.least}; }

SeatRange along_range(const Play& play) { return {play.along_min_mm, play.along_max_mm}; }
SeatRange across_range(const Play& play) { return {play.across_min_mm, play.across_max_mm}; }
SeatRange turn_range(const Play& play) { return {play.turn_min.radians(), play.turn_max.radians()}; }

/// How far the play reaches from nominal in a direction of the plate.
SeatRange range_along(const Play& play, const Eigen::Vector2d& direction) {
  SeatRange reach;
  const SeatRange ranges[] = {along_range(play), across_range(play)};
  for (int axis = 0; axis < 2; ++axis) {
    const double a = ranges[axis].least * direction[axis];
    const double b = ranges[axis].most * direction[axis];
    reach = {reach.least + std::min(a, b), reach.most + std::max(a, b)};
  }
  return reach;
}

/// One leg of an angle: its seat, the other's, and what either lies on.
struct Leg {
  std::size_t seat = 0;
  std::size_t other = 0;
  const Joint* joint = nullptr;
  const Joint* other_joint = nullptr;
  bool first = true;
  bool same_way = true;  ///< x of both legs runs the same way along the heel
};

/// What is left to a seat alone, in directions of its own.
struct Own {
  SeatPlay play;
  Directions plate_from_own;
};

class MoverBuilder {
 public:
  MoverBuilder(const Job& job, const std::vector<SeatedFace>& seats, double slack_mm)
      : job_(job), seats_(seats), slack_mm_(slack_mm) {
    for (const SeatedFace& seat : seats) {
      own_.push_back(
          {{along_range(seat.play), across_range(seat.play), turn_range(seat.play)}, Directions::Identity()});
    }
  }

  std::vector<Mover> run() {
    for (const Part& part : job_.parts) {
      find_legs(part);
      join_rigid(part);
    }
    for (const Leg& leg : legs_) {
      if (leg.first) slide(leg);
    }
    for (const auto& [carrier, on_it] : legs_by_carrier()) {
      if (on_it.size() < 2) continue;
      push_against(carrier, on_it);
      if (job_.carrying_face(carrier) != nullptr) shift_carrier(carrier, on_it);
    }
    add_own();
    return std::move(movers_);
  }

 private:
  Directions linear(std::size_t seat) const { return seats_[seat].nominal.motion.linear(); }
  const Play& play(std::size_t seat) const { return seats_[seat].play; }

  std::optional<std::size_t> seat_of(const Joint& joint) const {
    const auto found = std::find_if(seats_.begin(), seats_.end(),
                                    [&](const SeatedFace& s) { return s.joint == joint.name; });
    if (found == seats_.end()) return std::nullopt;
    return static_cast<std::size_t>(found - seats_.begin());
  }

  std::vector<const Joint*> joints_of(const Part& part) const {
    std::vector<const Joint*> joints;
    for (const Joint& joint : job_.joints) {
      if (joint.part == part.id && seat_of(joint)) joints.push_back(&joint);
    }
    return joints;
  }

  void find_legs(const Part& part) {
    const std::vector<const Joint*> joints = joints_of(part);
    if (part.kind != "angle" || joints.size() != 2 || joints[0]->face == joints[1]->face) return;
    const Face* a = job_.face(part.id, joints[0]->face);
    const Face* b = job_.face(part.id, joints[1]->face);
    // Seen from the same side, the x axes of the two legs run opposite ways along the heel.
    const bool same_way = a->measured_from != b->measured_from;
    for (const int k : {0, 1}) {
      to_heel(*seat_of(*joints[static_cast<std::size_t>(k)]));
      legs_.push_back(
          {*seat_of(*joints[static_cast<std::size_t>(k)]), *seat_of(*joints[static_cast<std::size_t>(1 - k)]),
           joints[static_cast<std::size_t>(k)], joints[static_cast<std::size_t>(1 - k)], k == 0, same_way});
    }
  }

  /// A leg's own freedoms are told along its heel and away from it.
  void to_heel(std::size_t seat) {
    Own& own = own_[seat];
    own.plate_from_own = follower(seat, linear(seat).col(0)).plate_from_mover;
    own.play.dx_mm = range_along(play(seat), own.plate_from_own.col(0));
    own.play.dy_mm = range_along(play(seat), own.plate_from_own.col(1));
  }

  /// One face on two carriers, and faces opposite each other.
  void join_rigid(const Part& part) {
    const std::vector<const Joint*> joints = joints_of(part);
    if (joints.size() < 2 || part.kind == "angle") return;
    Mover mover;
    const std::size_t lead = *seat_of(*joints.front());
    mover.name = part.id;
    mover.play = own_[lead].play;
    mover.followers.push_back({lead, Directions::Identity(), seats_[lead].nominal.motion.shift_mm});
    for (std::size_t k = 1; k < joints.size(); ++k) {
      const std::optional<Motion> from_lead = face_from_face(part, joints[k]->face, joints.front()->face);
      if (!from_lead) continue;
      const std::size_t seat = *seat_of(*joints[k]);
      const Motion there = seats_[seat].nominal.motion * *from_lead;
      const Directions map = there.linear() * linear(lead).inverse();
      mover.followers.push_back({seat, map, there.shift_mm});
      const SeatRange turn = turn_range(play(seat));
      mover.play.turn_rad = both(mover.play.turn_rad, map.determinant() < 0.0 ? negative(turn) : turn);
      mover.play.dx_mm = both(mover.play.dx_mm, range_along(play(seat), map.col(0)));
      mover.play.dy_mm = both(mover.play.dy_mm, range_along(play(seat), map.col(1)));
      const bool one_face = joints[k]->face == joints.front()->face;
      const double slack = one_face ? 0.0 : slack_mm_;
      own_[seat].play = {{-slack, slack}, {-slack, slack}, {}};
      if (!one_face) own_[seat].play.turn_rad = take_turn(mover.play.turn_rad, *joints[k]);
    }
    if (mover.followers.size() < 2) return;
    own_[lead].play = {};
    movers_.push_back(std::move(mover));
  }

  /// What is left to a seat alone where `range` is shared; a range keeps as much of the play free at either
  /// end. Two faces, each half the slack off, are the slack apart.
  SeatRange take(SeatRange& range) const { return take(range, slack_mm_ / 2.0); }

  static SeatRange take(SeatRange& range, double slack) {
    slack = std::min(slack, half(range) / 2.0);
    range = {range.least + slack, range.most - slack};
    return {-slack, slack};
  }

  /// The same of a turn: it moves the far end of the face by no more.
  SeatRange take_turn(SeatRange& range, const Joint& joint) const {
    return take(range, slack_mm_ / 2.0 / std::max(length_mm(joint), 1.0));
  }

  double length_mm(const Joint& joint) const {
    double length = 0.0;
    for (const Eigen::Vector2d& corner : job_.face(joint.part, joint.face)->outline_mm)
      length = std::max(length, corner.x());
    return length;
  }

  void slide(const Leg& leg) {
    const Eigen::Vector2d along = linear(leg.seat).col(0);
    const Eigen::Vector2d along_other = linear(leg.other).col(0) * (leg.same_way ? 1.0 : -1.0);
    SeatRange range = range_along(play(leg.seat), along);
    // A carrier that moves gives way to the slide; one that stays holds it to this leg's play too.
    const bool other_gives = gives_way(leg.other_joint->on);
    const bool this_gives = gives_way(leg.joint->on);
    const SeatRange other_range = range_along(play(leg.other), along_other);
    if (this_gives) range = other_range;
    if (!this_gives && !other_gives) range = both(range, other_range);
    const SeatRange left = take(range);
    Mover mover;
    mover.name = fmt::format("{} along its heel", leg.joint->part);
    mover.play.dx_mm = range;
    mover.followers = {follower(leg.seat, along), follower(leg.other, along_other)};
    movers_.push_back(std::move(mover));
    for (const std::size_t seat : {leg.seat, leg.other}) own_[seat].play.dx_mm = left;
  }

  /// dx of the mover is `direction` of the plate.
  Mover::Follower follower(std::size_t seat, const Eigen::Vector2d& direction) const {
    Directions map;
    map.col(0) = direction;
    map.col(1) = Eigen::Vector2d(-direction.y(), direction.x());
    return {seat, map, seats_[seat].nominal.motion.shift_mm};
  }

  std::map<std::string, std::vector<Leg>> legs_by_carrier() const {
    std::map<std::string, std::vector<Leg>> on;
    for (const Leg& leg : legs_) on[leg.joint->on].push_back(leg);
    return on;
  }

  bool gives_way(const std::string& carrier) const {
    return job_.carrying_face(carrier) != nullptr &&
           std::count_if(legs_.begin(), legs_.end(),
                         [&](const Leg& leg) { return leg.joint->on == carrier; }) > 1;
  }

  /// The legs that lie on one carrier stay flush with it: where it goes, square to its face, and as it leans,
  /// all their other legs go, each on its own plate.
  void push_against(const std::string& carrier, const std::vector<Leg>& on_it) {
    std::map<std::string, std::vector<const Leg*>> by_plate;  // a plate bends with its own angles alone
    for (const Leg& leg : on_it)
      by_plate[job_.carrying_face(carrier) != nullptr ? "" : leg.other_joint->on].push_back(&leg);
    for (const auto& [plate, together] : by_plate) {
      if (together.size() > 1) push_together(carrier, together);
    }
  }

  void push_together(const std::string& carrier, const std::vector<const Leg*>& together) {
    Mover mover;
    mover.name = fmt::format("{}, square to it", carrier);
    const Eigen::Vector2d up = linear(together.front()->seat).col(0);
    const Eigen::Vector2d middle = middle_of(together);
    std::optional<SeatPlay> shared;
    for (const Leg* leg : together) {
      // In the other leg's plate: away from this carrier, and along the heel as it runs on the carrier.
      const double way = linear(leg->seat).col(0).dot(up) < 0.0 ? -1.0 : 1.0;
      Directions map;
      map.col(0) = linear(leg->other).col(1) * (leg->joint->on_marked_face ? 1.0 : -1.0);
      map.col(1) = linear(leg->other).col(0) * (leg->same_way ? way : -way);
      mover.followers.push_back({leg->other, map, heel_point(*leg, middle)});
      const SeatRange turn = turn_range(play(leg->other));
      const SeatPlay here{
          range_along(play(leg->other), map.col(0)), {}, map.determinant() < 0.0 ? negative(turn) : turn};
      shared = shared ? SeatPlay{both(shared->dx_mm, here.dx_mm), {}, both(shared->turn_rad, here.turn_rad)}
                      : here;
    }
    const SeatRange left = take(shared->dx_mm);
    // Where the other legs' carrier moves, its own turn is theirs.
    const bool leans = !gives_way(together.front()->other_joint->on);
    const SeatRange turn_left = take_turn(shared->turn_rad, *together.front()->other_joint);
    if (!leans) shared->turn_rad = {};
    mover.play = *shared;
    movers_.push_back(std::move(mover));
    for (const Leg* leg : together) {
      own_[leg->other].play.dy_mm = left;
      if (leans) own_[leg->other].play.turn_rad = turn_left;
    }
  }

  Eigen::Vector2d middle_of(const std::vector<const Leg*>& legs) const {
    Eigen::Vector2d middle = Eigen::Vector2d::Zero();
    for (const Leg* leg : legs)
      middle += seats_[leg->seat].nominal.motion.shift_mm / static_cast<double>(legs.size());
    return middle;
  }

  /// The point of the heel that stands level with `on_carrier_mm` on this leg's carrier, in the other leg's
  /// plate.
  Eigen::Vector2d heel_point(const Leg& leg, const Eigen::Vector2d& on_carrier_mm) const {
    const double along = (seats_[leg.seat].nominal.motion.inverse() * on_carrier_mm).x();
    const double there = leg.same_way ? along : length_mm(*leg.other_joint) - along;
    return seats_[leg.other].nominal.motion * Eigen::Vector2d(there, 0.0);
  }

  /// An old face that carries several legs: higher, lower and turned for all of them.
  void shift_carrier(const std::string& carrier, const std::vector<Leg>& on_it) {
    Mover mover;
    mover.name = fmt::format("{} in its own plane", carrier);
    std::vector<const Leg*> together;
    for (const Leg& leg : on_it) together.push_back(&leg);
    const Eigen::Vector2d middle = middle_of(together);
    std::optional<SeatRange> turn;
    const Eigen::Vector2d up = linear(on_it.front().seat).col(0);  // the heels' direction
    for (const Leg& leg : on_it) {
      turn = turn ? both(*turn, turn_range(play(leg.seat))) : turn_range(play(leg.seat));
      mover.play.dx_mm = hull(mover.play.dx_mm, range_along(play(leg.seat), up));
      mover.followers.push_back(follower(leg.seat, up));
      mover.followers.back().pivot_mm = middle;
    }
    const SeatRange left = take_turn(*turn, *on_it.front().joint);
    for (const Leg& leg : on_it) own_[leg.seat].play.turn_rad = left;
    mover.play.turn_rad = *turn;
    movers_.push_back(std::move(mover));
  }

  void add_own() {
    const auto moves = [](const SeatRange& r) { return r.most > r.least || r.least != 0.0; };
    for (std::size_t i = 0; i < seats_.size(); ++i) {
      const bool follows = std::any_of(movers_.begin(), movers_.end(), [i](const Mover& mover) {
        return std::any_of(mover.followers.begin(), mover.followers.end(),
                           [i](const auto& f) { return f.seat == i; });
      });
      const auto& [own, plate_from_own] = own_[i];
      if (follows && !moves(own.dx_mm) && !moves(own.dy_mm) && !moves(own.turn_rad)) continue;
      movers_.push_back({seats_[i].joint, own, {{i, plate_from_own, seats_[i].nominal.motion.shift_mm}}});
    }
  }

  const Job& job_;
  const std::vector<SeatedFace>& seats_;
  double slack_mm_;
  std::vector<Own> own_;
  std::vector<Leg> legs_;
  std::vector<Mover> movers_;
};

}  // namespace

std::vector<Mover> seat_movers(const Job& job, const std::vector<SeatedFace>& seats, double slack_mm) {
  return MoverBuilder(job, seats, slack_mm).run();
}

}  // namespace fairhole::job

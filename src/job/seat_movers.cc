// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_movers.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

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

/// How far one may go from nominal in a direction of the plate.
SeatRange range_along(const Play& play, const Eigen::Vector2d& direction) {
  constexpr double kNone = 1e-9;
  const double far = std::numeric_limits<double>::infinity();
  SeatRange range{-far, far};
  const SeatRange ranges[] = {along_range(play), across_range(play)};
  for (int axis = 0; axis < 2; ++axis) {
    if (std::abs(direction[axis]) < kNone) continue;
    const double a = ranges[axis].least / direction[axis];
    const double b = ranges[axis].most / direction[axis];
    range = both(range, {std::min(a, b), std::max(a, b)});
  }
  return range;
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

class MoverBuilder {
 public:
  MoverBuilder(const Job& job, const std::vector<SeatedFace>& seats, double slack_mm)
      : job_(job), seats_(seats), slack_mm_(slack_mm), own_(seats.size()) {
    for (std::size_t i = 0; i < seats.size(); ++i) {
      own_[i] = {along_range(seats[i].play), across_range(seats[i].play), turn_range(seats[i].play)};
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
      legs_.push_back(
          {*seat_of(*joints[static_cast<std::size_t>(k)]), *seat_of(*joints[static_cast<std::size_t>(1 - k)]),
           joints[static_cast<std::size_t>(k)], joints[static_cast<std::size_t>(1 - k)], k == 0, same_way});
    }
  }

  /// Faces of one part that lie in one plane, or in planes opposite each other.
  void join_rigid(const Part& part) {
    const std::vector<const Joint*> joints = joints_of(part);
    if (joints.size() < 2 || part.kind == "angle") return;
    Mover mover;
    const std::size_t lead = *seat_of(*joints.front());
    mover.name = part.id;
    mover.play = own_[lead];
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
      const double slack = joints[k]->face == joints.front()->face ? 0.0 : slack_mm_;
      own_[seat] = {{-slack, slack}, {-slack, slack}, {}};
    }
    if (mover.followers.size() < 2) return;
    own_[lead] = {};
    movers_.push_back(std::move(mover));
  }

  /// Where one face of a part lies in another's frame; nothing when the job does not say.
  static std::optional<Motion> face_from_face(const Part& part, const std::string& to,
                                              const std::string& from) {
    if (to == from) return Motion{};
    for (const Face& face : part.faces) {
      if (!face.opposite) continue;
      if (face.name == to && face.opposite->face == from) return opposite_frame(part, face);
      if (face.name == from && face.opposite->face == to) return opposite_frame(part, face).inverse();
    }
    return std::nullopt;
  }

  /// Both outlines lie over each other. Each frame is right-handed seen looking at its own measured side: two
  /// faces that are both looked at from outside see each other mirrored.
  static Motion opposite_frame(const Part& part, const Face& face) {
    const auto other = std::find_if(part.faces.begin(), part.faces.end(),
                                    [&](const Face& f) { return f.name == face.opposite->face; });
    Eigen::Vector2d size = Eigen::Vector2d::Zero();
    for (const Eigen::Vector2d& corner : face.outline_mm) size = size.cwiseMax(corner);
    const bool mirrored = other->measured_from == face.measured_from;
    const bool same_way = face.opposite->same_way;
    Motion motion;
    motion.mirrored = mirrored;
    motion.turn = Angle::degrees(same_way ? 0.0 : 180.0);
    const bool y_reversed = mirrored == same_way;
    motion.shift_mm = {same_way ? 0.0 : size.x(), y_reversed ? size.y() : 0.0};
    return motion;
  }

  /// A range that leaves `slack` of the play at either end to the seat itself.
  double take(SeatRange& range) const {
    const double slack = std::min(slack_mm_, half(range) / 2.0);
    range = {range.least + slack, range.most - slack};
    return slack;
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
    const double slack = take(range);
    Mover mover;
    mover.name = fmt::format("{} along its heel", leg.joint->part);
    mover.play.dx_mm = range;
    mover.followers = {follower(leg.seat, along), follower(leg.other, along_other)};
    movers_.push_back(std::move(mover));
    for (const std::size_t seat : {leg.seat, leg.other}) {
      own_along(seat, 0) = {-slack, slack};
    }
  }

  /// The part of a seat's own range in a direction of its face: 0 along the heel, 1 away from it.
  SeatRange& own_along(std::size_t seat, int face_axis) {
    const Eigen::Vector2d direction = linear(seat).col(face_axis);
    return std::abs(direction.x()) > std::abs(direction.y()) ? own_[seat].dx_mm : own_[seat].dy_mm;
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

  /// The legs that lie on one carrier stay on it: where it goes, square to its face, all their other legs go,
  /// each on its own plate away from the heel or towards it.
  void push_against(const std::string& carrier, const std::vector<Leg>& on_it) {
    std::map<std::string, std::vector<const Leg*>> by_plate;  // a plate bends with its own angles alone
    for (const Leg& leg : on_it)
      by_plate[job_.carrying_face(carrier) != nullptr ? "" : leg.other_joint->on].push_back(&leg);
    for (const auto& [plate, together] : by_plate) {
      if (together.size() < 2) continue;
      Mover mover;
      mover.name = fmt::format("{}, square to it", carrier);
      std::optional<SeatRange> range;
      for (const Leg* leg : together) {
        const Eigen::Vector2d away = linear(leg->other).col(1) * (leg->joint->on_marked_face ? 1.0 : -1.0);
        const SeatRange here = range_along(play(leg->other), away);
        range = range ? both(*range, here) : here;
        mover.followers.push_back(follower(leg->other, away));
      }
      const double slack = take(*range);
      mover.play.dx_mm = *range;
      movers_.push_back(std::move(mover));
      for (const Leg* leg : together) own_along(leg->other, 1) = {-slack, slack};
    }
  }

  /// An old face that carries several legs: higher, lower and turned for all of them.
  void shift_carrier(const std::string& carrier, const std::vector<Leg>& on_it) {
    Mover mover;
    mover.name = fmt::format("{} in its own plane", carrier);
    Eigen::Vector2d middle = Eigen::Vector2d::Zero();
    std::optional<SeatRange> turn;
    SeatRange height;
    const Eigen::Vector2d up = linear(on_it.front().seat).col(0);  // the heels' direction
    for (const Leg& leg : on_it) {
      middle += seats_[leg.seat].nominal.motion.shift_mm / static_cast<double>(on_it.size());
      turn = turn ? both(*turn, turn_range(play(leg.seat))) : turn_range(play(leg.seat));
      height = hull(height, range_along(play(leg.seat), up));
      own_[leg.seat].turn_rad = {};
    }
    mover.play.dx_mm = height;
    mover.play.turn_rad = *turn;
    for (const Leg& leg : on_it) {
      mover.followers.push_back(follower(leg.seat, up));
      mover.followers.back().pivot_mm = middle;
    }
    movers_.push_back(std::move(mover));
  }

  void add_own() {
    const auto moves = [](const SeatRange& r) { return r.most > r.least || r.least != 0.0; };
    for (std::size_t i = 0; i < seats_.size(); ++i) {
      const bool follows = std::any_of(movers_.begin(), movers_.end(), [i](const Mover& mover) {
        return std::any_of(mover.followers.begin(), mover.followers.end(),
                           [i](const auto& f) { return f.seat == i; });
      });
      if (follows && !moves(own_[i].dx_mm) && !moves(own_[i].dy_mm) && !moves(own_[i].turn_rad)) continue;
      movers_.push_back(
          {seats_[i].joint, own_[i], {{i, Directions::Identity(), seats_[i].nominal.motion.shift_mm}}});
    }
  }

  const Job& job_;
  const std::vector<SeatedFace>& seats_;
  double slack_mm_;
  std::vector<SeatPlay> own_;  ///< of each seat: what is left to it alone
  std::vector<Leg> legs_;
  std::vector<Mover> movers_;
};

}  // namespace

std::vector<Mover> seat_movers(const Job& job, const std::vector<SeatedFace>& seats, double slack_mm) {
  return MoverBuilder(job, seats, slack_mm).run();
}

std::vector<std::string> loose_faces(const Job& job) {
  std::vector<std::string> warnings;
  for (const Part& part : job.parts) {
    if (part.kind == "angle") continue;
    std::vector<const Face*> jointed;
    for (const Face& face : part.faces) {
      const bool used = std::any_of(job.joints.begin(), job.joints.end(), [&](const Joint& joint) {
        return joint.part == part.id && joint.face == face.name;
      });
      if (used) jointed.push_back(&face);
    }
    const bool told = std::any_of(jointed.begin(), jointed.end(),
                                  [](const Face* face) { return face->opposite.has_value(); });
    if (jointed.size() < 2 || told) continue;
    warnings.push_back(
        fmt::format("{}: how its faces lie to each other is not said, so each is seated by itself; say "
                    "\"opposite\" of one of them.",
                    part.id));
  }
  return warnings;
}

}  // namespace fairhole::job

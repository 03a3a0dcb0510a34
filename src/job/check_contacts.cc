// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "check_contacts.h"

#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

#include "fairhole/base/length.h"
#include "fairhole/job/run.h"

namespace fairhole::job {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

/// A face or a plate in space: x and y of its own frame, n towards whoever looks at it.
struct Frame {
  Vector3d origin = Vector3d::Zero();
  Vector3d x = Vector3d::UnitX();
  Vector3d y = Vector3d::UnitY();

  Vector3d n() const { return x.cross(y); }
  Vector3d at(const Vector2d& p) const { return origin + p.x() * x + p.y() * y; }
};

Frame face_on(const Frame& carrier, const Motion& seat) {
  const Eigen::Matrix2d l = seat.linear();
  return {carrier.at(seat.shift_mm), l(0, 0) * carrier.x + l(1, 0) * carrier.y,
          l(0, 1) * carrier.x + l(1, 1) * carrier.y};
}

Frame carrier_under(const Frame& face, const Motion& seat) {
  const Eigen::Matrix2d l = seat.linear();
  Frame carrier{face.origin, l(0, 0) * face.x + l(0, 1) * face.y, l(1, 0) * face.x + l(1, 1) * face.y};
  carrier.origin = face.origin - (carrier.at(seat.shift_mm) - carrier.origin);
  return carrier;
}

Vector2d size_of(const Face& face) {
  Vector2d size = Vector2d::Zero();
  for (const Vector2d& corner : face.outline_mm) size = size.cwiseMax(corner);
  return size;
}

/// Out of the metal, towards the carrier.
Vector3d out_of_faying(const Face& face, const Frame& frame) {
  return face.measured_from == Surface::kFaying ? frame.n() : Vector3d(-frame.n());
}

/// The other leg stands up from this one's outer side, away from the heel that both share.
Frame other_leg(const Face& here, const Frame& frame, const Face& there) {
  Frame other;
  other.y = -out_of_faying(here, frame);
  const Vector3d faying = -frame.y;
  other.x = other.y.cross(there.measured_from == Surface::kFaying ? faying : Vector3d(-faying));
  other.origin = other.x.dot(frame.x) > 0.0 ? frame.origin : frame.at({size_of(here).x(), 0.0});
  return other;
}

/// Outline over outline, seen from the other side where both were looked at from their own.
Frame opposite_face(const Face& here, const Frame& frame, const Face& there, bool same_way) {
  Frame other;
  other.x = same_way ? frame.x : Vector3d(-frame.x);
  const Vector3d n = here.measured_from == there.measured_from ? Vector3d(-frame.n()) : frame.n();
  other.y = n.cross(other.x);
  other.origin =
      frame.at({same_way ? 0.0 : size_of(here).x(), other.y.dot(frame.y) > 0.0 ? 0.0 : size_of(here).y()});
  return other;
}

using FaceId = std::string;  // "part/face", or a plate's name

FaceId face_id(const std::string& part, const std::string& face) { return part + "/" + face; }

/// All plates and jointed faces in space, each with the rigid body that it belongs to. What hangs together
/// with nothing has a space of its own.
class Space {
 public:
  explicit Space(const Job& job) : job_(job) {
    for (const Plate& plate : job.plates) body_[plate.name] = static_cast<int>(bodies_++);
    for (const Part& part : job.parts) number(part);
    for (const auto& [id, body] : body_) {
      if (frames_.emplace(id, Frame{}).second) spread();
    }
  }

  const Frame& frame(const FaceId& id) const { return frames_.at(id); }
  int body(const FaceId& id) const { return body_.at(id); }
  std::size_t bodies() const { return bodies_; }
  bool is_plate(int body) const { return body < static_cast<int>(job_.plates.size()); }

  /// A jointed face where its own body has it. Opposite faces lie over each other: how far apart is not
  /// stated, and a long part that stands askew by a hair must not pass for two.
  Frame in_body(const Joint& joint) const {
    const Part& part = *job_.part(joint.part);
    const Face& there = *job_.face(joint.part, joint.face);
    for (const Face& here : part.faces) {
      const FaceId id = face_id(part.id, here.name);
      if (!frames_.contains(id) || body_.at(id) != body_.at(face_id(part.id, there.name))) continue;
      if (const std::optional<Frame> frame = relate(part, here, frames_.at(id), there)) return *frame;
    }
    return frames_.at(face_id(part.id, there.name));
  }

 private:
  /// Faces whose place in the part is known are one body.
  void number(const Part& part) {
    for (const Face& face : part.faces) {
      std::optional<int> known;
      for (const Face& other : part.faces) {
        const auto found = body_.find(face_id(part.id, other.name));
        if (found != body_.end() && relate(part, other, Frame{}, face)) known = found->second;
      }
      body_[face_id(part.id, face.name)] = known ? *known : static_cast<int>(bodies_++);
    }
  }

  static std::optional<Frame> relate(const Part& part, const Face& here, const Frame& frame,
                                     const Face& there) {
    if (&here == &there) return frame;
    if (part.kind == "angle" && part.faces.size() == 2) return other_leg(here, frame, there);
    for (const auto& [a, b] : {std::pair(&here, &there), std::pair(&there, &here)}) {
      if (a->opposite && a->opposite->face == b->name)
        return opposite_face(here, frame, there, a->opposite->same_way);
    }
    return std::nullopt;
  }

  /// Opposite faces last: how far apart they lie is not stated, so they place what nothing else does.
  void spread() {
    for (bool more = true; more;) {
      more = false;
      for (const Joint& joint : job_.joints) more = across(joint) || more;
      for (const bool angles : {true, false}) {
        for (const Part& part : job_.parts) {
          if (!more && (part.kind == "angle") == angles) more = through(part);
        }
      }
    }
  }

  bool across(const Joint& joint) {
    const FaceId face = face_id(joint.part, joint.face);
    const auto lies = frames_.find(face), carries = frames_.find(joint.on);
    if ((lies == frames_.end()) == (carries == frames_.end())) return false;
    if (lies == frames_.end()) {
      frames_[face] = face_on(carries->second, joint.seat.motion);
    } else {
      frames_[joint.on] = carrier_under(lies->second, joint.seat.motion);
    }
    return true;
  }

  bool through(const Part& part) {
    bool more = false;
    for (const Face& here : part.faces) {
      for (const Face& there : part.faces) {
        const auto known = frames_.find(face_id(part.id, here.name));
        const FaceId wanted = face_id(part.id, there.name);
        if (known == frames_.end() || frames_.contains(wanted)) continue;
        const std::optional<Frame> frame = relate(part, here, known->second, there);
        if (frame) more = frames_.emplace(wanted, *frame).second || more;
      }
    }
    return more;
  }

  const Job& job_;
  std::map<FaceId, int> body_;
  std::size_t bodies_ = 0;
  std::map<FaceId, Frame> frames_;
};

/// One corner of a face: how the part must move there against its carrier.
struct Demand {
  const Joint* joint = nullptr;
  int part = 0, carrier = 0;
  Vector3d at_part, at_carrier, wanted;
};

std::vector<Demand> demands(const Job& job, const Space& space, const std::vector<SeatPlan>& seats) {
  std::vector<Demand> all;
  for (const Joint& joint : job.joints) {
    const auto seat = std::find_if(seats.begin(), seats.end(),
                                   [&joint](const SeatPlan& s) { return s.joint == joint.name; });
    if (seat == seats.end()) continue;
    const Frame& carrier = space.frame(joint.on);
    const Frame face = space.in_body(joint);
    const Vector2d size = size_of(*job.face(joint.part, joint.face));
    for (const Vector2d& corner :
         {Vector2d(0.0, 0.0), Vector2d(size.x(), 0.0), size, Vector2d(0.0, size.y())}) {
      const Vector2d from = joint.seat.motion * corner;
      const Vector2d moved = seat->plate_from_face.motion * corner - from;
      all.push_back({&joint, space.body(face_id(joint.part, joint.face)), space.body(joint.on),
                     face.at(corner), carrier.at(from), moved.x() * carrier.x + moved.y() * carrier.y});
    }
  }
  return all;
}

constexpr double kTurnsAtMm = 100.0;  // turns are told as what they move so far off

/// Small moves of all bodies that meet the demands best.
class Moves {
 public:
  Moves(const Job& job, const Space& space, std::vector<Demand> demands) : demands_(std::move(demands)) {
    Eigen::Index columns = 0;
    std::vector<Eigen::Index> first;
    for (std::size_t body = 0; body < space.bodies(); ++body) {
      first.push_back(columns);
      columns += space.is_plate(static_cast<int>(body)) ? 3 : 6;
    }
    const auto rows = static_cast<Eigen::Index>(3 * demands_.size());
    const std::map<const Joint*, Eigen::Index> bends = bending(job, columns);
    feel_ = Eigen::MatrixXd::Zero(rows, columns);
    wanted_.resize(rows);
    for (std::size_t k = 0; k < demands_.size(); ++k) {
      const Demand& demand = demands_[k];
      const auto row = static_cast<Eigen::Index>(3 * k);
      wanted_.segment<3>(row) = demand.wanted;
      if (const auto bend = bends.find(demand.joint); bend != bends.end())
        feel_.block<3, 1>(row, bend->second) = space.frame(demand.joint->on).n();
      for (const bool is_part : {true, false}) {
        const int body = is_part ? demand.part : demand.carrier;
        const Vector3d& at = is_part ? demand.at_part : demand.at_carrier;
        const double sign = is_part ? 1.0 : -1.0;
        const Eigen::Index column = first[static_cast<std::size_t>(body)];
        if (space.is_plate(body)) {  // square to itself, and leaning
          const Frame& plate = space.frame(job.plates[static_cast<std::size_t>(body)].name);
          feel_.block<3, 1>(row, column) += sign * plate.n();
          for (int axis = 0; axis < 2; ++axis)
            feel_.block<3, 1>(row, column + 1 + axis) +=
                sign * (axis == 0 ? plate.x : plate.y).cross(at - plate.origin) / kTurnsAtMm;
          continue;
        }
        feel_.block<3, 3>(row, column) += sign * Eigen::Matrix3d::Identity();
        for (int axis = 0; axis < 3; ++axis)
          feel_.block<3, 1>(row, column + 3 + axis) +=
              sign * Vector3d(Vector3d::Unit(axis)).cross(at) / kTurnsAtMm;
      }
    }
  }

  /// Gaps at the corners, with the largest brought down until it is `enough_mm` or gets no smaller.
  std::vector<double> gaps(double enough_mm) const {
    constexpr int kRounds = 200;
    Eigen::VectorXd weight = Eigen::VectorXd::Ones(static_cast<Eigen::Index>(demands_.size()));
    std::vector<double> best;
    for (int round = 0; round < kRounds; ++round) {
      const std::vector<double> gap = gaps_with(weight);
      const double largest = *std::max_element(gap.begin(), gap.end());
      if (best.empty() || largest < *std::max_element(best.begin(), best.end())) best = gap;
      if (largest <= enough_mm) break;
      for (std::size_t k = 0; k < gap.size(); ++k) weight[static_cast<Eigen::Index>(k)] *= gap[k] / largest;
      weight *= static_cast<double>(gap.size()) / weight.sum();
    }
    return best;
  }

  const std::vector<Demand>& all() const { return demands_; }

 private:
  /// A plate bends to meet whatever lies on it but the angles that clasp it: a move square to it, of each
  /// such joint alone. Takes columns for them.
  std::map<const Joint*, Eigen::Index> bending(const Job& job, Eigen::Index& columns) const {
    std::map<const Joint*, Eigen::Index> bends;
    for (const Demand& demand : demands_) {
      if (job.plate(demand.joint->on) == nullptr || job.part(demand.joint->part)->kind == "angle") continue;
      if (bends.emplace(demand.joint, columns).second) ++columns;
    }
    return bends;
  }

  std::vector<double> gaps_with(const Eigen::VectorXd& weight) const {
    Eigen::VectorXd rows(feel_.rows());
    for (Eigen::Index k = 0; k < weight.size(); ++k) rows.segment<3>(3 * k).setConstant(weight[k]);
    Eigen::MatrixXd normal = feel_.transpose() * rows.asDiagonal() * feel_;
    constexpr double kHold = 1e-9;  // moves that no contact feels stay at nothing
    normal.diagonal().array() += kHold;
    const Eigen::VectorXd move = normal.ldlt().solve(feel_.transpose() * rows.asDiagonal() * wanted_);
    const Eigen::VectorXd rest = wanted_ - feel_ * move;
    std::vector<double> gap;
    for (Eigen::Index k = 0; k < weight.size(); ++k) gap.push_back(rest.segment<3>(3 * k).norm());
    return gap;
  }

  std::vector<Demand> demands_;
  Eigen::MatrixXd feel_;
  Eigen::VectorXd wanted_;
};

constexpr double kLeastGapMm = 0.01;

double turned_twice_mm(const std::vector<Demand>& demands, const std::vector<SeatPlan>& seats) {
  double reach = 0.0, turn = 0.0;
  for (const Demand& demand : demands)
    reach = std::max(reach, (demand.at_carrier - demands.front().at_carrier).norm());
  for (const SeatPlan& seat : seats) {
    for (const Demand& demand : demands) {
      if (demand.joint->name != seat.joint) continue;
      const Angle from_nominal = seat.plate_from_face.motion.turn - demand.joint->seat.motion.turn;
      turn = std::max(turn, std::abs(std::remainder(from_nominal.radians(), 2.0 * std::numbers::pi)));
    }
  }
  return 2.0 * turn * turn * reach;
}

}  // namespace

Problems check_contacts(const Job& job, const std::vector<SeatPlan>& seats, double slack_mm) {
  const Space space(job);
  const Moves moves(job, space, demands(job, space, seats));
  if (moves.all().empty()) return {};
  // A corner of a face that is half the slack off along, across and by its turn. Moves are taken as small:
  // what two turns do together is left out.
  constexpr double kCornerShare = 1.5;
  const double enough_mm = kCornerShare * slack_mm + kLeastGapMm + turned_twice_mm(moves.all(), seats);
  const std::vector<double> gaps = moves.gaps(enough_mm);
  const auto widest = std::max_element(gaps.begin(), gaps.end());
  if (*widest <= enough_mm) return {};
  const Joint& joint = *moves.all()[static_cast<std::size_t>(widest - gaps.begin())].joint;
  return {
      {codes::kPlanPartTorn, fmt::format("joint {}", joint.name),
       fmt::format("the seats ask more of {} than a rigid part in contact can do: {} mm is left between "
                   "this face and where the part's other contacts hold it",
                   joint.part, format_mm(*widest, 2)),
       fmt::format("seats that agree within {} mm; look for a slip in the readings of this part, or state "
                   "more play or a larger \"contact_slack\"",
                   format_mm(slack_mm, 2))}};
}

}  // namespace fairhole::job

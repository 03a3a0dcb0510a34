// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_relaxation.h"

#include <algorithm>
#include <cmath>

namespace fairhole::detail {
namespace {

double middle(const SeatRange& r) { return (r.least + r.most) / 2.0; }
double half(const SeatRange& r) { return std::max(0.0, (r.most - r.least) / 2.0); }

double versine(double t) { return 2.0 * std::sin(t / 2.0) * std::sin(t / 2.0); }

PartScale shifts_of(const SeatPlay& play) {
  PartScale scale;
  scale.shift_middle_mm = {middle(play.dx_mm), middle(play.dy_mm)};
  scale.shift_half_mm = {half(play.dx_mm), half(play.dy_mm)};
  return scale;
}

void bound_shifts(int part, const PartScale& scale, SeatProgram& program) {
  for (int entry = 0; entry < 2; ++entry) {
    if (scale.shift_half_mm[entry] <= 0.0) continue;
    program.bounds.push_back({part, entry, 1.0, 1.0});
    program.bounds.push_back({part, entry, -1.0, 1.0});
  }
}

/// What one entry of each kind does to a disc that follows the part so.
ConeSlope slope_of(const SeatFollow& follow, const PartScale& scale) {
  const double sine = std::sin(scale.turn_middle_rad);
  const double cosine = std::cos(scale.turn_middle_rad);
  ConeSlope slope = ConeSlope::Zero();
  slope.block<2, 2>(1, 0) = follow.by_shift * scale.shift_half_mm.asDiagonal();
  slope.block<2, 1>(1, 2) = scale.sine_unit * (follow.by_sine_mm * cosine + follow.by_versine_mm * sine);
  slope.block<2, 1>(1, 3) = scale.versine_unit * (follow.by_versine_mm * cosine - follow.by_sine_mm * sine);
  return slope;
}

/// A stack whose centre is pinned has none to take out: it is told by the entries of a part.
struct PinnedCentre {
  int part = -1;  ///< none: the centre is free
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
};

/// A disc's cone: (worst + room, centre - stack's centre).
SeatCone disc_cone(const SeatDisc& disc, const SeatRelaxation& out, const PinnedCentre& pinned,
                   double room_mm) {
  SeatCone cone;
  cone.stack = disc.stack;
  cone.gauge = 1.0;
  cone.at[0] = room_mm;
  cone.at.tail<2>() = disc.centre_mm;
  for (const SeatFollow& follow : disc.follows) {
    const PartScale& scale = out.scale[static_cast<std::size_t>(follow.part)];
    cone.at.tail<2>() += follow.by_shift * scale.shift_middle_mm +
                         follow.by_sine_mm * std::sin(scale.turn_middle_rad) +
                         follow.by_versine_mm * versine(scale.turn_middle_rad);
    const ConeSlope slope = slope_of(follow, scale);
    if (!slope.isZero(0.0)) cone.parts.push_back({out.told_by[static_cast<std::size_t>(follow.part)], slope});
  }
  if (pinned.part >= 0) {
    const PartScale& scale = out.scale[static_cast<std::size_t>(pinned.part)];
    cone.stack = -1;
    cone.at.tail<2>() -= pinned.at_mm + scale.shift_middle_mm;
    ConeSlope slope = ConeSlope::Zero();
    slope.block<2, 2>(1, 0) = -Eigen::Matrix2d(scale.shift_half_mm.asDiagonal());
    cone.parts.push_back({pinned.part, slope});
  }
  return cone;
}

/// With a = sine / h and b = 2 (1 - cosine) / h^2 about the middle of a range of 2 h: the arc lies on
/// b >= a^2 (1 - cos >= sin^2 / 2) and below its chord.
void bound_arc(int part, double half_turn, SeatProgram& program) {
  SeatCone arc;
  SeatSlope& own = arc.parts.emplace_back();
  own.part = part;
  own.slope(0, 3) = 1.0;
  own.slope(1, 3) = 1.0;
  own.slope(2, 2) = 2.0;
  arc.at = {1.0, -1.0, 0.0};
  program.cones.push_back(arc);
  program.bounds.push_back({part, 3, -1.0, versine(half_turn) * 2.0 / (half_turn * half_turn)});
}

void add_discs(const SeatModel& model, std::span<const double> room_mm, SeatRelaxation& out) {
  for (int s = 0; s < model.stacks(); ++s) {
    const std::size_t first = model.first_disc(s);
    const std::span<const SeatDisc> discs = model.discs(s);
    PinnedCentre pinned;
    if (const auto pin = pinning(discs, room_mm.subspan(first)))
      pinned = {discs[*pin].follows.front().part, discs[*pin].centre_mm};
    for (std::size_t i = 0; i < discs.size(); ++i) {
      if (room_mm[first + i] == kNoLimit || discs[i].pins) continue;
      out.program.cones.push_back(disc_cone(discs[i], out, pinned, room_mm[first + i]));
      out.disc_of_cone.push_back(static_cast<int>(first + i));
    }
  }
}

SeatRelaxation empty_relaxation(const SeatModel& model, std::span<const double> room_mm) {
  SeatRelaxation out;
  for (std::size_t p = 0; p < model.joint().parts.size(); ++p) out.told_by.push_back(static_cast<int>(p));
  for (int s = 0; s < model.stacks(); ++s) {
    const std::size_t first = model.first_disc(s);
    const std::span<const SeatDisc> discs = model.discs(s);
    const std::optional<std::size_t> pin = pinning(discs, room_mm.subspan(first));
    for (std::size_t i = 0; i < discs.size(); ++i) {
      if (discs[i].pins && room_mm[first + i] < kNoLimit)
        out.told_by[static_cast<std::size_t>(discs[i].follows.front().part)] =
            discs[*pin].follows.front().part;
    }
  }
  out.program.parts = static_cast<int>(model.joint().parts.size());
  out.program.stacks = model.stacks();
  out.start.assign(model.joint().parts.size(), PartVector::Zero());
  return out;
}

constexpr double kNoTurn = 1e-13;

}  // namespace

SeatRelaxation hull_relaxation(const SeatModel& model, std::span<const double> room_mm, const TurnBox& box) {
  SeatRelaxation out = empty_relaxation(model, room_mm);
  for (std::size_t p = 0; p < box.size(); ++p) {
    PartScale scale = shifts_of(model.joint().parts[p]);
    if (out.told_by[p] == static_cast<int>(p)) bound_shifts(static_cast<int>(p), scale, out.program);
    scale.turn_middle_rad = middle(box[p]);
    const double half_turn = half(box[p]);
    if (half_turn > kNoTurn) {
      scale.sine_unit = half_turn;
      scale.versine_unit = half_turn * half_turn / 2.0;
      bound_arc(static_cast<int>(p), half_turn, out.program);
      out.disc_of_cone.push_back(-1);
      out.start[p][3] = 0.5 * versine(half_turn) / scale.versine_unit;
    }
    out.scale.push_back(scale);
  }
  add_discs(model, room_mm, out);
  return out;
}

SeatRelaxation tangent_problem(const SeatModel& model, std::span<const double> room_mm, const TurnBox& box,
                               std::span<const SeatMove> about) {
  SeatRelaxation out = empty_relaxation(model, room_mm);
  for (std::size_t p = 0; p < box.size(); ++p) {
    PartScale scale = shifts_of(model.joint().parts[p]);
    const int part = static_cast<int>(p);
    if (out.told_by[p] == part) bound_shifts(part, scale, out.program);
    scale.turn_middle_rad = about[p].turn_rad;
    if (half(box[p]) > kNoTurn) {
      scale.sine_unit = half(box[p]);
      const double least = (box[p].least - about[p].turn_rad) / scale.sine_unit;
      const double most = (box[p].most - about[p].turn_rad) / scale.sine_unit;
      out.program.bounds.push_back({part, 2, 1.0, -least});
      out.program.bounds.push_back({part, 2, -1.0, most});
      out.start[p][2] = (least + most) / 2.0;
    }
    out.scale.push_back(scale);
  }
  add_discs(model, room_mm, out);
  return out;
}

void ask_for_misfit(const SeatModel& model, std::span<const double> room_mm, SeatRelaxation& relaxation) {
  std::vector<SeatCone> cones;
  std::vector<int> discs;
  for (std::size_t i = 0; i < relaxation.program.cones.size(); ++i) {
    SeatCone cone = relaxation.program.cones[i];
    const int disc = relaxation.disc_of_cone[i];
    if (disc >= 0) {
      cone.gauge = 0.0;
      cone.at[0] = room_mm[static_cast<std::size_t>(disc)];
    }
    cones.push_back(cone);
    discs.push_back(-1);
    if (disc < 0 || !model.joint().discs[static_cast<std::size_t>(disc)].counts_for_misfit) continue;
    cone.gauge = 1.0;
    cone.at[0] = 0.0;
    cones.push_back(cone);
    discs.push_back(disc);
  }
  relaxation.program.cones = std::move(cones);
  relaxation.disc_of_cone = std::move(discs);
}

void ask_for_rest(const SeatModel& model, std::span<const SeatMove> rest, SeatRelaxation& relaxation) {
  SeatProgram& program = relaxation.program;
  for (SeatCone& cone : program.cones) cone.gauge = 0.0;
  for (std::size_t p = 0; p < rest.size(); ++p) {
    const PartScale& scale = relaxation.scale[p];
    const double arm = scale.sine_unit * model.reach_mm(static_cast<int>(p));
    const Eigen::Vector2d shift = Eigen::Vector2d(rest[p].dx_mm, rest[p].dy_mm) - scale.shift_middle_mm;
    SeatPull& pull = program.pulls.emplace_back();
    if (model.is_centre(static_cast<int>(p))) continue;
    for (int k = 0; k < 2; ++k) {
      const double half_mm = scale.shift_half_mm[k];
      if (half_mm > 0.0) pull.strength[k] = half_mm * half_mm, pull.to[k] = shift[k] / half_mm;
    }
    if (scale.sine_unit <= 0.0) continue;
    pull.strength[2] = arm * arm;
    pull.to[2] = (rest[p].turn_rad - scale.turn_middle_rad) / scale.sine_unit;
  }
}

std::vector<SeatMove> moves_of(const SeatModel& model, const SeatRelaxation& relaxation,
                               const SeatPoint& point, const TurnBox& box) {
  std::vector<SeatMove> moves;
  const auto within = [](double value, const SeatRange& r) { return std::clamp(value, r.least, r.most); };
  for (std::size_t p = 0; p < point.parts.size(); ++p) {
    const PartScale& scale = relaxation.scale[p];
    const SeatPlay& play = model.joint().parts[p];
    const PartVector& told = point.parts[static_cast<std::size_t>(relaxation.told_by[p])];
    const Eigen::Vector2d shift = scale.shift_middle_mm + scale.shift_half_mm.cwiseProduct(told.head<2>());
    const double sine = scale.sine_unit * point.parts[p][2];
    const double turn =
        scale.versine_unit > 0.0 ? std::atan2(sine, 1.0 - scale.versine_unit * point.parts[p][3]) : sine;
    moves.push_back({within(shift.x(), play.dx_mm), within(shift.y(), play.dy_mm),
                     within(scale.turn_middle_rad + turn, box[p])});
  }
  return moves;
}

std::vector<Eigen::Vector3d> disc_multipliers(const SeatModel& model, const SeatRelaxation& relaxation,
                                              const SeatPoint& point) {
  std::vector<Eigen::Vector3d> out(model.joint().discs.size(), Eigen::Vector3d::Zero());
  for (std::size_t i = 0; i < point.multipliers.size(); ++i) {
    if (relaxation.disc_of_cone[i] >= 0)
      out[static_cast<std::size_t>(relaxation.disc_of_cone[i])] = point.multipliers[i];
  }
  return out;
}

}  // namespace fairhole::detail

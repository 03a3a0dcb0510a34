// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/movers.h"

#include <fmt/core.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/fairing/assemble.h"

namespace fairhole {
namespace {

double turn_sign(const Mover::Follower& follower) {
  return follower.plate_from_mover.determinant() < 0.0 ? -1.0 : 1.0;
}

bool turns(const Mover& mover) { return mover.play.turn_rad.most > mover.play.turn_rad.least; }

/// What one move does to a seat: the shift of its face's origin, and its turn.
SeatShift effect(const Mover::Follower& follower, const SeatMove& move, const Eigen::Vector2d& origin_mm) {
  const Angle turn = Angle::radians(turn_sign(follower) * move.turn_rad);
  const Eigen::Vector2d arm = origin_mm - follower.pivot_mm;
  const Eigen::Vector2d shift =
      follower.plate_from_mover * Eigen::Vector2d(move.dx_mm, move.dy_mm) + rotation(turn) * arm - arm;
  return {shift.x(), shift.y(), turn};
}

/// What a seat still asks for beyond the moves given so far.
SeatShift wanted(const Assembly& assembly, std::size_t seat, const std::vector<SeatMove>& moves) {
  const PlateFromFace at = seat_at(assembly, seat, moves);
  return seat_shift(at, assembly.seats[seat].seat);
}

double within(double value, const SeatRange& range) { return std::clamp(value, range.least, range.most); }

/// The move of a shared or own mover that suits its followers best: turns first, then the shifts that are
/// left, the mean of all.
void ask_followers(const Assembly& assembly, std::size_t index, std::vector<SeatMove>& moves) {
  const Mover& mover = assembly.movers[index];
  SeatMove& move = moves[index];
  const double count = static_cast<double>(std::max<std::size_t>(1, mover.followers.size()));
  if (turns(mover)) {
    double turn = 0.0;
    for (const Mover::Follower& f : mover.followers) {
      turn += turn_sign(f) * wanted(assembly, f.seat, moves).turn.radians() / count;
    }
    move.turn_rad = within(move.turn_rad + turn, mover.play.turn_rad);
  }
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();
  for (const Mover::Follower& f : mover.followers) {
    const SeatShift rest = wanted(assembly, f.seat, moves);
    shift += f.plate_from_mover.transpose() * Eigen::Vector2d(rest.along_mm, rest.across_mm) / count;
  }
  move.dx_mm = within(move.dx_mm + shift.x(), mover.play.dx_mm);
  move.dy_mm = within(move.dy_mm + shift.y(), mover.play.dy_mm);
}

/// A search that tells limits of the play as rims of huge radius may pass them by this little.
constexpr double kPastMm = 0.01;

double brought_back(double value, double least, double most) {
  const double kept = std::clamp(value, least, most);
  return std::abs(kept - value) <= kPastMm ? kept : value;
}

PlateFromFace kept_within_play(const SeatedFace& face, PlateFromFace seat) {
  const SeatShift shift = seat_shift(face.nominal, seat);
  const Play& play = face.play;
  seat.motion.shift_mm =
      face.nominal.motion.shift_mm +
      Eigen::Vector2d(brought_back(shift.along_mm, play.along_min_mm, play.along_max_mm),
                      brought_back(shift.across_mm, play.across_min_mm, play.across_max_mm));
  return seat;
}

/// The part has come to an end of a play that it has.
bool at_an_end(const SeatedFace& face) {
  constexpr double kReachedMm = 1e-6;
  constexpr double kReachedRad = 1e-9;
  const auto ends = [](double value, double least, double most, double reached) {
    return most - least > reached && (value <= least + reached || value >= most - reached);
  };
  const SeatShift shift = seat_shift(face.nominal, face.seat);
  const Play& play = face.play;
  return ends(shift.along_mm, play.along_min_mm, play.along_max_mm, kReachedMm) ||
         ends(shift.across_mm, play.across_min_mm, play.across_max_mm, kReachedMm) ||
         ends(shift.turn.radians(), play.turn_min.radians(), play.turn_max.radians(), kReachedRad);
}

}  // namespace

std::vector<SeatMove> no_moves(const Assembly& assembly) {
  return std::vector<SeatMove>(assembly.movers.size());
}

PlateFromFace seat_at(const Assembly& assembly, std::size_t seat, const std::vector<SeatMove>& moves) {
  const SeatedFace& face = assembly.seats[seat];
  Motion motion = face.nominal.motion;
  bool moved = false;
  for (std::size_t k = 0; k < assembly.movers.size(); ++k) {
    for (const Mover::Follower& follower : assembly.movers[k].followers) {
      if (follower.seat != seat) continue;
      const SeatShift shift = effect(follower, moves[k], face.nominal.motion.shift_mm);
      motion.shift_mm += Eigen::Vector2d(shift.along_mm, shift.across_mm);
      motion.turn = motion.turn + shift.turn;
      moved = true;
    }
  }
  return moved ? PlateFromFace{motion} : face.seat;
}

std::vector<SeatMove> moves_to_seats(const Assembly& assembly) {
  std::vector<SeatMove> moves = no_moves(assembly);
  for (std::size_t k = 0; k < moves.size(); ++k) {
    const SeatPlay& play = assembly.movers[k].play;
    moves[k] = {within(0.0, play.dx_mm), within(0.0, play.dy_mm), within(0.0, play.turn_rad)};
  }
  constexpr int kRounds = 3;  // what shared movers leave, own ones take; a turn's arm is told once more
  for (int round = 0; round < kRounds; ++round) {
    for (const bool shared : {true, false}) {
      for (std::size_t k = 0; k < moves.size(); ++k) {
        if ((assembly.movers[k].followers.size() > 1) == shared) ask_followers(assembly, k, moves);
      }
    }
  }
  return moves;
}

std::vector<std::string> closure_warnings(const Assembly& assembly, double tolerance_mm) {
  std::vector<std::string> warnings;
  const std::vector<SeatMove> moves = moves_to_seats(assembly);
  for (std::size_t i = 0; i < assembly.seats.size(); ++i) {
    const SeatedFace& seat = assembly.seats[i];
    const SeatShift rest = wanted(assembly, i, moves);
    const double apart = std::hypot(rest.along_mm, rest.across_mm);
    if (apart <= tolerance_mm) continue;
    std::string with;
    for (const Mover& mover : assembly.movers) {
      const bool shared =
          mover.followers.size() > 1 && std::any_of(mover.followers.begin(), mover.followers.end(),
                                                    [i](const auto& f) { return f.seat == i; });
      if (shared) with += (with.empty() ? "" : "; ") + mover.name;
    }
    if (with.empty()) continue;
    warnings.push_back(
        fmt::format("{} ({}): its own holes ask for a place {} mm along and {} mm across from where the "
                    "faces that move with it ask it "
                    "to be ({}); one body cannot do both.",
                    seat.part, seat.joint, format_mm(rest.along_mm, 1), format_mm(rest.across_mm, 1), with));
  }
  return warnings;
}

Assembly with_seats(const Assembly& assembly, const std::vector<SeatMove>& moves) {
  Assembly out = assembly;
  for (std::size_t i = 0; i < out.seats.size(); ++i) {
    const PlateFromFace asked = seat_at(assembly, i, moves);
    if (asked.motion.shift_mm == out.seats[i].seat.motion.shift_mm &&
        asked.motion.turn.radians() == out.seats[i].seat.motion.turn.radians())
      continue;  // as registration has it, limit and all
    out.seats[i].seat = kept_within_play(out.seats[i], asked);
    out.seats[i].at_limit = at_an_end(out.seats[i]);
  }
  for (Stack& stack : out.stacks) {
    for (OldLayer& layer : stack.layers) {
      const auto seat = std::find_if(assembly.seats.begin(), assembly.seats.end(), [&](const SeatedFace& s) {
        return s.joint == layer.joint && s.plate == stack.plate;
      });
      if (seat == assembly.seats.end()) continue;
      const Motion change = out.seats[static_cast<std::size_t>(seat - assembly.seats.begin())].seat.motion *
                            seat->seat.motion.inverse();
      if (layer.measured && layer.form != HoleForm::kPlugged) layer.centre_mm = change * layer.centre_mm;
      layer.ovality_axis_rad += change.turn.radians();
      for (OldLayer::Bound& bound : layer.bounds) {
        bound.normal = change.linear() * bound.normal;
        bound.offset_mm += bound.normal.dot(change.shift_mm);
      }
    }
  }
  return out;
}

bool within_play(const Assembly& assembly) {
  constexpr double kRounding = 1e-7;  // mm, rad
  const auto in = [](double value, double least, double most) {
    return value >= least - kRounding && value <= most + kRounding;
  };
  return std::all_of(assembly.seats.begin(), assembly.seats.end(), [&in](const SeatedFace& seat) {
    const SeatShift shift = seat_shift(seat.nominal, seat.seat);
    const Play& play = seat.play;
    return in(shift.along_mm, play.along_min_mm, play.along_max_mm) &&
           in(shift.across_mm, play.across_min_mm, play.across_max_mm) &&
           in(shift.turn.radians(), play.turn_min.radians(), play.turn_max.radians());
  });
}

std::vector<Mover> own_movers(const std::vector<SeatedFace>& seats) {
  std::vector<Mover> movers;
  for (std::size_t i = 0; i < seats.size(); ++i) {
    const SeatedFace& seat = seats[i];
    if (seat.joint.empty()) continue;
    const Play& play = seat.play;
    Mover mover;
    mover.name = seat.joint;
    mover.play.dx_mm = {play.along_min_mm, play.along_max_mm};
    mover.play.dy_mm = {play.across_min_mm, play.across_max_mm};
    mover.play.turn_rad = {play.turn_min.radians(), play.turn_max.radians()};
    mover.followers.push_back({i, Eigen::Matrix2d::Identity(), seat.nominal.motion.shift_mm});
    movers.push_back(std::move(mover));
  }
  return movers;
}

}  // namespace fairhole

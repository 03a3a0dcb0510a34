// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_search.h"
#include "seat_relaxation.h"

namespace fairhole::detail {
namespace {

constexpr double kKeptMm = 0.0005;  // of radius: a thousandth of a millimetre of diameter
constexpr int kBoxes = 60;
constexpr double kTooLittleMm = 1e-5;  // of margin: nothing to give away
constexpr int kRounds = 4;
constexpr double kSolverGapMm = 1e-9;
constexpr double kNearlyMm = 1e-5;  // of gap: the solver stalled next to the answer, a rounding off its cones

/// Farthest of a disc that counts from its stack's best centre.
double misfit_mm(const SeatModel& model, std::span<const double> rooms, const std::vector<SeatMove>& moves) {
  double worst = 0.0;
  for (int s = 0; s < model.stacks(); ++s) {
    const std::size_t first = model.first_disc(s);
    const std::span<const SeatDisc> discs = model.discs(s);
    const HeldCentre held = model.held(s, moves, rooms.subspan(first));
    for (std::size_t i = 0; i < discs.size(); ++i) {
      if (rooms[first + i] == kNoLimit || !discs[i].counts_for_misfit) continue;
      worst = std::max(worst, (centre_at(discs[i], moves) - held.centre_mm).norm());
    }
  }
  return worst;
}

/// Seats of the smallest misfit within `rooms`, in `seats` if they better it.
void lessen_misfit(const SeatModel& model, std::span<const double> rooms, std::span<const double> kept,
                   HeldSeats& seats) {
  std::vector<SeatMove> about = seats.moves;
  for (int round = 0; round < kRounds; ++round) {
    SeatRelaxation tangent = tangent_problem(model, rooms, model.whole_box(), about);
    ask_for_misfit(model, kept, tangent);
    const SeatPoint point = solve(tangent.program, tangent.start, kSolverGapMm);
    if (!point.feasible && point.gap > kNearlyMm) return;
    about = moves_of(model, tangent, point, model.whole_box());
    if (model.worst_mm(about, rooms) > 0.0) continue;  // the turn's arc: the next tangent is nearer
    if (point.worst < seats.misfit_mm) seats.misfit_mm = point.worst, seats.moves = about;
  }
}

/// Rooms that also keep the misfit.
std::vector<double> with_misfit(const SeatModel& model, std::span<const double> rooms, double misfit_mm) {
  std::vector<double> out(rooms.begin(), rooms.end());
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (out[i] < kNoLimit && model.joint().discs[i].counts_for_misfit) out[i] = std::min(out[i], misfit_mm);
  }
  return out;
}

double far_mm(const SeatModel& model, const std::vector<SeatMove>& moves, const std::vector<SeatMove>& rest) {
  double sum = 0.0;
  for (std::size_t p = 0; p < rest.size(); ++p) {
    if (model.is_centre(static_cast<int>(p))) continue;
    const double turned = model.reach_mm(static_cast<int>(p)) * (moves[p].turn_rad - rest[p].turn_rad);
    sum += std::hypot(moves[p].dx_mm - rest[p].dx_mm, moves[p].dy_mm - rest[p].dy_mm, turned);
  }
  return sum;
}

/// Parts of which no room is asked are at rest.
std::vector<SeatMove> idle_at_rest(const SeatModel& model, std::vector<SeatMove> moves,
                                   const std::vector<SeatMove>& rest, std::span<const double> rooms) {
  std::vector<char> asked(moves.size(), 0);
  for (std::size_t i = 0; i < rooms.size(); ++i) {
    if (rooms[i] == kNoLimit) continue;
    for (const SeatFollow& follow : model.joint().discs[i].follows)
      asked[static_cast<std::size_t>(follow.part)] = 1;
  }
  for (std::size_t p = 0; p < moves.size(); ++p) {
    if (asked[p] == 0) moves[p] = rest[p];
  }
  return moves;
}

/// Parts that are as good as at rest are at rest.
std::vector<SeatMove> laid_to_rest(const SeatModel& model, std::vector<SeatMove> moves,
                                   const std::vector<SeatMove>& rest, std::span<const double> rooms) {
  constexpr double kAtRestMm = 1e-6;
  for (std::size_t p = 0; p < rest.size(); ++p) {
    if (model.is_centre(static_cast<int>(p))) continue;
    const double turned = model.reach_mm(static_cast<int>(p)) * (moves[p].turn_rad - rest[p].turn_rad);
    if (std::hypot(moves[p].dx_mm - rest[p].dx_mm, moves[p].dy_mm - rest[p].dy_mm, turned) > kAtRestMm)
      continue;
    const SeatMove before = moves[p];
    moves[p] = rest[p];
    if (model.worst_mm(moves, rooms) > kHoldsRadiusMm) moves[p] = before;
  }
  return moves;
}

}  // namespace

HeldSeats settle(const SeatModel& model, std::span<const double> rooms, const std::vector<SeatMove>& from,
                 const std::vector<SeatMove>& rest) {
  HeldSeats out{kNoLimit, 0.0, from};
  out.moves = idle_at_rest(model, from, rest, rooms);
  if (std::all_of(rooms.begin(), rooms.end(), [](double room) { return room == kNoLimit; })) return out;
  SeatAim aim;
  aim.boxes = kBoxes;
  aim.gap_mm = 1e-5;  // the margin is told to a thousandth
  const SeatFound roomy = find_seats(model, rooms, aim, &from);
  out.margin_mm = -2.0 * roomy.value_mm;
  out.moves = idle_at_rest(model, roomy.moves, rest, rooms);
  out.misfit_mm = misfit_mm(model, rooms, out.moves);
  if (-roomy.value_mm < kTooLittleMm) return out;
  std::vector<double> kept(rooms.begin(), rooms.end());
  for (double& room : kept) room -= std::min(kKeptMm, -roomy.value_mm / 2.0);
  lessen_misfit(model, rooms, kept, out);
  constexpr double kNoWorseMm = 2e-7;  // room for the last step to move in
  // Where rest serves as well it is the answer; rooms as narrow as the last step's would stall the solver.
  if (model.worst_mm(rest, kept) <= 0.0 && misfit_mm(model, rooms, rest) <= out.misfit_mm + kNoWorseMm) {
    out.moves = rest;
    out.misfit_mm = misfit_mm(model, rooms, rest);
    return out;
  }
  const std::vector<double> hard = with_misfit(model, kept, out.misfit_mm + kNoWorseMm);
  std::vector<SeatMove> about = out.moves;
  for (int round = 0; round < kRounds; ++round) {
    SeatRelaxation tangent = tangent_problem(model, hard, model.whole_box(), about);
    ask_for_rest(model, rest, tangent);
    const SeatPoint point = solve(tangent.program, tangent.start, kSolverGapMm);
    if (!point.feasible) break;
    about = laid_to_rest(model, moves_of(model, tangent, point, model.whole_box()), rest, hard);
    if (model.worst_mm(about, hard) > kHoldsRadiusMm) continue;
    if (far_mm(model, about, rest) < far_mm(model, out.moves, rest)) out.moves = about;
  }
  return out;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "level_search.h"
#include "seat_relaxation.h"

namespace fairhole::detail {
namespace {

constexpr double kKeptMm = 0.0005;  // of radius: a thousandth of a millimetre of diameter
constexpr int kBoxes = 60;
constexpr double kTooLittleMm = 1e-5;  // of margin: nothing to give away

/// Farthest of an old centre from the middle of its stack's clean-up circle.
double misfit_mm(const SeatModel& model, std::span<const double> limits, const std::vector<SeatMove>& moves) {
  double worst = 0.0;
  for (int s = 0; s < model.stacks(); ++s) {
    if (limits[static_cast<std::size_t>(s)] == kNoLimit) continue;
    const Eigen::Vector2d middle = model.clean_up(s, moves).centre_mm;
    for (const SeatDisc& disc : model.discs(s)) {
      worst = std::max(worst, (centre_at(disc, moves[static_cast<std::size_t>(disc.part)]) - middle).norm());
    }
  }
  return worst;
}

}  // namespace

HeldSeats settle(const SeatModel& model, std::span<const double> limits, const std::vector<SeatMove>& from) {
  HeldSeats out{kNoLimit, 0.0, from};
  if (std::all_of(limits.begin(), limits.end(), [](double l) { return l == kNoLimit; })) return out;
  SeatAim aim;
  aim.boxes = kBoxes;
  aim.gap_mm = 1e-5;  // the margin is told to a thousandth
  const SeatFound roomy = find_seats(model, limits, aim, &from);
  out.margin_mm = -2.0 * roomy.value_mm;
  out.moves = roomy.moves;
  out.misfit_mm = misfit_mm(model, limits, out.moves);
  if (-roomy.value_mm < kTooLittleMm) return out;
  const double kept = std::min(kKeptMm, -roomy.value_mm / 2.0);
  std::vector<double> hard(limits.begin(), limits.end());
  for (double& limit : hard) limit -= kept;
  constexpr int kRounds = 4;
  std::vector<SeatMove> about = roomy.moves;
  for (int round = 0; round < kRounds; ++round) {
    SeatRelaxation tangent = tangent_problem(model, limits, model.whole_box(), about);
    ask_for_misfit(model, hard, tangent);
    const SeatPoint point = solve(tangent.program, tangent.start, 1e-9);
    if (!point.feasible) return out;
    about = moves_of(model, tangent, point, model.whole_box());
    if (model.worst_mm(about, limits) > 0.0) continue;  // the turn's arc: the next tangent is nearer
    if (point.worst < out.misfit_mm) out.misfit_mm = point.worst, out.moves = about;
  }
  return out;
}

}  // namespace fairhole::detail

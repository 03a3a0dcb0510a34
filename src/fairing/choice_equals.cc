// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_search.h"

namespace fairhole::detail {
namespace {

double worst_misfit_mm(const std::vector<HeldSeats>& seats) {
  double worst = 0.0;
  for (const HeldSeats& own : seats) worst = std::max(worst, own.misfit_mm);
  return worst;
}

/// The task with no hole that counts farther than this from its stack's centre.
ChoiceTask nearer(const ChoiceTask& task, double misfit_mm) {
  ChoiceTask out = task;
  out.first_moves.clear();
  for (const ChoicePiece& piece : out.pieces) {
    for (int s = 0; s < piece.model.stacks(); ++s) {
      const std::span<const SeatDisc> discs = piece.model.discs(s);
      for (std::size_t d = 0; d < discs.size(); ++d) {
        if (discs[d].counts_for_misfit)
          out.table.narrow(piece.stacks[static_cast<std::size_t>(s)], d, misfit_mm);
      }
    }
  }
  return out;
}

}  // namespace

bool ChoiceSearch::take_if_nearer(const Choice& choice, ChoiceSearchResult& out) const {
  constexpr double kSmallerMm = 1e-6;
  std::vector<HeldSeats> seats = settled(choice);
  const bool holds = std::all_of(seats.begin(), seats.end(),
                                 [](const HeldSeats& own) { return own.margin_mm >= -kHoldsWithinMm; });
  if (!holds || worst_misfit_mm(seats) > worst_misfit_mm(out.seats) - kSmallerMm) return false;
  const double cost = out.best.cost;  // the same but for rounding
  out.best = choice;
  out.best.cost = cost;
  out.seats = std::move(seats);
  return true;
}

/// First it is asked whether anything is nearer at all; then what is left is halved.
void ChoiceSearch::choose_among_equals(ChoiceSearchResult& out) const {
  constexpr double kNearMm = 0.005;
  double least = 0.0, most = worst_misfit_mm(out.seats);
  double asked = most - kNearMm;
  for (int k = 0; k < effort_.tie_nodes && most - least > kNearMm; ++k) {
    const ChoiceTask task = nearer(task_, asked);
    ChoiceSearch search(task);
    search.allow(effort_.level_nodes / 8);
    const double limit = out.best.cost + 2.0 * slack_of(out.best.cost);
    const std::optional<Choice> choice = search.least_in(table_.whole(), limit).choice;
    out.solved += search.oracle().solved();
    if (choice && choice->cost < limit && take_if_nearer(*choice, out)) {
      most = worst_misfit_mm(out.seats);
    } else {
      least = asked;
    }
    asked = (least + most) / 2.0;
  }
}

}  // namespace fairhole::detail

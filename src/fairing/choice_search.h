// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "choice_oracle.h"

namespace fairhole::detail {

/// A choice to begin with (in the oracle's record): options that fail are changed one by one, where the
/// reason for failing is eased most for the money.
void find_first_choice(ChoiceOracle& oracle, int most_solved);

/// Betters the record: each stack in turn is forced to something cheaper and the others repaired, each group
/// to another usual size, until nothing helps.
void improve_choice(ChoiceOracle& oracle, int most_solved);

/// How seats hold given rooms best.
struct HeldSeats {
  double margin_mm = kNoLimit;  ///< largest common slack of all rooms, on diameter
  double misfit_mm = 0.0;       ///< farthest of a disc that counts from its stack's centre
  std::vector<SeatMove> moves;
};

/// Among seats that hold `room_mm` (as `from` does) those with the smallest worst misfit; among these the
/// nearest to `rest`. They keep half of the margin that can be had, though no more than a thousandth of a
/// millimetre: a size that holds only to the last digit is no use.
HeldSeats settle(const SeatModel& model, std::span<const double> room_mm, const std::vector<SeatMove>& from,
                 const std::vector<SeatMove>& rest);

struct ChoiceSearchResult {
  Choice best;
  std::vector<HeldSeats> seats;  ///< of each piece
  double bound = 0.0;
  int solved = 0;
  std::vector<std::size_t> conflict;  ///< stacks that no choice holds at once; where there is no best
};

/// Stacks that cannot all be had, by cuts that leave no choice at all: none of them can be left out as far as
/// the cuts tell.
std::vector<std::size_t> conflicting_stacks(const std::vector<ChoiceCut>& cuts, const ChoiceTable& table);

/// The search over the options of some pieces. `rest` and `first` (may be empty): moves of each piece.
struct ChoiceSearchTask {
  const std::vector<ChoicePiece>& pieces;
  const ChoiceTable& table;
  SeatEffort effort;
  std::vector<std::vector<SeatMove>> rest;
  std::vector<std::vector<SeatMove>> first_moves;
};
ChoiceSearchResult search_choice(const ChoiceSearchTask& task);

}  // namespace fairhole::detail

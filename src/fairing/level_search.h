// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "level_oracle.h"

namespace fairhole::detail {

/// A choice to begin with (in the oracle's record): limits that fail are raised one by one, where the reason
/// for failing is eased most for the money.
void find_first_levels(LevelOracle& oracle, int most_solved);

/// Betters the record: each stack in turn is forced down and the others repaired, until no stack helps.
void improve_levels(LevelOracle& oracle, int most_solved);

/// How seats hold given levels best.
struct HeldSeats {
  double margin_mm = kNoLimit;  ///< largest common slack of all limits (diameters)
  double misfit_mm = 0.0;       ///< farthest of an old centre from its stack's, where there is a limit
  std::vector<SeatMove> moves;
};

/// Among seats that hold `limit_radius_mm` (as `from` does) those with the smallest worst misfit. They keep
/// half of the margin that can be had, though no more than a thousandth of a millimetre: a size that holds
/// only to the last digit is no use.
HeldSeats settle(const SeatModel& model, std::span<const double> limit_radius_mm,
                 const std::vector<SeatMove>& from);

/// The search over the levels of one piece.
struct LevelSearchResult {
  LevelRecord best;
  HeldSeats seats;
  double bound = 0.0;
  int solved = 0;
};

LevelSearchResult search_levels(const SeatModel& model, const LevelTable& table, const SeatEffort& effort);

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "level_cuts.h"

namespace fairhole::detail {

/// The best choice of levels met so far.
struct LevelRecord {
  double cost = kNoLimit;
  std::vector<int> level;
  std::vector<SeatMove> moves;
};

enum class Verdict {
  kHold,   ///< some seats hold all of these levels
  kFail,   ///< none do; `cuts()` says why
  kUnsure  ///< the work allowed did not tell
};

/// Says whether levels can be held at once, from what it knows already where that suffices. Every failure
/// leaves a cut, every seats looked at may better the record.
class LevelOracle {
 public:
  LevelOracle(const SeatModel& model, const LevelTable& table, const SeatEffort& effort);

  Verdict ask(const std::vector<int>& levels);
  /// The same without solving; nothing when that takes solving.
  std::optional<Verdict> recall(const std::vector<int>& levels) const;

  const std::vector<LevelCut>& cuts() const { return cuts_; }
  /// The last cut found (after kFail).
  const LevelCut& reason(const std::vector<int>& levels) const;
  const LevelRecord& record() const { return record_; }
  const SeatModel& model() const { return model_; }
  const LevelTable& table() const { return table_; }
  int solved() const { return solved_; }

 private:
  SeatFound find(const std::vector<double>& limits, int boxes);
  void keep(const std::vector<SeatMove>& moves);
  void keep(LevelCut cut);
  std::vector<SeatProof> narrowed(std::vector<SeatProof> proofs, std::vector<double> limits);

  const SeatModel& model_;
  const LevelTable& table_;
  SeatEffort effort_;
  std::vector<LevelCut> cuts_;      ///< few stacks first
  std::vector<LevelRecord> seats_;  ///< what seats met hold; none holds what another does and more
  LevelRecord record_;
  int solved_ = 0;
};

/// The levels that seats hold.
std::vector<int> held_levels(const SeatModel& model, const LevelTable& table,
                             const std::vector<SeatMove>& moves);

}  // namespace fairhole::detail

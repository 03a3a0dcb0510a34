// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "choice_cuts.h"

namespace fairhole::detail {

/// Parts that hang together and their stacks, among those of a table.
struct ChoicePiece {
  SeatModel model;
  std::vector<std::size_t> stacks;  ///< of the table, by the model's stack
  int turn_boxes = 0;
};

/// The best choice met so far, and seats of each piece that hold it.
struct ChoiceRecord {
  Choice choice;
  std::vector<std::vector<SeatMove>> moves;
};

enum class Verdict {
  kHold,   ///< some seats hold it
  kFail,   ///< none do; `cuts()` says why
  kUnsure  ///< the work allowed did not tell
};

/// Says whether options can be held at once, from what it knows already where that suffices. Every failure
/// leaves a cut, every seats looked at may better the record.
class ChoiceOracle {
 public:
  ChoiceOracle(const std::vector<ChoicePiece>& pieces, const ChoiceTable& table);

  /// Of each stack one option; or several, which then count as one that is as roomy as any of them.
  Verdict ask(const OptionSet& set);
  /// Looks what seats hold (of one piece).
  void offer(std::size_t piece, const std::vector<SeatMove>& moves);

  /// Takes up a cut that was proven elsewhere.
  void keep(ChoiceCut cut);
  const std::vector<ChoiceCut>& cuts() const { return cuts_; }
  /// The first cut that forbids the set (after kFail).
  const ChoiceCut& reason(const OptionSet& set) const;
  const ChoiceRecord& record() const { return record_; }
  const std::vector<ChoicePiece>& pieces() const { return pieces_; }
  const ChoiceTable& table() const { return table_; }
  int solved() const { return solved_; }
  /// Rooms of a piece's discs, the widest of the set's options for each.
  std::vector<double> rooms(std::size_t piece, const OptionSet& set) const;

 private:
  struct MetSeats {
    OptionSet held;  ///< of the piece's stacks
    std::vector<SeatMove> moves;
  };
  Verdict ask_piece(std::size_t piece, const OptionSet& set);
  const MetSeats* met(std::size_t piece, const OptionSet& set) const;
  SeatFound find(std::size_t piece, const std::vector<double>& rooms, int boxes);
  OptionSet held_options(std::size_t piece, const std::vector<SeatMove>& moves) const;
  void compare(const std::vector<const MetSeats*>& together);
  std::vector<SeatProof> narrowed(std::size_t piece, std::vector<SeatProof> proofs,
                                  std::vector<double> rooms);

  const std::vector<ChoicePiece>& pieces_;
  const ChoiceTable& table_;
  std::vector<ChoiceCut> cuts_;               ///< few stacks first
  std::vector<std::vector<MetSeats>> seats_;  ///< of each piece; none holds what another does and more
  std::vector<MetSeats> best_;                ///< of each piece, those of the record
  ChoiceRecord record_;
  int solved_ = 0;
};

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "choice_oracle.h"

namespace fairhole::detail {

/// A choice to begin with (in the oracle's record): options that fail are changed one by one, where the
/// reason for failing is eased most for the money.
void find_first_choice(ChoiceOracle& oracle, int most_solved);

/// Betters the record: each stack in turn is forced to something cheaper and the others repaired, each group
/// to another usual size, until nothing helps.
void improve_choice(ChoiceOracle& oracle, int most_solved);

/// Betters the record by a given choice, changed where it does not hold.
void repair_choice(ChoiceOracle& oracle, Choice choice, int most_solved);

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

/// The options of some pieces to choose among. `rest` and `first` (may be empty): moves of each piece.
struct ChoiceTask {
  std::vector<ChoicePiece> pieces;
  ChoiceTable table;
  SeatEffort effort;
  std::vector<std::vector<SeatMove>> rest;
  std::vector<std::vector<SeatMove>> first_moves;
};

/// Costs this close are the same.
inline double slack_of(double cost) { return 1e-9 * (1.0 + cost); }

/// The search over the options of a task, best bound first. The task must outlive it.
class ChoiceSearch {
 public:
  explicit ChoiceSearch(const ChoiceTask& task)
      : task_(task), table_(task.table), effort_(task.effort), oracle_(task.pieces, task.table) {}

  ChoiceSearchResult run();
  void offer_first_moves();
  /// Betters the record by trying changes.
  void better_record();
  /// Takes a choice of equal cost if its worst misfit is smaller; false: it is not.
  bool take_if_nearer(const Choice& choice, ChoiceSearchResult& out) const;
  /// Of all choices of the least cost one of the smallest worst misfit, to a few thousandths of a millimetre.
  void choose_among_equals(ChoiceSearchResult& out) const;
  /// Betters and proves the record. No choice costs less than `floor`.
  ChoiceSearchResult prove(double floor);

  /// The least cost of a domain: what it is at least, and the choice that costs this where one was found.
  struct Least {
    double bound = 0.0;  ///< not told beyond `limit`
    std::optional<Choice> choice;
  };
  Least least_in(const ChoiceDomain& domain, double limit);
  /// By the cuts known, without solving.
  ChoiceBound bound_by_cuts(const ChoiceDomain& domain) const;

  ChoiceOracle& oracle() { return oracle_; }
  /// Sets to be solved for in all, at the most.
  void allow(int level_nodes) { effort_.level_nodes = level_nodes; }

 private:
  /// Choices not yet decided.
  struct Node {
    ChoiceDomain domain;
    double bound = 0.0;
    int serial = 0;
  };
  static bool later(const Node& a, const Node& b);
  bool worth_a_look(double bound) const;
  void push(Node node);
  Node pop();
  double least_open() const;
  ChoiceBound raised_bound(const ChoiceDomain& domain);
  void expand(const Node& node, const ChoiceBound& bound);
  bool goes_first(Node& node, double bound);
  void branch_on_usual(const Node& node, const ChoiceBound::Tie& tie);
  void branch(const Node& node, const ChoiceCut& cut);
  ChoiceSearchResult outcome() const;
  std::vector<HeldSeats> settled(const Choice& choice) const;
  Node root() const;
  void explore(int most_solved, int most_expanded);
  ChoiceDomain around(std::size_t piece, int part) const;
  void better_around(int most);

  const ChoiceTask& task_;
  const ChoiceTable& table_;
  SeatEffort effort_;
  ChoiceOracle oracle_;
  std::vector<Node> open_;
  int serial_ = 0;
  int expanded_ = 0;
  double unsure_bound_ = kNoLimit;  ///< of the nodes given up
  std::optional<double> limit_;     ///< only costs below this are asked for, whatever the record
  bool around_ = false;             ///< only part of the choice is open
};

}  // namespace fairhole::detail

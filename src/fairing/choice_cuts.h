// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "choice_table.h"
#include "seat_search.h"

namespace fairhole::detail {

/// A room holds when a disc is over it by no more than this.
inline constexpr double kHoldsRadiusMm = kHoldsWithinMm / 2.0;

/// Proofs that together say: some stack needs a roomier option. A row's value of an option is sum of weight *
/// room over the stack's discs; a choice is forbidden when in every row its values sum to less than the
/// floor. Holds for every choice of options.
struct ChoiceCut {
  struct Row {
    double floor_mm = 0.0;
    std::vector<std::vector<double>> value;  ///< of each of `stacks`, of each option
  };
  /// Options of a stack that are alike in every row, and which of them are at least as good as which.
  struct Classes {
    std::vector<std::size_t> of_option;
    std::vector<std::vector<char>> at_or_below;  ///< [a][b]: a nowhere above b
  };
  std::vector<std::size_t> stacks;
  std::vector<Row> rows;
  std::vector<Classes> classes;  ///< of each of `stacks`
  /// The lowest choices of classes that the cut allows, one after the other: what it allows is at or above
  /// one of them. Empty if they are too many to list.
  std::vector<std::size_t> lowest;
  bool listed = false;
};

/// Discs of the proofs' model, and which stack of the table they belong to.
struct ProofDiscs {
  const SeatModel* model = nullptr;
  std::span<const std::size_t> stack;  ///< of the table, by the model's stack
};
ChoiceCut cut_of(std::span<const SeatProof> proofs, const ProofDiscs& discs, const ChoiceTable& table);

/// Fills in `lowest`.
void list_lowest(ChoiceCut& cut);

/// True when the cut says that no choice of options of the set holds.
bool forbids(const ChoiceCut& cut, const ChoiceTable& table, const OptionSet& set);

/// "The stack takes one of these options."
struct ChoiceLiteral {
  std::size_t at = 0;  ///< which of the cut's stacks
  std::size_t stack = 0;
  std::vector<std::size_t> options;  ///< not empty
  double price = 0.0;                ///< of the cheapest of them
};

/// What the cut asks of the open options, as "one of these": each literal as narrow as the cut can prove, the
/// cheapest literal first. Empty: the cut cannot be met. Only for a cut that forbids the cheapest options.
/// `price` of all options: kNoLimit where not open.
std::vector<ChoiceLiteral> clause_of(const ChoiceCut& cut, const ChoiceTable& table,
                                     std::span<const double> price);

/// Least cost of any choice in a domain that the cuts charged so far allow, from below. Each cut in turn
/// charges the options of its stacks so that whatever it allows pays at least the cut's own least cost; what
/// an option has paid it need not pay again (a feasible solution of the dual of the covering problem). What a
/// group's stacks come to is summed for each usual size apart, and the least of these sums counts: a charge
/// may eat into a dearer sum as far as it stays the dearer.
class ChoiceBound {
 public:
  ChoiceBound(const ChoiceTable& table, const ChoiceDomain& domain);

  void charge(const ChoiceCut& cut);
  void charge_all(std::span<const ChoiceCut> cuts);
  double value() const;  ///< infinite when some cut cannot be met in the domain
  /// The options that cost nothing more: if even these do not hold, the reason raises the bound.
  OptionSet paid() const;
  /// What may be charged to each option at most; kNoLimit where not open.
  std::vector<double> prices() const;
  /// A group in which the least sum is that of two usual sizes or more, and one of these.
  struct Tie {
    std::size_t group = 0;
    int size = 0;
  };
  std::optional<Tie> tied_group() const;

 private:
  using Charges = std::vector<std::vector<double>>;  ///< of each of a cut's stacks, of each option
  std::size_t sums(std::size_t stack) const { return sum_[account_[stack]].size(); }
  double& left(std::size_t option, std::size_t usual) { return left_[at_[option] + usual]; }
  double left(std::size_t option, std::size_t usual) const { return left_[at_[option] + usual]; }
  double price(std::size_t option, double share) const;
  void begin_stack(std::size_t stack, const ChoiceDomain& domain);
  void carry(std::size_t stack);
  Charges prices_for(const ChoiceCut& cut) const;
  bool is_paid(std::size_t option) const;
  bool idle(const ChoiceCut& cut) const;
  void take(const ChoiceCut& cut, const Charges& charges);
  double charges_listed(const ChoiceCut& cut, Charges& charges) const;
  double charges_clause(const ChoiceCut& cut, Charges& charges) const;

  const ChoiceTable& table_;
  double charged_ = 0.0;
  std::vector<std::size_t> account_;  ///< of each stack: its group, or one of its own
  std::vector<char> sized_;           ///< of each account: whether a stack of it may take a size
  std::vector<std::vector<double>>
      sum_;                      ///< of each account, of each usual size; infinite where it is closed
  std::vector<double> least_;    ///< of each account's sums
  std::vector<std::size_t> at_;  ///< of each option, where its entries of `left_` begin
  std::vector<double> left_;     ///< of each option with each usual size: its price above what is in the sums
};

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "choice_blocks.h"

namespace fairhole::detail {

/// One block's search, and the way between its table and the whole's.
class BlockPart {
 public:
  BlockPart(const ChoiceBlock& block, const ChoiceTable& whole);

  std::size_t stacks() const { return own().stacks(); }
  ChoiceSearch& search() { return search_; }
  int solved() { return search_.oracle().solved(); }
  /// Whether the group's usual size makes a difference here.
  bool feels(std::size_t group) const { return felt_[group] != 0; }
  /// Whether the block's choice is in a domain of the whole.
  bool allows(const ChoiceDomain& domain, const Choice& choice) const;
  ChoiceSearch::Least least_in(const ChoiceDomain& domain, double limit);
  /// Writes the block's choice into the whole's.
  void put(const Choice& choice, Choice& to) const;
  void hand_cuts_to(ChoiceOracle& oracle);

 private:
  const ChoiceTable& own() const { return block_.task.table; }
  std::size_t in_whole(std::size_t stack, std::size_t option) const {
    return whole_.first(block_.stack[stack]) + option - own().first(stack);
  }

  const ChoiceBlock& block_;
  const ChoiceTable& whole_;
  ChoiceSearch search_;
  std::vector<char> felt_;  ///< of each group
};

/// The search over domains of the whole that are bounded by the sum of their blocks' least costs, best bound
/// first. Where the blocks' choices can be had together the node is answered; where not, it is branched on
/// the usual size that they do not agree on or on the reason why they fail.
class BlockTree {
 public:
  BlockTree(const ChoiceTask& whole, const std::vector<ChoiceBlock>& blocks);

  /// Each block by itself: the root.
  void solve_blocks();
  /// What the blocks choose, taken together, repaired and bettered: a record to begin with.
  void begin();
  /// Of equal cost, each block's own choice may have the smaller worst misfit.
  void choose_among_equals(ChoiceSearchResult& out);
  /// What no choice undercuts.
  double explore();
  ChoiceSearch& whole() { return whole_; }
  int solved();
  /// Sets that the whole may still solve for.
  int left();

 private:
  /// What is open, and each block's least cost in it.
  struct Node {
    ChoiceDomain domain;
    std::vector<ChoiceSearch::Least> least;  ///< of each block
    double bound = 0.0;
    int serial = 0;
  };
  static bool later(const Node& a, const Node& b) {
    return a.bound != b.bound ? a.bound > b.bound : a.serial < b.serial;
  }
  const ChoiceRecord& record() { return whole_.oracle().record(); }
  double share_of(const BlockPart& part) const {
    return static_cast<double>(part.stacks()) / static_cast<double>(table_.stacks());
  }
  int kept_back() const { return effort_.level_nodes / 8; }  ///< work for the whole
  double work();
  int allowance(BlockPart& part, double share, double kept);
  bool worth_a_look(double bound);
  void push(Node node);
  void bound_anew(Node& node);
  void step(Node node);
  bool branched_on_usual(const Node& node);
  void branch(const Node& node, const Choice& merged);
  Choice merged(const std::vector<const Choice*>& of_blocks) const;
  Choice found_together() const;

  const ChoiceTable& table_;
  SeatEffort effort_;
  ChoiceSearch whole_;
  std::vector<BlockPart> parts_;
  std::vector<Choice> found_;  ///< by each block alone, proven or not
  std::vector<Node> open_;
  double given_up_ = kNoLimit;  ///< least bound of the nodes given up
  int serial_ = 0;
};

}  // namespace fairhole::detail

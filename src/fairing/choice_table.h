// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <vector>

#include "fairhole/fairing/joint_choice.h"

namespace fairhole::detail {

/// An option of one stack, as the search sees it.
struct TableOption {
  double cost = 0.0;
  std::vector<double> room_mm;
  int size = -1;  ///< that can be odd; else none
  int given = 0;  ///< its index in the case
  int stack = 0;
};

/// Options still open: one flag for each option of all stacks, stack after stack.
using OptionSet = std::vector<char>;

/// What is not yet decided: options of stacks, usual sizes of groups.
struct ChoiceDomain {
  OptionSet open;
  std::vector<char> usual;  ///< sizes of all groups, group after group
};

/// One option for each stack (by its index in the table), one usual size for each group.
struct Choice {
  double cost = kNoLimit;  ///< odd sizes included; kNoLimit: no choice
  std::vector<std::size_t> option;
  std::vector<int> usual;
};

/// Options of some stacks that hang together, those left out that another is never worse than.
class ChoiceTable {
 public:
  ChoiceTable(std::span<const StackOptions> stacks, std::span<const int> group_sizes, double odd_cost);

  std::size_t stacks() const { return group_.size(); }
  std::size_t first(std::size_t stack) const { return first_[stack]; }
  std::size_t end(std::size_t stack) const { return first_[stack + 1]; }
  const std::vector<TableOption>& options() const { return options_; }
  const TableOption& option(std::size_t index) const { return options_[index]; }
  std::size_t groups() const { return first_usual_.size() - 1; }
  int group(std::size_t stack) const { return group_[stack]; }
  int sizes(std::size_t group) const {
    return static_cast<int>(first_usual_[group + 1] - first_usual_[group]);
  }
  std::size_t usual_at(std::size_t group, int size) const {
    return first_usual_[group] + static_cast<std::size_t>(size);
  }
  double odd_cost() const { return odd_cost_; }

  ChoiceDomain whole() const;
  OptionSet only(std::span<const std::size_t> choice) const;
  /// No option leaves a disc of the stack more room than this.
  void narrow(std::size_t stack, std::size_t disc, double most_mm);
  /// The cheapest choice in the domain, heeding no cuts.
  Choice cheapest(const ChoiceDomain& domain) const;

 private:
  double cost_with_usual(std::size_t index, int usual) const;

  std::vector<TableOption> options_;
  std::vector<std::size_t> first_;
  std::vector<int> group_;
  std::vector<std::size_t> first_usual_;
  double odd_cost_ = 0.0;
};

}  // namespace fairhole::detail

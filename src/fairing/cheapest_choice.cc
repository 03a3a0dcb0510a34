// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <numeric>

#include "choice_blocks.h"

namespace fairhole {
namespace {

using detail::ChoicePiece;
using detail::ChoiceTask;
using detail::FreePart;

/// Pieces that share a group of sizes are searched together: its usual size is one for all of them.
std::vector<std::vector<std::size_t>> clusters_of(const std::vector<FreePart>& pieces,
                                                  const ChoiceCase& choice_case) {
  std::vector<std::size_t> cluster(pieces.size());
  std::iota(cluster.begin(), cluster.end(), std::size_t{0});
  std::vector<std::size_t> first_of_group(choice_case.group_sizes.size(), pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    for (const int s : pieces[p].stacks) {
      const int group = choice_case.stacks[static_cast<std::size_t>(s)].group;
      if (group < 0 || choice_case.odd_cost == 0.0) continue;
      std::size_t& first = first_of_group[static_cast<std::size_t>(group)];
      if (first == pieces.size()) first = p;
      const std::size_t from = std::max(cluster[p], cluster[first]);
      std::replace(cluster.begin(), cluster.end(), from, std::min(cluster[p], cluster[first]));
    }
  }
  std::vector<std::vector<std::size_t>> out(pieces.size());
  for (std::size_t p = 0; p < pieces.size(); ++p) out[cluster[p]].push_back(p);
  std::erase_if(out, [](const auto& members) { return members.empty(); });
  return out;
}

std::vector<SeatMove> own_moves(const FreePart& piece, const std::vector<SeatMove>& whole) {
  std::vector<SeatMove> out;
  for (std::size_t p = 0; p < piece.parts.size() && !whole.empty(); ++p) {
    out.push_back(detail::within_play(piece.joint.parts[p], whole[static_cast<std::size_t>(piece.parts[p])]));
  }
  return out;
}

class Clusters {
 public:
  Clusters(const ChoiceCase& choice_case, const SeatEffort& effort, const ChoiceFound* first)
      : case_(choice_case), effort_(effort), first_(first), pieces_(detail::free_parts(choice_case.joint)) {
    out_.option.assign(choice_case.stacks.size(), -1);
    out_.usual.assign(choice_case.group_sizes.size(), -1);
    rest_ =
        choice_case.rest.empty() ? std::vector<SeatMove>(choice_case.joint.parts.size()) : choice_case.rest;
    for (std::size_t p = 0; p < rest_.size(); ++p)
      rest_[p] = detail::within_play(choice_case.joint.parts[p], rest_[p]);
    out_.moves = rest_;
  }

  ChoiceFound run() {
    for (const std::vector<std::size_t>& members : clusters_of(pieces_, case_)) search(members);
    out_.proven = out_.bound >= out_.cost;
    if (std::find(out_.option.begin(), out_.option.end(), -1) != out_.option.end()) {
      out_.option.clear();
      out_.cost = kNoLimit;
      out_.proven = out_.bound == kNoLimit;
    }
    return std::move(out_);
  }

 private:
  /// The options of some stacks as a task: `given` are these stacks in the order of its table.
  ChoiceTask task_of(const std::vector<int>& stacks, std::vector<FreePart>& free,
                     std::vector<int>& given) const {
    free = detail::free_parts(detail::joint_of(case_.joint, stacks));
    std::vector<ChoicePiece> pieces;
    std::vector<StackOptions> options;
    std::vector<std::vector<SeatMove>> rest, first;
    SeatEffort effort = effort_;
    for (const FreePart& part : free) {
      const SeatEffort own = detail::effort_for(part, effort_);
      effort.level_nodes = std::min(effort.level_nodes, own.level_nodes);
      ChoicePiece& to = pieces.emplace_back(ChoicePiece{detail::SeatModel(part.joint), {}, own.turn_boxes});
      for (const int s : part.stacks) {
        to.stacks.push_back(given.size());
        given.push_back(stacks[static_cast<std::size_t>(s)]);
        options.push_back(case_.stacks[static_cast<std::size_t>(given.back())]);
      }
      rest.push_back(own_moves(part, rest_));
      if (first_ != nullptr && first_->moves.size() == rest_.size())
        first.push_back(own_moves(part, first_->moves));
    }
    return {std::move(pieces), detail::ChoiceTable(options, case_.group_sizes, case_.odd_cost), effort,
            std::move(rest), std::move(first)};
  }

  void search(const std::vector<std::size_t>& members) {
    std::vector<int> stacks, given;
    for (const std::size_t member : members)
      stacks.insert(stacks.end(), pieces_[member].stacks.begin(), pieces_[member].stacks.end());
    std::vector<FreePart> free;
    const ChoiceTask whole = task_of(stacks, free, given);
    std::vector<detail::ChoiceBlock> blocks;
    for (const std::vector<int>& block : detail::blocks_of(case_.joint, stacks)) {
      std::vector<FreePart> own_free;
      std::vector<int> own;
      blocks.push_back({task_of(block, own_free, own), {}});
      for (const int s : own) {
        const auto at = std::find(given.begin(), given.end(), s);
        blocks.back().stack.push_back(static_cast<std::size_t>(at - given.begin()));
      }
    }
    put(free, given, whole.table,
        blocks.size() > 1 ? detail::search_blocks(whole, blocks) : detail::ChoiceSearch(whole).run());
  }

  void put(const std::vector<FreePart>& free, const std::vector<int>& given, const detail::ChoiceTable& table,
           const detail::ChoiceSearchResult& found) {
    out_.bound += found.bound;
    out_.sets_solved += found.solved;
    if (found.best.option.empty()) {
      if (!found.conflict.empty() && out_.conflict.empty()) {
        for (const std::size_t s : found.conflict) out_.conflict.push_back(given[s]);
        std::sort(out_.conflict.begin(), out_.conflict.end());
      }
      return;
    }
    out_.cost += found.best.cost;
    for (std::size_t s = 0; s < given.size(); ++s) {
      const detail::TableOption& option = table.option(found.best.option[s]);
      out_.option[static_cast<std::size_t>(given[s])] = option.given;
      if (option.size < 0) continue;
      const auto group = static_cast<std::size_t>(table.group(s));
      out_.usual[group] = found.best.usual[group];
    }
    for (std::size_t i = 0; i < free.size(); ++i) {
      const detail::HeldSeats& seats = found.seats[i];
      detail::put_moves(free[i], seats.moves, out_.moves);
      out_.margin_mm = std::min(out_.margin_mm, seats.margin_mm);
      out_.worst_misfit_mm = std::max(out_.worst_misfit_mm, seats.misfit_mm);
    }
  }

  const ChoiceCase& case_;
  SeatEffort effort_;
  const ChoiceFound* first_;
  std::vector<FreePart> pieces_;
  std::vector<SeatMove> rest_;
  ChoiceFound out_;
};

}  // namespace

ChoiceFound cheapest_choice(const ChoiceCase& choice_case, const SeatEffort& effort,
                            const ChoiceFound* first) {
  return Clusters(choice_case, effort, first).run();
}

}  // namespace fairhole

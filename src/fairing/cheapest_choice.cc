// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <numeric>

#include "choice_task.h"

namespace fairhole {
namespace {

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

class Clusters {
 public:
  Clusters(const ChoiceCase& choice_case, const SeatEffort& effort, const ChoiceFound* first)
      : case_(choice_case), effort_(effort), first_(first), pieces_(detail::free_parts(choice_case.joint)) {
    out_.option.assign(choice_case.stacks.size(), -1);
    out_.usual.assign(choice_case.group_sizes.size(), -1);
    out_.moves = detail::rest_of(choice_case);
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
  void search(const std::vector<std::size_t>& members) {
    std::vector<int> stacks;
    for (const std::size_t member : members)
      stacks.insert(stacks.end(), pieces_[member].stacks.begin(), pieces_[member].stacks.end());
    const detail::StackTask whole = detail::task_of(case_, stacks, effort_, first_);
    std::vector<detail::ChoiceBlock> blocks;
    for (const std::vector<int>& block : detail::blocks_of(case_.joint, stacks))
      blocks.push_back(detail::block_of(whole, detail::task_of(case_, block, effort_, first_)));
    const bool splits = blocks.size() > 1;
    put(whole, splits ? search_blocks(whole.task, blocks) : detail::ChoiceSearch(whole.task).run());
  }

  void put(const detail::StackTask& whole, const detail::ChoiceSearchResult& found) {
    const std::vector<int>& given = whole.given;
    const detail::ChoiceTable& table = whole.task.table;
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
    for (std::size_t i = 0; i < whole.free.size(); ++i) {
      const detail::HeldSeats& seats = found.seats[i];
      detail::put_moves(whole.free[i], seats.moves, out_.moves);
      out_.margin_mm = std::min(out_.margin_mm, seats.margin_mm);
      out_.worst_misfit_mm = std::max(out_.worst_misfit_mm, seats.misfit_mm);
    }
  }

  const ChoiceCase& case_;
  SeatEffort effort_;
  const ChoiceFound* first_;
  std::vector<FreePart> pieces_;
  ChoiceFound out_;
};

ChoiceCase only(const ChoiceCase& choice_case, const std::vector<int>& stacks) {
  ChoiceCase out = choice_case;
  out.joint = detail::joint_of(choice_case.joint, stacks);
  out.stacks.clear();
  for (const int s : stacks) out.stacks.push_back(choice_case.stacks[static_cast<std::size_t>(s)]);
  return out;
}

/// Each stack is left out for good if the others cannot be had together without it; what then is left needs
/// all of its stacks.
std::vector<int> smallest_conflict(const ChoiceCase& choice_case, std::vector<int> stacks,
                                   const SeatEffort& effort) {
  const std::vector<int> all = stacks;
  for (const int s : all) {
    if (stacks.size() == 1) break;
    std::vector<int> others = stacks;
    std::erase(others, s);
    if (Clusters(only(choice_case, others), effort, nullptr).run().bound == kNoLimit)
      stacks = std::move(others);
  }
  return stacks;
}

}  // namespace

ChoiceFound cheapest_choice(const ChoiceCase& choice_case, const SeatEffort& effort,
                            const ChoiceFound* first) {
  ChoiceFound found = Clusters(choice_case, effort, first).run();
  if (!found.conflict.empty()) found.conflict = smallest_conflict(choice_case, found.conflict, effort);
  return found;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_search.h"

namespace fairhole::detail {
namespace {

/// Whether cuts that concern only these stacks leave them nothing: all options tried, stack after stack.
class Refutation {
 public:
  Refutation(const std::vector<ChoiceCut>& cuts, const ChoiceTable& table,
             const std::vector<std::size_t>& stacks)
      : table_(table), stacks_(stacks), set_(table.whole().open) {
    for (const ChoiceCut& cut : cuts) {
      const bool inside = std::all_of(cut.stacks.begin(), cut.stacks.end(), [&](std::size_t s) {
        return std::find(stacks.begin(), stacks.end(), s) != stacks.end();
      });
      if (inside) cuts_.push_back(&cut);
    }
  }
  bool found() { return refuted(0) && looked_ < kMostSets; }

 private:
  static constexpr int kMostSets = 20000;

  bool refuted(std::size_t depth) {
    if (++looked_ >= kMostSets) return false;
    for (const ChoiceCut* cut : cuts_) {
      if (forbids(*cut, table_, set_)) return true;
    }
    if (depth == stacks_.size()) return false;
    const std::size_t first = table_.first(stacks_[depth]), end = table_.end(stacks_[depth]);
    bool all = true;
    for (std::size_t o = first; o < end && all; ++o) {
      for (std::size_t other = first; other < end; ++other) set_[other] = other == o ? 1 : 0;
      all = refuted(depth + 1);
    }
    for (std::size_t o = first; o < end; ++o) set_[o] = 1;
    return all;
  }

  const ChoiceTable& table_;
  const std::vector<std::size_t>& stacks_;
  std::vector<const ChoiceCut*> cuts_;
  OptionSet set_;
  int looked_ = 0;
};

}  // namespace

std::vector<std::size_t> conflicting_stacks(const std::vector<ChoiceCut>& cuts, const ChoiceTable& table) {
  std::vector<std::size_t> stacks;
  for (const ChoiceCut& cut : cuts) {
    if (forbids(cut, table, table.whole().open)) return cut.stacks;  // few stacks first
    stacks.insert(stacks.end(), cut.stacks.begin(), cut.stacks.end());
  }
  std::sort(stacks.begin(), stacks.end());
  stacks.erase(std::unique(stacks.begin(), stacks.end()), stacks.end());
  const std::vector<std::size_t> all = stacks;
  for (const std::size_t s : all) {
    std::vector<std::size_t> without = stacks;
    std::erase(without, s);
    if (Refutation(cuts, table, without).found()) stacks = std::move(without);
  }
  return stacks;
}

}  // namespace fairhole::detail

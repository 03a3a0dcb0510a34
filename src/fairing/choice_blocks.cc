// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_blocks.h"

#include <algorithm>
#include <numeric>

namespace fairhole::detail {
namespace {

constexpr std::size_t kLeastStacks = 8;  // of a block

using Stacks = std::vector<int>;

class Partition {
 public:
  explicit Partition(const JointCase& joint) : felt_(static_cast<std::size_t>(joint.stacks)) {
    const int ground = static_cast<int>(joint.parts.size());
    for (const SeatDisc& disc : joint.discs) {
      std::vector<int>& felt = felt_[static_cast<std::size_t>(disc.stack)];
      const std::size_t before = felt.size();
      for (const SeatFollow& follow : disc.follows) {
        if (!is_fixed(joint.parts[static_cast<std::size_t>(follow.part)])) felt.push_back(follow.part);
      }
      if (felt.size() == before) felt.push_back(ground);
    }
  }

  void split(const Stacks& stacks, std::vector<Stacks>& out) const {
    std::vector<Stacks> best;
    std::size_t largest = stacks.size();
    for (const int part : parts_of(stacks)) {
      std::vector<Stacks> sides = sides_without(part, stacks);
      const auto size = [](const Stacks& a, const Stacks& b) { return a.size() < b.size(); };
      const std::size_t most = std::max_element(sides.begin(), sides.end(), size)->size();
      if (most < largest) largest = most, best = std::move(sides);
    }
    if (best.empty()) return out.push_back(stacks);
    for (const Stacks& side : best) split(side, out);
  }

 private:
  const std::vector<int>& felt(int stack) const { return felt_[static_cast<std::size_t>(stack)]; }

  Stacks parts_of(const Stacks& stacks) const {
    Stacks out;
    for (const int s : stacks) out.insert(out.end(), felt(s).begin(), felt(s).end());
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
  }

  /// Stacks that hang together without the part; small sides together, or with the smallest of the others.
  std::vector<Stacks> sides_without(int part, const Stacks& stacks) const {
    std::vector<std::size_t> side(stacks.size());
    std::iota(side.begin(), side.end(), std::size_t{0});
    std::vector<std::size_t> first_at(parts_of(stacks).back() + 1, stacks.size());
    for (std::size_t i = 0; i < stacks.size(); ++i) {
      for (const int p : felt(stacks[i])) {
        std::size_t& first = first_at[static_cast<std::size_t>(p)];
        if (p == part) continue;
        if (first == stacks.size()) first = i;
        const std::size_t from = std::max(side[i], side[first]);
        std::replace(side.begin(), side.end(), from, std::min(side[i], side[first]));
      }
    }
    std::vector<Stacks> sides(stacks.size());
    for (std::size_t i = 0; i < stacks.size(); ++i) sides[side[i]].push_back(stacks[i]);
    std::erase_if(sides, [](const Stacks& own) { return own.empty(); });
    return without_small_ones(std::move(sides));
  }

  static std::vector<Stacks> without_small_ones(std::vector<Stacks> sides) {
    std::stable_sort(sides.begin(), sides.end(),
                     [](const Stacks& a, const Stacks& b) { return a.size() < b.size(); });
    while (sides.size() > 1 && sides.front().size() < kLeastStacks) {
      sides[1].insert(sides[1].end(), sides[0].begin(), sides[0].end());
      std::sort(sides[1].begin(), sides[1].end());
      sides.erase(sides.begin());
      // The one that grew may now be larger than the next.
      std::stable_sort(sides.begin(), sides.end(),
                       [](const Stacks& a, const Stacks& b) { return a.size() < b.size(); });
    }
    return sides;
  }

  std::vector<std::vector<int>> felt_;  ///< of each stack: parts that move its discs, or the ground
};

}  // namespace

std::vector<std::vector<int>> blocks_of(const JointCase& joint, const std::vector<int>& stacks) {
  std::vector<std::vector<int>> out;
  if (!stacks.empty()) Partition(joint).split(stacks, out);
  return out;
}

}  // namespace fairhole::detail

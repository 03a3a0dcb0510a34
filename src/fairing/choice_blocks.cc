// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_blocks.h"

#include <algorithm>
#include <numeric>

namespace fairhole::detail {
namespace {

constexpr std::size_t kLeastStacks = 8;  // of a block
constexpr std::size_t kMostStacks = 70;  // of a block that need not hang on the others by two parts
constexpr std::size_t kMostParts = 40;   // of which all pairs are tried

using Stacks = std::vector<int>;

class Partition {
 public:
  explicit Partition(const JointCase& joint) : felt_(static_cast<std::size_t>(joint.stacks)) {
    const int ground = static_cast<int>(joint.parts.size());
    const std::vector<char> centres = are_centres(joint);  // what ties neighbours may be given up
    for (const SeatDisc& disc : joint.discs) {
      std::vector<int>& felt = felt_[static_cast<std::size_t>(disc.stack)];
      const std::size_t before = felt.size();
      for (const SeatFollow& follow : disc.follows) {
        const auto part = static_cast<std::size_t>(follow.part);
        if (!is_fixed(joint.parts[part]) && centres[part] == 0) felt.push_back(follow.part);
      }
      if (felt.size() == before) felt.push_back(ground);
    }
  }

  void split(const Stacks& stacks, std::vector<Stacks>& out) const {
    std::vector<Stacks> best;
    const std::vector<int> parts = parts_of(stacks);
    for (const int part : parts) better(sides_without({part}, stacks), stacks.size(), best);
    if (best.empty() && stacks.size() > kMostStacks && parts.size() <= kMostParts) {
      for (std::size_t i = 0; i < parts.size(); ++i) {
        for (std::size_t k = i + 1; k < parts.size(); ++k)
          better(sides_without({parts[i], parts[k]}, stacks), stacks.size(), best);
      }
      best = put_together(std::move(best));
    }
    if (best.size() < 2) return out.push_back(stacks);
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

  /// The sides whose largest is the smallest.
  static void better(std::vector<Stacks> sides, std::size_t all, std::vector<Stacks>& best) {
    const auto largest = [](const std::vector<Stacks>& of) { return of.empty() ? 0 : of.back().size(); };
    if (largest(sides) < (best.empty() ? all : largest(best))) best = std::move(sides);
  }

  /// Larger blocks bound better: the smallest go together as long as they may.
  static std::vector<Stacks> put_together(std::vector<Stacks> sides) {
    while (sides.size() > 2 && sides[0].size() + sides[1].size() <= kMostStacks) join_smallest(sides);
    return sides;
  }

  static void join_smallest(std::vector<Stacks>& sides) {
    sides[1].insert(sides[1].end(), sides[0].begin(), sides[0].end());
    std::sort(sides[1].begin(), sides[1].end());
    sides.erase(sides.begin());
    sort_by_size(sides);
  }

  static void sort_by_size(std::vector<Stacks>& sides) {
    std::stable_sort(sides.begin(), sides.end(),
                     [](const Stacks& a, const Stacks& b) { return a.size() < b.size(); });
  }

  /// Stacks that hang together without the parts; small sides together, or with the smallest of the others.
  std::vector<Stacks> sides_without(const std::vector<int>& parts, const Stacks& stacks) const {
    std::vector<std::size_t> side(stacks.size());
    std::iota(side.begin(), side.end(), std::size_t{0});
    std::vector<std::size_t> first_at(static_cast<std::size_t>(parts_of(stacks).back()) + 1, stacks.size());
    for (std::size_t i = 0; i < stacks.size(); ++i) {
      for (const int p : felt(stacks[i])) {
        std::size_t& first = first_at[static_cast<std::size_t>(p)];
        if (std::find(parts.begin(), parts.end(), p) != parts.end()) continue;
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
    sort_by_size(sides);
    while (sides.size() > 1 && sides.front().size() < kLeastStacks) join_smallest(sides);
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

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "level_oracle.h"

#include <algorithm>
#include <cassert>

namespace fairhole::detail {
namespace {

/// Every level of `low` at or below that of `high`.
bool at_or_below(const std::vector<int>& low, const std::vector<int>& high) {
  return std::equal(low.begin(), low.end(), high.begin(), [](int a, int b) { return a <= b; });
}

std::vector<std::size_t> support(const std::vector<SeatProof>& proofs) { return cut_of(proofs).stacks; }

}  // namespace

std::vector<int> held_levels(const SeatModel& model, const LevelTable& table,
                             const std::vector<SeatMove>& moves) {
  std::vector<int> levels;
  for (int s = 0; s < model.stacks(); ++s) {
    const std::vector<double>& radii = table.radius_mm[static_cast<std::size_t>(s)];
    const double found = model.clean_up(s, moves).radius_mm - kHoldsRadiusMm;
    levels.push_back(static_cast<int>(std::lower_bound(radii.begin(), radii.end(), found) - radii.begin()));
  }
  return levels;
}

LevelOracle::LevelOracle(const SeatModel& model, const LevelTable& table, const SeatEffort& effort)
    : model_(model), table_(table), effort_(effort) {
  keep(model.rest());
}

void LevelOracle::keep(const std::vector<SeatMove>& moves) {
  LevelRecord met{0.0, held_levels(model_, table_, moves), moves};
  met.cost = table_.cost_of(met.level);
  if (met.cost < record_.cost) record_ = met;
  for (const LevelRecord& other : seats_) {
    if (at_or_below(other.level, met.level)) return;
  }
  std::erase_if(seats_, [&](const LevelRecord& other) { return at_or_below(met.level, other.level); });
  seats_.push_back(std::move(met));
}

void LevelOracle::keep(LevelCut cut) {
  list_lowest(cut, table_);
  const auto fewer = [](const LevelCut& a, const LevelCut& b) { return a.stacks.size() < b.stacks.size(); };
  cuts_.insert(std::upper_bound(cuts_.begin(), cuts_.end(), cut, fewer), std::move(cut));
}

std::optional<Verdict> LevelOracle::recall(const std::vector<int>& levels) const {
  for (const LevelRecord& met : seats_) {
    if (at_or_below(met.level, levels)) return Verdict::kHold;
  }
  for (const LevelCut& cut : cuts_) {
    if (forbids(cut, table_, levels)) return Verdict::kFail;
  }
  return std::nullopt;
}

const LevelCut& LevelOracle::reason(const std::vector<int>& levels) const {
  const auto cut =
      std::find_if(cuts_.begin(), cuts_.end(), [&](const LevelCut& c) { return forbids(c, table_, levels); });
  assert(cut != cuts_.end());
  return *cut;
}

SeatFound LevelOracle::find(const std::vector<double>& limits, int boxes) {
  ++solved_;
  SeatAim aim;
  aim.enough_mm = kHoldsRadiusMm;
  aim.hopeless_mm = kHoldsRadiusMm;
  aim.gap_mm = 0.0;
  aim.boxes = boxes;
  SeatFound found = find_seats(model_, limits, aim);
  keep(found.moves);
  return found;
}

/// A reason with fewer stacks forbids more: each is left out in turn, the lightest first, and stays out if
/// the rest fails without it.
std::vector<SeatProof> LevelOracle::narrowed(std::vector<SeatProof> proofs, std::vector<double> limits) {
  constexpr int kFewBoxes = 20;
  const auto keep_only = [&limits](const std::vector<std::size_t>& stacks) {
    for (std::size_t s = 0; s < limits.size(); ++s) {
      if (std::find(stacks.begin(), stacks.end(), s) == stacks.end()) limits[s] = kNoLimit;
    }
  };
  std::vector<std::size_t> stacks = support(proofs);
  keep_only(stacks);
  const std::vector<double> weight = proofs.front().weight;
  std::stable_sort(stacks.begin(), stacks.end(),
                   [&](std::size_t a, std::size_t b) { return weight[a] < weight[b]; });
  for (const std::size_t s : stacks) {
    if (limits[s] == kNoLimit) continue;  // went with another
    std::vector<double> without = limits;
    without[s] = kNoLimit;
    SeatFound found = find(without, kFewBoxes);
    if (!(found.lower_mm > kHoldsRadiusMm)) continue;
    proofs = std::move(found.proofs);
    keep_only(support(proofs));
  }
  return proofs;
}

Verdict LevelOracle::ask(const std::vector<int>& levels) {
  if (const std::optional<Verdict> known = recall(levels)) return *known;
  const std::vector<double> limits = table_.limits(levels);
  SeatFound found = find(limits, effort_.turn_boxes);
  if (found.value_mm <= kHoldsRadiusMm) return Verdict::kHold;
  if (!(found.lower_mm > kHoldsRadiusMm)) return Verdict::kUnsure;
  LevelCut cut = cut_of(narrowed(std::move(found.proofs), limits));
  if (!forbids(cut, table_, levels)) return Verdict::kUnsure;  // decided by less than rounding
  keep(std::move(cut));
  return Verdict::kFail;
}

}  // namespace fairhole::detail

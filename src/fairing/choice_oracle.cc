// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_oracle.h"

#include <algorithm>
#include <cassert>

namespace fairhole::detail {
namespace {

constexpr int kFewBoxes = 10;  // for what is only to make a reason better
constexpr int kBoundBoxes = 30;

bool within(const OptionSet& inner, const OptionSet& outer) {
  return std::equal(inner.begin(), inner.end(), outer.begin(), [](char a, char b) { return a <= b; });
}

/// Weight of the proofs on each stack of the model, the heaviest of all of them.
std::vector<double> stack_weights(const SeatModel& model, const std::vector<SeatProof>& proofs) {
  std::vector<double> out(static_cast<std::size_t>(model.stacks()), 0.0);
  for (const SeatProof& proof : proofs) {
    for (std::size_t i = 0; i < proof.weight.size(); ++i) {
      double& weight = out[static_cast<std::size_t>(model.joint().discs[i].stack)];
      weight = std::max(weight, proof.weight[i]);
    }
  }
  return out;
}

void leave_out(const SeatModel& model, int stack, std::vector<double>& rooms) {
  const auto from = rooms.begin() + static_cast<std::ptrdiff_t>(model.first_disc(stack));
  std::fill_n(from, model.discs(stack).size(), kNoLimit);
}

/// Whether one centre gives every disc its room: one that did so for another option, else the best. Two discs
/// too far apart, or only two of them, need no circle.
bool fits(std::span<const SeatDisc> discs, const std::vector<Eigen::Vector2d>& centres,
          const std::vector<double>& rooms, std::vector<Eigen::Vector2d>& good) {
  int asked = 0;
  for (std::size_t i = 0; i < rooms.size(); ++i) {
    if (rooms[i] == kNoLimit) continue;
    ++asked;
    if (rooms[i] < -kHoldsRadiusMm) return false;
    for (std::size_t j = i + 1; j < rooms.size(); ++j) {
      const double most = rooms[i] + rooms[j] + 2.0 * kHoldsRadiusMm;
      if (most < kNoLimit && (centres[i] - centres[j]).squaredNorm() > most * most) return false;
    }
  }
  const auto does = [&](const Eigen::Vector2d& centre) {
    for (std::size_t i = 0; i < rooms.size(); ++i) {
      if ((centres[i] - centre).norm() > rooms[i] + kHoldsRadiusMm) return false;
    }
    return true;
  };
  if (const auto pin = pinning(discs, rooms)) return does(centres[*pin]);
  if (asked <= 2 || std::any_of(good.begin(), good.end(), does)) return true;
  const HeldCentre best = best_centre(centres, rooms);
  good.push_back(best.centre_mm);
  return best.excess_mm <= kHoldsRadiusMm;
}

}  // namespace

ChoiceOracle::ChoiceOracle(const std::vector<ChoicePiece>& pieces, const ChoiceTable& table)
    : pieces_(pieces), table_(table), seats_(pieces.size()) {
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    best_.push_back({OptionSet(table.options().size(), 0), pieces[p].model.rest()});
    record_.moves.push_back(best_.back().moves);
  }
  for (std::size_t p = 0; p < pieces.size(); ++p) offer(p, pieces[p].model.rest());
}

OptionSet ChoiceOracle::held_options(std::size_t piece, const std::vector<SeatMove>& moves) const {
  OptionSet held(table_.options().size(), 0);
  const ChoicePiece& own = pieces_[piece];
  std::vector<Eigen::Vector2d> centres, good;
  for (int s = 0; s < own.model.stacks(); ++s) {
    const std::size_t stack = own.stacks[static_cast<std::size_t>(s)];
    centres.clear();
    good.clear();
    for (const SeatDisc& disc : own.model.discs(s)) centres.push_back(centre_at(disc, moves));
    for (std::size_t o = table_.first(stack); o < table_.end(stack); ++o)
      held[o] = fits(own.model.discs(s), centres, table_.option(o).room_mm, good) ? 1 : 0;
  }
  return held;
}

/// Seats of all pieces together may better the record.
void ChoiceOracle::compare(const std::vector<const MetSeats*>& together) {
  ChoiceDomain held = table_.whole();
  std::fill(held.open.begin(), held.open.end(), 0);
  for (const MetSeats* own : together) {
    for (std::size_t i = 0; i < held.open.size(); ++i)
      held.open[i] = static_cast<char>(held.open[i] | own->held[i]);
  }
  Choice choice = table_.cheapest(held);
  if (!(choice.cost < record_.choice.cost)) return;
  std::vector<MetSeats> best;
  for (const MetSeats* own : together) best.push_back(*own);
  best_ = std::move(best);
  record_.choice = std::move(choice);
  for (std::size_t p = 0; p < best_.size(); ++p) record_.moves[p] = best_[p].moves;
}

void ChoiceOracle::offer(std::size_t piece, const std::vector<SeatMove>& moves) {
  MetSeats seats{held_options(piece, moves), moves};
  std::vector<const MetSeats*> together;
  for (const MetSeats& own : best_) together.push_back(&own);
  together[piece] = &seats;
  compare(together);
  for (const MetSeats& other : seats_[piece]) {
    if (within(seats.held, other.held)) return;
  }
  std::erase_if(seats_[piece], [&](const MetSeats& other) { return within(other.held, seats.held); });
  seats_[piece].push_back(std::move(seats));
}

void ChoiceOracle::keep(ChoiceCut cut) {
  if (!cut.listed) list_lowest(cut);
  const auto fewer = [](const ChoiceCut& a, const ChoiceCut& b) { return a.stacks.size() < b.stacks.size(); };
  cuts_.insert(std::upper_bound(cuts_.begin(), cuts_.end(), cut, fewer), std::move(cut));
}

/// Seats met before that hold an option of the set for each of the piece's stacks.
const ChoiceOracle::MetSeats* ChoiceOracle::met(std::size_t piece, const OptionSet& set) const {
  const auto holds = [&](const MetSeats& seats) {
    return std::all_of(pieces_[piece].stacks.begin(), pieces_[piece].stacks.end(), [&](std::size_t s) {
      for (std::size_t o = table_.first(s); o < table_.end(s); ++o) {
        if (set[o] != 0 && seats.held[o] != 0) return true;
      }
      return false;
    });
  };
  const auto found = std::find_if(seats_[piece].begin(), seats_[piece].end(), holds);
  return found == seats_[piece].end() ? nullptr : &*found;
}

const ChoiceCut& ChoiceOracle::reason(const OptionSet& set) const {
  const auto cut =
      std::find_if(cuts_.begin(), cuts_.end(), [&](const ChoiceCut& c) { return forbids(c, table_, set); });
  assert(cut != cuts_.end());
  return *cut;
}

std::vector<double> ChoiceOracle::rooms(std::size_t piece, const OptionSet& set) const {
  std::vector<double> rooms(pieces_[piece].model.joint().discs.size(), -kNoLimit);
  for (int s = 0; s < pieces_[piece].model.stacks(); ++s) {
    const std::size_t first = pieces_[piece].model.first_disc(s);
    const std::size_t stack = pieces_[piece].stacks[static_cast<std::size_t>(s)];
    for (std::size_t o = table_.first(stack); o < table_.end(stack); ++o) {
      const std::vector<double>& own = table_.option(o).room_mm;
      for (std::size_t d = 0; d < own.size() && set[o] != 0; ++d)
        rooms[first + d] = std::max(rooms[first + d], own[d]);
    }
  }
  return rooms;
}

SeatFound ChoiceOracle::find(std::size_t piece, const std::vector<double>& rooms, int boxes) {
  ++solved_;
  // A stack none of whose options is open: nothing to solve, and nothing learnt about the others.
  if (std::find(rooms.begin(), rooms.end(), -kNoLimit) != rooms.end()) return {};
  SeatAim aim;
  aim.enough_mm = kHoldsRadiusMm;
  aim.hopeless_mm = kHoldsRadiusMm;
  aim.gap_mm = 0.0;
  aim.boxes = boxes;
  SeatFound found = find_seats(pieces_[piece].model, rooms, aim);
  if (found.value_mm <= kHoldsRadiusMm || boxes > kFewBoxes) offer(piece, found.moves);
  return found;
}

/// A reason with fewer stacks forbids more: each is left out in turn, the lightest first, and stays out if
/// the rest fails without it.
std::vector<SeatProof> ChoiceOracle::narrowed(std::size_t piece, std::vector<SeatProof> proofs,
                                              std::vector<double> rooms) {
  const SeatModel& model = pieces_[piece].model;
  const std::vector<double> weight = stack_weights(model, {proofs.front()});
  std::vector<double> used = stack_weights(model, proofs);
  const auto keep_used = [&] {
    for (int s = 0; s < model.stacks(); ++s) {
      if (!(used[static_cast<std::size_t>(s)] > 0.0)) leave_out(model, s, rooms);
    }
  };
  keep_used();
  std::vector<int> stacks;
  for (int s = 0; s < model.stacks(); ++s) {
    if (used[static_cast<std::size_t>(s)] > 0.0) stacks.push_back(s);
  }
  std::stable_sort(stacks.begin(), stacks.end(), [&](int a, int b) {
    return weight[static_cast<std::size_t>(a)] < weight[static_cast<std::size_t>(b)];
  });
  std::size_t chunk = std::max<std::size_t>(1, stacks.size() / 4);  // many at a time while that works
  for (std::size_t at = 0; at < stacks.size();) {
    const std::size_t end = std::min(stacks.size(), at + chunk);
    std::vector<double> without = rooms;
    bool some = false;
    for (std::size_t i = at; i < end; ++i) {
      some = some || used[static_cast<std::size_t>(stacks[i])] > 0.0;  // else they went with others
      leave_out(model, stacks[i], without);
    }
    SeatFound found;
    if (some) found = find(piece, without, kFewBoxes);
    if (some && !(found.lower_mm > kHoldsRadiusMm)) {
      chunk == 1 ? ++at : chunk = std::max<std::size_t>(1, chunk / 2);
      continue;
    }
    at = end;
    if (!some) continue;
    proofs = std::move(found.proofs);
    used = stack_weights(model, proofs);
    keep_used();
  }
  return proofs;
}

Verdict ChoiceOracle::ask_piece(std::size_t piece, const OptionSet& set) {
  if (met(piece, set) != nullptr) return Verdict::kHold;
  const std::vector<double> room = rooms(piece, set);
  // Several options as one only raise a bound: a close call is not worth many boxes.
  const auto asked = static_cast<std::size_t>(std::count(set.begin(), set.end(), 1));
  const int boxes = pieces_[piece].turn_boxes;
  SeatFound found = find(piece, room, asked > table_.stacks() ? std::min(boxes, kBoundBoxes) : boxes);
  if (found.value_mm <= kHoldsRadiusMm) return Verdict::kHold;
  if (!(found.lower_mm > kHoldsRadiusMm)) return Verdict::kUnsure;
  ChoiceCut cut = cut_of(narrowed(piece, std::move(found.proofs), room),
                         {&pieces_[piece].model, pieces_[piece].stacks}, table_);
  if (!forbids(cut, table_, set)) return Verdict::kUnsure;  // decided by less than rounding
  keep(std::move(cut));
  return Verdict::kFail;
}

Verdict ChoiceOracle::ask(const OptionSet& set) {
  for (const ChoiceCut& cut : cuts_) {
    if (forbids(cut, table_, set)) return Verdict::kFail;
  }
  Verdict verdict = Verdict::kHold;
  for (std::size_t p = 0; p < pieces_.size(); ++p) {
    const Verdict own = ask_piece(p, set);
    if (own == Verdict::kFail) return own;
    if (own == Verdict::kUnsure) verdict = own;
  }
  std::vector<const MetSeats*> together;
  for (std::size_t p = 0; p < pieces_.size(); ++p) together.push_back(met(p, set));
  if (std::find(together.begin(), together.end(), nullptr) == together.end()) compare(together);
  return verdict;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_cuts.h"

#include <algorithm>

namespace fairhole::detail {
namespace {

/// A set's highest value in each row, kept up while options are added to it.
class Reach {
 public:
  explicit Reach(const ChoiceCut& cut)
      : cut_(cut), best_(cut.rows.size(), std::vector<double>(cut.stacks.size(), -kNoLimit)) {}

  void add(std::size_t i, std::size_t option) {
    for (std::size_t r = 0; r < best_.size(); ++r)
      best_[r][i] = std::max(best_[r][i], cut_.rows[r].value[i][option]);
  }
  bool forbidden() const {
    for (std::size_t r = 0; r < best_.size(); ++r) {
      double excess = cut_.rows[r].floor_mm;
      for (std::size_t i = 0; i < best_[r].size(); ++i) excess -= best_[r][i];
      if (!(excess > kHoldsRadiusMm)) return false;
    }
    return true;
  }
  /// Adds the option if the cut still forbids after that.
  bool try_to_add(std::size_t i, std::size_t option) {
    const std::vector<std::vector<double>> before = best_;
    add(i, option);
    if (forbidden()) return true;
    best_ = before;
    return false;
  }
  bool covers(std::size_t i, std::size_t option) const {
    for (std::size_t r = 0; r < best_.size(); ++r) {
      if (cut_.rows[r].value[i][option] > best_[r][i]) return false;
    }
    return true;
  }

 private:
  const ChoiceCut& cut_;
  std::vector<std::vector<double>> best_;
};

ChoiceCut::Classes classes_of(const ChoiceCut& cut, std::size_t i) {
  ChoiceCut::Classes out;
  std::vector<std::size_t> first;  // an option of each class
  const auto below = [&](std::size_t a, std::size_t b) {
    return std::all_of(cut.rows.begin(), cut.rows.end(),
                       [&](const ChoiceCut::Row& row) { return row.value[i][a] <= row.value[i][b]; });
  };
  const std::size_t options = cut.rows.front().value[i].size();
  for (std::size_t o = 0; o < options; ++o) {
    std::size_t c = 0;
    while (c < first.size() && !(below(o, first[c]) && below(first[c], o))) ++c;
    if (c == first.size()) first.push_back(o);
    out.of_option.push_back(c);
  }
  for (const std::size_t a : first) {
    std::vector<char>& row = out.at_or_below.emplace_back();
    for (const std::size_t b : first) row.push_back(below(a, b) ? 1 : 0);
  }
  return out;
}

}  // namespace

ChoiceCut cut_of(std::span<const SeatProof> proofs, const ProofDiscs& discs, const ChoiceTable& table) {
  ChoiceCut cut;
  std::vector<int> used;  // stacks of the model
  const SeatModel& model = *discs.model;
  for (int s = 0; s < model.stacks(); ++s) {
    const std::size_t from = model.first_disc(s), to = from + model.discs(s).size();
    const bool weighs = std::any_of(proofs.begin(), proofs.end(), [&](const SeatProof& proof) {
      for (std::size_t i = from; i < to; ++i) {
        if (proof.weight[i] > 0.0) return true;
      }
      return false;
    });
    if (!weighs) continue;
    used.push_back(s);
    cut.stacks.push_back(discs.stack[static_cast<std::size_t>(s)]);
  }
  for (const SeatProof& proof : proofs) {
    ChoiceCut::Row& row = cut.rows.emplace_back();
    row.floor_mm = proof.floor_mm;
    for (std::size_t i = 0; i < used.size(); ++i) {
      std::vector<double>& values = row.value.emplace_back();
      const std::size_t from = model.first_disc(used[i]);
      for (std::size_t o = table.first(cut.stacks[i]); o < table.end(cut.stacks[i]); ++o) {
        const std::vector<double>& room = table.option(o).room_mm;
        double value = 0.0;
        for (std::size_t d = 0; d < room.size(); ++d) {
          if (proof.weight[from + d] > 0.0) value += proof.weight[from + d] * room[d];
        }
        values.push_back(value);
      }
    }
  }
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) cut.classes.push_back(classes_of(cut, i));
  return cut;
}

bool forbids(const ChoiceCut& cut, const ChoiceTable& table, const OptionSet& set) {
  return std::all_of(cut.rows.begin(), cut.rows.end(), [&](const ChoiceCut::Row& row) {
    double excess = row.floor_mm;
    for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
      const std::size_t first = table.first(cut.stacks[i]);
      double best = -kNoLimit;
      for (std::size_t o = 0; o < row.value[i].size(); ++o) {
        if (set[first + o] != 0) best = std::max(best, row.value[i][o]);
      }
      excess -= best;
    }
    return excess > kHoldsRadiusMm;
  });
}

std::vector<ChoiceLiteral> clause_of(const ChoiceCut& cut, const ChoiceTable& table,
                                     std::span<const double> price) {
  struct Side {
    std::vector<std::size_t> by_price;  // open options, within the stack
    std::size_t next = 0;
    bool final = false;
  };
  Reach held(cut);  // by these options the cut still forbids
  std::vector<Side> sides;
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const std::size_t first = table.first(cut.stacks[i]);
    Side& side = sides.emplace_back();
    for (std::size_t o = 0; o < cut.rows.front().value[i].size(); ++o) {
      if (price[first + o] < kNoLimit) side.by_price.push_back(o);
    }
    std::stable_sort(side.by_price.begin(), side.by_price.end(),
                     [&](std::size_t a, std::size_t b) { return price[first + a] < price[first + b]; });
    if (!side.by_price.empty()) held.add(i, side.by_price.front());
  }
  for (;;) {  // widen at the cheapest literal while that is possible: it alone decides what the clause is
              // worth
    std::size_t cheapest = sides.size();
    double least = kNoLimit;
    for (std::size_t i = 0; i < sides.size(); ++i) {
      Side& side = sides[i];
      while (side.next < side.by_price.size() && held.covers(i, side.by_price[side.next])) ++side.next;
      if (side.final || side.next == side.by_price.size()) continue;
      const double p = price[table.first(cut.stacks[i]) + side.by_price[side.next]];
      if (p - price[table.first(cut.stacks[i]) + side.by_price[0]] < least)
        least = p - price[table.first(cut.stacks[i]) + side.by_price[0]], cheapest = i;
    }
    if (cheapest == sides.size()) break;
    Side& side = sides[cheapest];
    if (!held.try_to_add(cheapest, side.by_price[side.next])) side.final = true;
  }
  std::vector<ChoiceLiteral> clause;
  for (std::size_t i = 0; i < sides.size(); ++i) {
    const std::size_t first = table.first(cut.stacks[i]);
    ChoiceLiteral literal{i, cut.stacks[i], {}, kNoLimit};
    for (const std::size_t o : sides[i].by_price) {
      if (held.covers(i, o)) continue;
      literal.options.push_back(first + o);
      literal.price = std::min(literal.price, price[first + o] - price[first + sides[i].by_price[0]]);
    }
    if (!literal.options.empty()) clause.push_back(std::move(literal));
  }
  std::stable_sort(clause.begin(), clause.end(),
                   [](const ChoiceLiteral& a, const ChoiceLiteral& b) { return a.price < b.price; });
  return clause;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "choice_cuts.h"

namespace fairhole::detail {
namespace {

constexpr double kNothing = 1e-9;  // of a price

}  // namespace

ChoiceBound::ChoiceBound(const ChoiceTable& table, const ChoiceDomain& domain)
    : table_(table), sum_(table.groups()) {
  for (std::size_t g = 0; g < table.groups(); ++g) {
    for (int k = 0; k < table.sizes(g); ++k)
      sum_[g].push_back(domain.usual[table.usual_at(g, k)] != 0 ? 0.0 : kNoLimit);
  }
  for (std::size_t s = 0; s < table.stacks(); ++s) {
    const bool alone = table.group(s) < 0;
    account_.push_back(alone ? sum_.size() : static_cast<std::size_t>(table.group(s)));
    if (alone) sum_.push_back({0.0});
  }
  sized_.assign(sum_.size(), 0);
  for (const TableOption& option : table.options()) {
    if (option.size >= 0) sized_[account_[static_cast<std::size_t>(option.stack)]] = 1;
  }
  for (std::size_t s = 0; s < table.stacks(); ++s) begin_stack(s, domain);
  for (const std::vector<double>& sums : sum_)
    least_.push_back(sums.empty() ? 0.0 : *std::min_element(sums.begin(), sums.end()));
}

void ChoiceBound::begin_stack(std::size_t stack, const ChoiceDomain& domain) {
  for (std::size_t o = table_.first(stack); o < table_.end(stack); ++o) {
    const TableOption& option = table_.option(o);
    at_.push_back(left_.size());
    for (std::size_t u = 0; u < sums(stack); ++u) {
      const bool odd = option.size >= 0 && static_cast<std::size_t>(option.size) != u;
      left_.push_back(domain.open[o] == 0 ? kNoLimit : option.cost + (odd ? table_.odd_cost() : 0.0));
    }
  }
  carry(stack);
}

/// Moves what every option of the stack costs at least into the sums.
void ChoiceBound::carry(std::size_t stack) {
  std::vector<double>& sums = sum_[account_[stack]];
  for (std::size_t u = 0; u < sums.size(); ++u) {
    double least = kNoLimit;
    for (std::size_t o = table_.first(stack); o < table_.end(stack); ++o) least = std::min(least, left(o, u));
    sums[u] += least;
    if (least == kNoLimit) continue;
    for (std::size_t o = table_.first(stack); o < table_.end(stack); ++o) left(o, u) -= least;
  }
}

double ChoiceBound::value() const {
  double sum = charged_;
  for (const double least : least_) sum += least;
  return sum;
}

/// What an option may be charged: with the cheapest usual size what it has left; with a dearer one also its
/// share of the difference.
double ChoiceBound::price(std::size_t option, double share) const {
  const std::size_t account = account_[static_cast<std::size_t>(table_.option(option).stack)];
  const std::vector<double>& sums = sum_[account];
  double least = kNoLimit;
  for (std::size_t u = 0; u < sums.size(); ++u)
    least = std::min(least, left(option, u) + (sums[u] - least_[account]) * share);
  return least;
}

ChoiceBound::Charges ChoiceBound::prices_for(const ChoiceCut& cut) const {
  Charges out;
  for (const std::size_t s : cut.stacks) {
    const auto sharing = std::count_if(cut.stacks.begin(), cut.stacks.end(),
                                       [&](std::size_t other) { return account_[other] == account_[s]; });
    std::vector<double>& own = out.emplace_back();
    for (std::size_t o = table_.first(s); o < table_.end(s); ++o)
      own.push_back(price(o, 1.0 / static_cast<double>(sharing)));
  }
  return out;
}

/// Of each class the cheapest open option at or above it: charges that never fall as options get roomier, so
/// that the lowest choices stand for all that are allowed.
double ChoiceBound::charges_listed(const ChoiceCut& cut, Charges& charges) const {
  const std::size_t size = cut.stacks.size();
  Charges charge;
  for (std::size_t i = 0; i < size; ++i) {
    const ChoiceCut::Classes& classes = cut.classes[i];
    std::vector<double>& own = charge.emplace_back(classes.at_or_below.size(), kNoLimit);
    for (std::size_t o = 0; o < classes.of_option.size(); ++o) {
      if (charges[i][o] == kNoLimit) continue;
      for (std::size_t a = 0; a < own.size(); ++a) {
        if (classes.at_or_below[a][classes.of_option[o]] != 0) own[a] = std::min(own[a], charges[i][o]);
      }
    }
  }
  const auto paid = [&](std::size_t c) {
    double sum = 0.0;
    for (std::size_t i = 0; i < size; ++i) sum += charge[i][cut.lowest[c + i]];
    return sum;
  };
  double least = kNoLimit;
  for (std::size_t c = 0; c < cut.lowest.size(); c += size) least = std::min(least, paid(c));
  if (least == kNoLimit || !(least > kNothing)) return least;
  for (std::size_t i = 0; i < size; ++i) {  // each in turn pays no more than the others leave open
    std::vector<double> needed(charge[i].size(), 0.0);
    for (std::size_t c = 0; c < cut.lowest.size(); c += size) {
      const double all = paid(c);
      const std::size_t k = cut.lowest[c + i];
      if (all < kNoLimit) needed[k] = std::max(needed[k], least - (all - charge[i][k]));
    }
    for (std::size_t k = 0; k < needed.size(); ++k) {
      double most = 0.0;
      for (std::size_t a = 0; a < needed.size(); ++a) {
        if (cut.classes[i].at_or_below[a][k] != 0) most = std::max(most, needed[a]);
      }
      if (charge[i][k] < kNoLimit) charge[i][k] = std::min(charge[i][k], most);
    }
    for (std::size_t o = 0; o < charges[i].size(); ++o)
      charges[i][o] = std::min(charges[i][o], charge[i][cut.classes[i].of_option[o]]);
  }
  return least;
}

/// The same for a cut of many stacks: each literal of its clause pays the cheapest one's price.
double ChoiceBound::charges_clause(const ChoiceCut& cut, Charges& charges) const {
  std::vector<double> price(table_.options().size(), kNoLimit);
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const auto to = price.begin() + static_cast<std::ptrdiff_t>(table_.first(cut.stacks[i]));
    std::copy(charges[i].begin(), charges[i].end(), to);
    std::fill(charges[i].begin(), charges[i].end(), 0.0);
  }
  const std::vector<ChoiceLiteral> clause = clause_of(cut, table_, price);
  const double least = clause.empty() ? kNoLimit : clause.front().price;
  for (const ChoiceLiteral& literal : clause) {
    for (const std::size_t o : literal.options) charges[literal.at][o - table_.first(literal.stack)] = least;
  }
  return least;
}

/// Costs nothing more with a usual size that is as cheap as any.
bool ChoiceBound::is_paid(std::size_t option) const {
  const std::size_t account = account_[static_cast<std::size_t>(table_.option(option).stack)];
  const std::vector<double>& sums = sum_[account];
  for (std::size_t u = 0; u < sums.size(); ++u) {
    if (sums[u] <= least_[account] && left(option, u) <= kNothing) return true;
  }
  return false;
}

/// What is paid for may meet the cut.
bool ChoiceBound::idle(const ChoiceCut& cut) const {
  std::vector<double> excess;
  for (const ChoiceCut::Row& row : cut.rows) excess.push_back(row.floor_mm);
  std::vector<double> best(cut.rows.size());
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const std::size_t first = table_.first(cut.stacks[i]), end = table_.end(cut.stacks[i]);
    std::fill(best.begin(), best.end(), -kNoLimit);
    for (std::size_t o = first; o < end; ++o) {
      if (!is_paid(o)) continue;
      for (std::size_t r = 0; r < best.size(); ++r)
        best[r] = std::max(best[r], cut.rows[r].value[i][o - first]);
    }
    for (std::size_t r = 0; r < best.size(); ++r) excess[r] -= best[r];
  }
  return std::any_of(excess.begin(), excess.end(), [](double e) { return !(e > kHoldsRadiusMm); });
}

void ChoiceBound::charge(const ChoiceCut& cut) {
  if (value() == kNoLimit) return;
  if (idle(cut)) return;
  Charges charges = prices_for(cut);
  const double least = cut.listed ? charges_listed(cut, charges) : charges_clause(cut, charges);
  if (!(least > kNothing)) return;
  charged_ += least;
  if (least < kNoLimit) take(cut, charges);
}

/// Takes the charges off what is left.
void ChoiceBound::take(const ChoiceCut& cut, const Charges& charges) {
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const std::size_t s = cut.stacks[i];
    for (std::size_t o = table_.first(s); o < table_.end(s); ++o) {
      const double charge = charges[i][o - table_.first(s)];
      if (charge == kNoLimit) continue;  // not open
      for (std::size_t u = 0; u < sums(s); ++u) left(o, u) -= charge;
    }
    carry(s);
  }
  for (const std::size_t s : cut.stacks) {
    const std::vector<double>& sums = sum_[account_[s]];
    least_[account_[s]] = *std::min_element(sums.begin(), sums.end());
  }
}

void ChoiceBound::charge_all(std::span<const ChoiceCut> cuts) {
  for (const ChoiceCut& cut : cuts) charge(cut);
}

std::vector<double> ChoiceBound::prices() const {
  std::vector<double> out;
  for (std::size_t o = 0; o < table_.options().size(); ++o) out.push_back(price(o, 1.0));
  return out;
}

OptionSet ChoiceBound::paid() const {
  OptionSet set;
  for (std::size_t o = 0; o < table_.options().size(); ++o)
    set.push_back(price(o, 1.0 / static_cast<double>(table_.stacks())) <= kNothing ? 1 : 0);
  return set;
}

std::optional<ChoiceBound::Tie> ChoiceBound::tied_group() const {
  for (std::size_t g = 0; g < table_.groups(); ++g) {
    if (sized_[g] == 0) continue;  // its usual size is nobody's
    const double near = least_[g] + kNothing * (1.0 + std::abs(least_[g]));
    const auto count = std::count_if(sum_[g].begin(), sum_[g].end(), [&](double sum) { return sum <= near; });
    if (count < 2) continue;
    const auto first = std::find_if(sum_[g].begin(), sum_[g].end(), [&](double sum) { return sum <= near; });
    return Tie{g, static_cast<int>(first - sum_[g].begin())};
  }
  return std::nullopt;
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "level_search.h"

#include <algorithm>

namespace fairhole::detail {
namespace {

/// Levels not yet decided.
struct LevelNode {
  LevelBox box;
  double bound = 0.0;
  int serial = 0;
};

class LevelSearch {
 public:
  LevelSearch(const SeatModel& model, const LevelTable& table, const SeatEffort& effort)
      : table_(table), effort_(effort), oracle_(model, table, effort) {}
  LevelSearchResult run();

 private:
  bool worth_a_look(double bound) const;
  void push(LevelNode node);
  LevelNode pop();
  double raised_bound(const LevelBox& box);
  void expand(LevelNode node);
  void branch(const LevelNode& node, const LevelCut& cut);
  LevelSearchResult outcome() const;
  void choose_among_equals(LevelSearchResult& out);
  LevelNode root() const;

  const LevelTable& table_;
  SeatEffort effort_;
  LevelOracle oracle_;
  std::vector<LevelNode> open_;
  int serial_ = 0;
  int expanded_ = 0;
  double unsure_bound_ = kNoLimit;  ///< of the nodes given up
  bool for_ties_ = false;           ///< equal costs are worth a look too
};

/// Costs this close are the same.
double slack_of(double cost) { return 1e-9 * (1.0 + cost); }

bool LevelSearch::worth_a_look(double bound) const {
  const double best = oracle_.record().cost;
  return for_ties_ ? bound <= best + slack_of(best) : bound < best - slack_of(best);
}

bool later(const LevelNode& a, const LevelNode& b) {
  return a.bound != b.bound ? a.bound > b.bound : a.serial < b.serial;
}

void LevelSearch::push(LevelNode node) {
  node.bound = std::max(node.bound, table_.cost_of(node.box.least));
  if (!worth_a_look(node.bound)) return;
  node.serial = serial_++;
  open_.push_back(std::move(node));
  std::push_heap(open_.begin(), open_.end(), later);
}

LevelNode LevelSearch::pop() {
  std::pop_heap(open_.begin(), open_.end(), later);
  LevelNode node = std::move(open_.back());
  open_.pop_back();
  return node;
}

/// Bounds a box by all cuts known, and by new ones as long as what is paid for does not hold.
double LevelSearch::raised_bound(const LevelBox& box) {
  LevelBound bound(table_, box);
  bound.charge_all(oracle_.cuts());
  while (worth_a_look(bound.value()) && oracle_.solved() < effort_.level_nodes) {
    const std::vector<int> paid = bound.paid_levels();
    if (oracle_.ask(paid) != Verdict::kFail) break;
    const double before = bound.value();
    bound.charge(oracle_.reason(paid));
    if (!(bound.value() > before)) break;
  }
  return bound.value();
}

/// One child a literal: it is true, those before it are false.
void LevelSearch::branch(const LevelNode& node, const LevelCut& cut) {
  LevelNode rest = node;
  for (const LevelLiteral& literal : clause_of(cut, table_, node.box, level_prices(table_, node.box))) {
    LevelNode child = rest;
    child.box.least[literal.stack] = literal.level;
    push(std::move(child));
    rest.box.most[literal.stack] = literal.level - 1;
  }
}

void LevelSearch::expand(LevelNode node) {
  ++expanded_;
  const Verdict verdict = oracle_.ask(node.box.least);
  if (verdict == Verdict::kUnsure) unsure_bound_ = std::min(unsure_bound_, node.bound);
  if (verdict != Verdict::kFail) return;
  // Of the cuts in the way the one that costs most for each way out it leaves.
  const LevelCut* hardest = nullptr;
  double most = -1.0;
  const LevelPrices prices = level_prices(table_, node.box);
  for (const LevelCut& cut : oracle_.cuts()) {
    if (!forbids(cut, table_, node.box.least)) continue;
    const std::vector<LevelLiteral> clause = clause_of(cut, table_, node.box, prices);
    if (clause.empty()) return;  // no way out
    double least = kNoLimit;
    for (const LevelLiteral& literal : clause) least = std::min(least, price(prices, literal, node.box));
    const double worth = least / static_cast<double>(clause.size());
    if (worth > most) most = worth, hardest = &cut;
  }
  branch(node, *hardest);
}

LevelNode LevelSearch::root() const {
  LevelNode node;
  node.box.least.assign(table_.stacks(), 0);
  for (std::size_t s = 0; s < table_.stacks(); ++s) node.box.most.push_back(table_.last(s));
  return node;
}

LevelSearchResult LevelSearch::outcome() const {
  LevelSearchResult out;
  out.best = oracle_.record();
  out.solved = oracle_.solved();
  out.bound = std::min(out.best.cost, unsure_bound_);
  for (const LevelNode& node : open_) out.bound = std::min(out.bound, node.bound);
  out.seats = settle(oracle_.model(), table_.limits(out.best.level), out.best.moves);
  return out;
}

/// Other choices of the least cost, as many as effort allows, for the smallest worst misfit.
void LevelSearch::choose_among_equals(LevelSearchResult& out) {
  constexpr int kNodesATie = 20;
  for_ties_ = true;
  open_.clear();
  push(root());
  int settled = 0;
  for (int looked = 0;
       !open_.empty() && settled < effort_.tie_nodes && looked < kNodesATie * effort_.tie_nodes; ++looked) {
    LevelNode node = pop();
    LevelBound bound(table_, node.box);
    bound.charge_all(oracle_.cuts());
    if (!worth_a_look(bound.value())) continue;
    const std::vector<int> level = node.box.least;
    if (oracle_.ask(level) == Verdict::kFail) {
      expand(std::move(node));
    } else if (table_.cost_of(level) <= out.best.cost + slack_of(out.best.cost)) {
      ++settled;
      HeldSeats seats = settle(oracle_.model(), table_.limits(level), out.best.moves);
      constexpr double kSmallerMm = 1e-6;
      if (seats.margin_mm < -kHoldsWithinMm || seats.misfit_mm > out.seats.misfit_mm - kSmallerMm) continue;
      out.best.level = level;
      out.seats = std::move(seats);
    }
  }
}

LevelSearchResult LevelSearch::run() {
  find_first_levels(oracle_, effort_.level_nodes / 8);
  LevelNode first = root();
  first.bound = raised_bound(first.box);
  push(std::move(first));
  improve_levels(oracle_, oracle_.solved() + effort_.level_nodes / 8);
  double improved = oracle_.record().cost;
  constexpr int kNodesASolve = 50;
  while (!open_.empty() && oracle_.solved() < effort_.level_nodes &&
         expanded_ < kNodesASolve * effort_.level_nodes) {
    LevelNode node = pop();
    if (!worth_a_look(node.bound)) continue;
    const double bound = raised_bound(node.box);
    if (bound > node.bound +
                    slack_of(bound)) {  // bounds are found only when a node's turn comes; others may go first
      node.bound = bound;
      push(std::move(node));
      continue;
    }
    expand(std::move(node));
    if (oracle_.record().cost < improved - slack_of(improved)) {
      improve_levels(oracle_, oracle_.solved() + effort_.level_nodes / 20);
      improved = oracle_.record().cost;
    }
  }
  LevelSearchResult out = outcome();
  if (out.bound >= out.best.cost) choose_among_equals(out);
  return out;
}

}  // namespace

LevelSearchResult search_levels(const SeatModel& model, const LevelTable& table, const SeatEffort& effort) {
  return LevelSearch(model, table, effort).run();
}

}  // namespace fairhole::detail

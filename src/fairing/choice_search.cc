// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "choice_search.h"

#include <algorithm>

namespace fairhole::detail {

bool ChoiceSearch::worth_a_look(double bound) const {
  if (bound == kNoLimit) return false;
  if (limit_) return bound < *limit_;
  const double best = oracle_.record().choice.cost;
  if (best == kNoLimit) return true;
  return bound < best - slack_of(best);
}

bool ChoiceSearch::later(const Node& a, const Node& b) {
  return a.bound != b.bound ? a.bound > b.bound : a.serial < b.serial;
}

void ChoiceSearch::push(Node node) {
  node.bound = std::max(node.bound, ChoiceBound(table_, node.domain).value());
  if (!worth_a_look(node.bound)) return;
  node.serial = serial_++;
  open_.push_back(std::move(node));
  std::push_heap(open_.begin(), open_.end(), later);
}

ChoiceSearch::Node ChoiceSearch::pop() {
  std::pop_heap(open_.begin(), open_.end(), later);
  Node node = std::move(open_.back());
  open_.pop_back();
  return node;
}

double ChoiceSearch::least_open() const {
  double least = kNoLimit;
  for (const Node& node : open_) least = std::min(least, node.bound);
  return least;
}

ChoiceBound ChoiceSearch::bound_by_cuts(const ChoiceDomain& domain) const {
  ChoiceBound bound(table_, domain);
  bound.charge_all(oracle_.cuts());
  return bound;
}

/// Bounds a domain by all cuts known, and by new ones as long as what is paid for does not hold.
ChoiceBound ChoiceSearch::raised_bound(const ChoiceDomain& domain) {
  ChoiceBound bound = bound_by_cuts(domain);
  while (worth_a_look(bound.value()) && oracle_.solved() < effort_.level_nodes) {
    const OptionSet paid = bound.paid();
    if (oracle_.ask(paid) != Verdict::kFail) break;
    const double before = bound.value();
    bound.charge(oracle_.reason(paid));
    if (!(bound.value() > before)) break;
  }
  return bound;
}

/// Bounds are found only when a node's turn comes; then others may go first.
bool ChoiceSearch::goes_first(Node& node, double bound) {
  node.bound = std::max(node.bound, bound);
  if (!worth_a_look(node.bound)) return false;
  if (open_.empty() || node.bound <= open_.front().bound + slack_of(node.bound)) return true;
  push(std::move(node));
  return false;
}

/// Two children, this usual size or another one, for a group where usual sizes are tied.
void ChoiceSearch::branch_on_usual(const Node& node, const ChoiceBound::Tie& tie) {
  Node is = node, other = node;
  for (int k = 0; k < table_.sizes(tie.group); ++k)
    is.domain.usual[table_.usual_at(tie.group, k)] = k == tie.size;
  other.domain.usual[table_.usual_at(tie.group, tie.size)] = 0;
  push(std::move(is));
  push(std::move(other));
}

/// One child a literal: it is true, those before it are false.
void ChoiceSearch::branch(const Node& node, const ChoiceCut& cut) {
  Node rest = node;
  for (const ChoiceLiteral& literal : clause_of(cut, table_, ChoiceBound(table_, node.domain).prices())) {
    Node child = rest;
    for (std::size_t o = table_.first(literal.stack); o < table_.end(literal.stack); ++o)
      child.domain.open[o] = 0;
    for (const std::size_t o : literal.options) child.domain.open[o] = 1, rest.domain.open[o] = 0;
    push(std::move(child));
  }
}

void ChoiceSearch::expand(const Node& node, const ChoiceBound& bound) {
  ++expanded_;
  const OptionSet cheapest = table_.only(table_.cheapest(node.domain).option);
  const Verdict verdict = oracle_.ask(cheapest);
  if (verdict == Verdict::kUnsure) unsure_bound_ = std::min(unsure_bound_, node.bound);
  if (verdict != Verdict::kFail) return;
  if (const std::optional<ChoiceBound::Tie> tie = bound.tied_group()) return branch_on_usual(node, *tie);
  const std::vector<double> prices = ChoiceBound(table_, node.domain).prices();
  // Of the cuts in the way the one that costs most for each way out it leaves.
  const ChoiceCut* hardest = nullptr;
  double most = -1.0;
  for (const ChoiceCut& cut : oracle_.cuts()) {
    if (!forbids(cut, table_, cheapest)) continue;
    const std::vector<ChoiceLiteral> clause = clause_of(cut, table_, prices);
    if (clause.empty()) return;  // no way out
    const double worth = clause.front().price / static_cast<double>(clause.size());
    if (worth > most) most = worth, hardest = &cut;
  }
  branch(node, *hardest);
}

ChoiceSearch::Node ChoiceSearch::root() const {
  Node node;
  node.domain = table_.whole();
  return node;
}

std::vector<HeldSeats> ChoiceSearch::settled(const Choice& choice) const {
  std::vector<HeldSeats> out;
  const OptionSet set = table_.only(choice.option);
  for (std::size_t p = 0; p < task_.pieces.size(); ++p) {
    out.push_back(
        settle(task_.pieces[p].model, oracle_.rooms(p, set), oracle_.record().moves[p], task_.rest[p]));
  }
  return out;
}

ChoiceSearchResult ChoiceSearch::outcome() const {
  ChoiceSearchResult out;
  out.best = oracle_.record().choice;
  out.solved = oracle_.solved();
  out.bound = std::min({out.best.cost, unsure_bound_, least_open()});
  if (!worth_a_look(out.bound)) out.bound = out.best.cost;
  if (!out.best.option.empty()) {
    out.seats = settled(out.best);
  } else if (out.bound == kNoLimit) {
    out.conflict = conflicting_stacks(oracle_.cuts(), table_);
  }
  return out;
}

/// Best bound first, until nothing open is worth a look or the work is done.
void ChoiceSearch::explore(int most_solved, int most_expanded) {
  while (!open_.empty() && oracle_.solved() < most_solved && expanded_ < most_expanded) {
    Node node = pop();
    if (!worth_a_look(node.bound)) continue;
    const ChoiceBound bound = raised_bound(node.domain);
    if (!goes_first(node, bound.value())) continue;
    const double before = oracle_.record().choice.cost;
    expand(node, bound);
    if (!around_ && oracle_.record().choice.cost < before - slack_of(oracle_.record().choice.cost)) {
      improve_choice(oracle_, oracle_.solved() + effort_.level_nodes / 20);
      better_around(effort_.level_nodes / 10);
    }
  }
}

/// The record's choice with the stacks of one part open again.
ChoiceDomain ChoiceSearch::around(std::size_t piece, int part) const {
  ChoiceDomain domain = table_.whole();
  const SeatModel& model = task_.pieces[piece].model;
  std::vector<char> free(table_.stacks(), 0);
  for (const SeatDisc& disc : model.joint().discs) {
    for (const SeatFollow& follow : disc.follows) {
      if (follow.part == part) free[task_.pieces[piece].stacks[static_cast<std::size_t>(disc.stack)]] = 1;
    }
  }
  for (std::size_t s = 0; s < table_.stacks(); ++s) {
    for (std::size_t o = table_.first(s); o < table_.end(s) && free[s] == 0; ++o)
      domain.open[o] = o == oracle_.record().choice.option[s] ? 1 : 0;
  }
  return domain;
}

/// Solves the choice again with the stacks of one part open and all others as in the record, part after part,
/// until none betters it.
void ChoiceSearch::better_around(int most) {
  constexpr int kSetsAPart = 200, kNodesAPart = 100;
  if (oracle_.record().choice.option.empty()) return;
  const int most_solved = std::min(effort_.level_nodes, oracle_.solved() + most);
  const double unsure = unsure_bound_;
  const int expanded = expanded_;
  std::vector<Node> others = std::move(open_);
  around_ = true;
  for (double before = kNoLimit; oracle_.record().choice.cost < before && oracle_.solved() < most_solved;) {
    before = oracle_.record().choice.cost;
    for (std::size_t p = 0; p < task_.pieces.size(); ++p) {
      for (int part = 0; part < static_cast<int>(task_.pieces[p].model.joint().parts.size()); ++part) {
        if (task_.pieces[p].model.is_centre(part)) continue;
        open_.clear();
        Node node;
        node.domain = around(p, part);
        push(std::move(node));
        explore(std::min(most_solved, oracle_.solved() + kSetsAPart), expanded_ + kNodesAPart);
      }
    }
  }
  around_ = false;
  open_ = std::move(others);
  unsure_bound_ = unsure;
  expanded_ = expanded;
}

ChoiceSearch::Least ChoiceSearch::least_in(const ChoiceDomain& domain, double limit) {
  constexpr int kMostLooks = 5000;
  Least least;
  limit_ = limit;
  unsure_bound_ = kNoLimit;
  open_.clear();
  push({domain, 0.0, 0});
  for (int looked = 0; !open_.empty() && looked < kMostLooks && oracle_.solved() < effort_.level_nodes;
       ++looked) {
    Node node = pop();
    const ChoiceBound bound = raised_bound(node.domain);
    if (!goes_first(node, bound.value())) continue;
    // What holds as cheaply as nothing open can is the answer.
    Choice cheapest = table_.cheapest(node.domain);
    if (oracle_.ask(table_.only(cheapest.option)) == Verdict::kHold) {
      least.bound = node.bound;
      least.choice = std::move(cheapest);
      break;
    }
    expand(node, bound);
  }
  least.bound = std::min({least.choice ? least.bound : limit, least_open(), unsure_bound_});
  limit_.reset();
  open_.clear();
  return least;
}

void ChoiceSearch::offer_first_moves() {
  for (std::size_t p = 0; p < task_.first_moves.size(); ++p) {
    if (!task_.first_moves[p].empty()) oracle_.offer(p, task_.first_moves[p]);
  }
}

ChoiceSearchResult ChoiceSearch::run() {
  offer_first_moves();
  find_first_choice(oracle_, effort_.level_nodes / 8);
  ChoiceSearchResult out = prove(0.0);
  if (!out.best.option.empty() && out.bound >= out.best.cost) choose_among_equals(out);
  return out;
}

void ChoiceSearch::better_record() {
  improve_choice(oracle_, oracle_.solved() + effort_.level_nodes / 8);
  better_around(effort_.level_nodes / 16);
}

ChoiceSearchResult ChoiceSearch::prove(double floor) {
  Node first = root();
  first.bound = floor;
  if (worth_a_look(floor)) first.bound = std::max(floor, raised_bound(first.domain).value());
  push(std::move(first));
  if (!open_.empty()) better_record();
  constexpr int kNodesASolve = 50;
  explore(effort_.level_nodes, kNodesASolve * effort_.level_nodes);
  return outcome();
}

}  // namespace fairhole::detail

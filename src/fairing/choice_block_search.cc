// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_block_tree.h"

namespace fairhole::detail {
namespace {

using Least = ChoiceSearch::Least;

double sum_of(const std::vector<Least>& least) {
  double sum = 0.0;
  for (const Least& own : least) sum += own.bound;
  return sum;
}

}  // namespace

BlockPart::BlockPart(const ChoiceBlock& block, const ChoiceTable& whole)
    : block_(block), whole_(whole), search_(block.task), felt_(whole.groups(), 0) {
  for (const TableOption& option : own().options()) {
    const int group = own().group(static_cast<std::size_t>(option.stack));
    if (option.size >= 0) felt_[static_cast<std::size_t>(group)] = 1;
  }
}

bool BlockPart::allows(const ChoiceDomain& domain, const Choice& choice) const {
  for (std::size_t s = 0; s < stacks(); ++s) {
    if (domain.open[in_whole(s, choice.option[s])] == 0) return false;
  }
  for (std::size_t g = 0; g < felt_.size(); ++g) {
    if (feels(g) && domain.usual[whole_.usual_at(g, choice.usual[g])] == 0) return false;
  }
  return true;
}

Least BlockPart::least_in(const ChoiceDomain& domain, double limit) {
  ChoiceDomain inside{own().whole().open, domain.usual};
  for (std::size_t s = 0; s < stacks(); ++s) {
    for (std::size_t o = own().first(s); o < own().end(s); ++o) inside.open[o] = domain.open[in_whole(s, o)];
  }
  return search_.least_in(inside, limit);
}

void BlockPart::put(const Choice& choice, Choice& to) const {
  for (std::size_t s = 0; s < stacks(); ++s) to.option[block_.stack[s]] = in_whole(s, choice.option[s]);
  for (std::size_t g = 0; g < felt_.size(); ++g) {
    if (feels(g)) to.usual[g] = choice.usual[g];
  }
}

void BlockPart::hand_cuts_to(ChoiceOracle& oracle) {
  for (ChoiceCut cut : search_.oracle().cuts()) {
    for (std::size_t& stack : cut.stacks) stack = block_.stack[stack];
    oracle.keep(std::move(cut));
  }
}

BlockTree::BlockTree(const ChoiceTask& whole, const std::vector<ChoiceBlock>& blocks)
    : table_(whole.table), effort_(whole.effort), whole_(whole) {
  for (const ChoiceBlock& block : blocks) parts_.emplace_back(block, whole.table);
}

int BlockTree::solved() {
  int sum = whole_.oracle().solved();
  for (BlockPart& part : parts_) sum += part.solved();
  return sum;
}

/// Sets solved for, those of a block by its share of the stacks.
double BlockTree::work() {
  double sum = whole_.oracle().solved();
  for (BlockPart& part : parts_) sum += part.solved() * share_of(part);
  return sum;
}

/// Sets that a block may solve for in all with this share of the work that is left, `kept` aside.
int BlockTree::allowance(BlockPart& part, double share, double kept) {
  const double left = std::max(0.0, effort_.level_nodes - kept - work());
  return part.solved() + static_cast<int>(share * left / share_of(part));
}

bool BlockTree::worth_a_look(double bound) {
  const double best = record().choice.cost;
  return bound < kNoLimit && (best == kNoLimit || bound < best - slack_of(best));
}

void BlockTree::push(Node node) {
  if (!worth_a_look(node.bound)) return;
  node.serial = serial_++;
  open_.push_back(std::move(node));
  std::push_heap(open_.begin(), open_.end(), later);
}

/// Each with its share of the work; what one leaves the next may use.
void BlockTree::solve_blocks() {
  Node root{table_.whole(), {}, 0.0, 0};
  std::size_t stacks = table_.stacks();
  for (BlockPart& part : parts_) {
    const double share = static_cast<double>(part.stacks()) / static_cast<double>(stacks);
    stacks -= part.stacks();
    part.search().allow(allowance(part, share, kept_back()));
    ChoiceSearchResult found = part.search().run();
    Least& least = root.least.emplace_back(Least{found.bound, {}});
    if (!found.best.option.empty() && found.bound >= found.best.cost) least.choice = found.best;
    found_.push_back(std::move(found.best));
    part.hand_cuts_to(whole_.oracle());
  }
  root.bound = sum_of(root.least);
  push(std::move(root));
}

Choice BlockTree::merged(const std::vector<const Choice*>& of_blocks) const {
  Choice out{0.0, std::vector<std::size_t>(table_.stacks(), 0), std::vector<int>(table_.groups(), 0)};
  for (std::size_t b = 0; b < parts_.size(); ++b) parts_[b].put(*of_blocks[b], out);
  return out;
}

Choice BlockTree::found_together() const {
  std::vector<const Choice*> of_blocks;
  for (const Choice& own : found_) {
    if (own.option.empty()) return {};
    of_blocks.push_back(&own);
  }
  return table_.cheapest({table_.only(merged(of_blocks).option), table_.whole().usual});
}

void BlockTree::begin() {
  whole_.offer_first_moves();
  const int most = whole_.oracle().solved() + kept_back();
  Choice start = found_together();
  if (start.option.empty()) return find_first_choice(whole_.oracle(), most);
  repair_choice(whole_.oracle(), std::move(start), most);
  if (!open_.empty() && worth_a_look(open_.front().bound)) whole_.better_record();
}

void BlockTree::choose_among_equals(ChoiceSearchResult& out) {
  const Choice found = found_together();
  if (!found.option.empty() && found.cost <= out.best.cost + slack_of(out.best.cost) &&
      whole_.oracle().ask(table_.only(found.option)) == Verdict::kHold)
    whole_.take_if_nearer(found, out);
  constexpr std::size_t kFewStacks = 60;  // beyond, the blocks' own choices must do
  if (table_.stacks() <= kFewStacks && out.bound >= out.best.cost) whole_.choose_among_equals(out);
}

/// Solves again for the blocks whose choice is no longer open.
void BlockTree::bound_anew(Node& node) {
  for (std::size_t b = 0; b < parts_.size(); ++b) {
    Least& least = node.least[b];
    if (!least.choice || parts_[b].allows(node.domain, *least.choice)) continue;
    const double best = record().choice.cost;
    const double limit = best == kNoLimit ? best : best - (sum_of(node.least) - least.bound);
    const double before = least.bound;
    parts_[b].search().allow(allowance(parts_[b], 1.0, 0.0));
    least = parts_[b].least_in(node.domain, limit);
    least.bound = std::max(least.bound, before);
  }
  node.bound = std::max({node.bound, sum_of(node.least), whole_.bound_by_cuts(node.domain).value()});
}

/// Two children where blocks have different usual sizes for a group that they share: one's, or another.
bool BlockTree::branched_on_usual(const Node& node) {
  for (std::size_t g = 0; g < table_.groups(); ++g) {
    int usual = -1;
    for (std::size_t b = 0; b < parts_.size(); ++b) {
      if (!parts_[b].feels(g)) continue;
      const int own = node.least[b].choice->usual[g];
      if (usual >= 0 && own != usual) {
        Node is = node, other = node;
        for (int k = 0; k < table_.sizes(g); ++k) is.domain.usual[table_.usual_at(g, k)] = k == usual;
        other.domain.usual[table_.usual_at(g, usual)] = 0;
        push(std::move(is));
        push(std::move(other));
        return true;
      }
      usual = own;
    }
  }
  return false;
}

/// One child for each way out of the reason why the blocks' choices cannot be had together.
void BlockTree::branch(const Node& node, const Choice& choice) {
  std::vector<double> price = ChoiceBound(table_, node.domain).prices();
  constexpr double kAbove = 1e-6;  // what is taken now comes first
  for (std::size_t s = 0; s < table_.stacks(); ++s) {
    const double now = price[choice.option[s]];
    for (std::size_t o = table_.first(s); o < table_.end(s); ++o)
      price[o] = o == choice.option[s] ? 0.0 : kAbove + std::max(0.0, price[o] - now);
  }
  Node rest = node;
  const ChoiceCut& cut = whole_.oracle().reason(table_.only(choice.option));
  for (const ChoiceLiteral& literal : clause_of(cut, table_, price)) {
    Node child = rest;
    for (std::size_t o = table_.first(literal.stack); o < table_.end(literal.stack); ++o)
      child.domain.open[o] = 0;
    for (const std::size_t o : literal.options) child.domain.open[o] = 1, rest.domain.open[o] = 0;
    push(std::move(child));
  }
}

void BlockTree::step(Node node) {
  const double before = node.bound;
  bound_anew(node);
  if (node.bound > before + slack_of(before)) return push(std::move(node));
  std::vector<const Choice*> of_blocks;
  for (const Least& own : node.least) {
    if (own.choice) of_blocks.push_back(&*own.choice);
  }
  if (of_blocks.size() < parts_.size()) {
    given_up_ = std::min(given_up_, node.bound);
    return;
  }
  if (branched_on_usual(node)) return;
  const Choice choice = merged(of_blocks);
  const Verdict verdict = whole_.oracle().ask(table_.only(choice.option));
  if (verdict == Verdict::kUnsure) given_up_ = std::min(given_up_, node.bound);
  if (verdict == Verdict::kFail) branch(node, choice);
}

double BlockTree::explore() {
  constexpr int kMostSteps = 1000;
  for (int steps = 0; !open_.empty() && steps < kMostSteps && work() < effort_.level_nodes; ++steps) {
    std::pop_heap(open_.begin(), open_.end(), later);
    Node node = std::move(open_.back());
    open_.pop_back();
    if (worth_a_look(node.bound)) step(std::move(node));
  }
  double bound = std::min(record().choice.cost, given_up_);
  for (const Node& node : open_) bound = std::min(bound, node.bound);
  return bound;
}

int BlockTree::left() { return std::max(0, static_cast<int>(effort_.level_nodes - work())); }

ChoiceSearchResult search_blocks(const ChoiceTask& whole, const std::vector<ChoiceBlock>& blocks) {
  BlockTree tree(whole, blocks);
  tree.solve_blocks();
  tree.begin();
  const double floor = tree.explore();
  tree.whole().allow(tree.whole().oracle().solved() + tree.left());
  ChoiceSearchResult out = tree.whole().prove(floor);
  if (!out.best.option.empty()) tree.choose_among_equals(out);
  out.solved = tree.solved();
  return out;
}

}  // namespace fairhole::detail

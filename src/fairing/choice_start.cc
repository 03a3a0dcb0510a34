// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "choice_search.h"

namespace fairhole::detail {
namespace {

/// A choice under repair: options once left are not taken again, so that repairs end.
struct Repair {
  Choice choice;
  OptionSet left;  ///< options that may no longer be taken
};

double price_of(const ChoiceTable& table, const Choice& choice, std::size_t option) {
  const TableOption& own = table.option(option);
  const int group = table.group(static_cast<std::size_t>(own.stack));
  const bool odd = own.size >= 0 && choice.usual[static_cast<std::size_t>(group)] != own.size;
  return own.cost + (odd ? table.odd_cost() : 0.0);
}

/// The change of one stack that eases the cut most for its price.
struct Step {
  std::size_t stack = 0;
  std::size_t option = 0;
  double worth = -1.0;
};

Step best_step(const ChoiceCut& cut, const ChoiceTable& table, const Repair& repair) {
  Step best;
  for (std::size_t i = 0; i < cut.stacks.size(); ++i) {
    const std::size_t s = cut.stacks[i], first = table.first(s), now = repair.choice.option[s];
    for (std::size_t o = first; o < table.end(s); ++o) {
      if (o == now || repair.left[o] != 0) continue;
      double eased = 0.0;
      for (const ChoiceCut::Row& row : cut.rows) {
        double missing = row.floor_mm;  // no step need ease more than this
        for (std::size_t j = 0; j < cut.stacks.size(); ++j)
          missing -= row.value[j][repair.choice.option[cut.stacks[j]] - table.first(cut.stacks[j])];
        const double gained = row.value[i][o - first] - row.value[i][now - first];
        if (missing > 0.0) eased = std::max(eased, std::min(1.0, gained / missing));
      }
      if (!(eased > 0.0)) continue;
      const double extra = price_of(table, repair.choice, o) - price_of(table, repair.choice, now);
      const double worth = eased / std::max(1e-9, extra);
      if (worth > best.worth) best = {s, o, worth};
    }
  }
  return best;
}

double cost_of(const ChoiceTable& table, const Choice& choice) {
  double sum = 0.0;
  for (const std::size_t option : choice.option) sum += price_of(table, choice, option);
  return sum;
}

/// Changes options until they hold; false if that cannot be, or costs `too_much`.
bool repaired(ChoiceOracle& oracle, Repair& repair, double too_much, int most_solved) {
  const ChoiceTable& table = oracle.table();
  for (;;) {
    if (cost_of(table, repair.choice) >= too_much || oracle.solved() >= most_solved) return false;
    const OptionSet set = table.only(repair.choice.option);
    const Verdict verdict = oracle.ask(set);
    if (verdict == Verdict::kHold) return true;
    if (verdict == Verdict::kUnsure) return false;
    const Step step = best_step(oracle.reason(set), table, repair);
    if (step.worth < 0.0) return false;
    repair.left[repair.choice.option[step.stack]] = 1;
    repair.choice.option[step.stack] = step.option;
  }
}

/// Cheaper options of a stack than the choice's, cheapest first.
std::vector<std::size_t> cheaper(const ChoiceTable& table, const Choice& choice, std::size_t stack) {
  std::vector<std::size_t> out;
  const double now = price_of(table, choice, choice.option[stack]);
  for (std::size_t o = table.first(stack); o < table.end(stack); ++o) {
    if (price_of(table, choice, o) < now) out.push_back(o);
  }
  std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) {
    return price_of(table, choice, a) < price_of(table, choice, b);
  });
  return out;
}

/// Stacks that something cheaper might do for, by what that would save, most first.
std::vector<std::size_t> dear_stacks(const ChoiceTable& table, const Choice& choice) {
  std::vector<std::size_t> out;
  std::vector<double> saving(table.stacks(), 0.0);
  for (std::size_t s = 0; s < table.stacks(); ++s) {
    const std::vector<std::size_t> options = cheaper(table, choice, s);
    if (options.empty()) continue;
    saving[s] = price_of(table, choice, choice.option[s]) - price_of(table, choice, options.front());
    out.push_back(s);
  }
  std::stable_sort(out.begin(), out.end(),
                   [&](std::size_t a, std::size_t b) { return saving[a] > saving[b]; });
  return out;
}

/// Each stack to the cheapest option that the others allow.
void lower_each(ChoiceOracle& oracle, Choice& choice, int most_solved) {
  const ChoiceTable& table = oracle.table();
  for (const std::size_t s : dear_stacks(table, choice)) {
    for (const std::size_t option : cheaper(table, choice, s)) {
      if (oracle.solved() >= most_solved) return;
      std::vector<std::size_t> tried = choice.option;
      tried[s] = option;
      if (oracle.ask(table.only(tried)) != Verdict::kHold) continue;
      choice.option = std::move(tried);
      break;
    }
  }
}

Repair fresh(const ChoiceTable& table, Choice choice) {
  return {std::move(choice), OptionSet(table.options().size(), 0)};
}

/// Every group with each other size as its usual one: its stacks take what suits that best.
void try_usual_sizes(ChoiceOracle& oracle, int most_solved) {
  const ChoiceTable& table = oracle.table();
  for (std::size_t g = 0; g < table.groups(); ++g) {
    for (int size = 0; size < table.sizes(g) && oracle.solved() < most_solved; ++size) {
      Choice choice = oracle.record().choice;
      if (choice.usual[g] == size) continue;
      choice.usual[g] = size;
      for (std::size_t s = 0; s < table.stacks(); ++s) {
        if (table.group(s) != static_cast<int>(g)) continue;
        for (std::size_t o = table.first(s); o < table.end(s); ++o) {
          if (price_of(table, choice, o) < price_of(table, choice, choice.option[s])) choice.option[s] = o;
        }
      }
      Repair repair = fresh(table, std::move(choice));
      if (repaired(oracle, repair, oracle.record().choice.cost, most_solved))
        lower_each(oracle, repair.choice, most_solved);
    }
  }
}

/// The stack to its cheapest option, or the next cheaper one, and held there; the others repaired.
void force_down(ChoiceOracle& oracle, std::size_t stack, bool cheapest, int most_solved) {
  const ChoiceTable& table = oracle.table();
  const Choice& best = oracle.record().choice;
  const std::vector<std::size_t> options = cheaper(table, best, stack);
  if (options.empty() || (!cheapest && options.size() == 1)) return;
  Repair repair = fresh(table, best);
  std::fill_n(repair.left.begin() + static_cast<std::ptrdiff_t>(table.first(stack)),
              table.end(stack) - table.first(stack), 1);
  repair.choice.option[stack] = cheapest ? options.front() : options.back();
  if (repaired(oracle, repair, best.cost, most_solved)) lower_each(oracle, repair.choice, most_solved);
}

}  // namespace

void find_first_choice(ChoiceOracle& oracle, int most_solved) {
  const ChoiceTable& table = oracle.table();
  Repair repair = fresh(table, table.cheapest(table.whole()));
  repaired(oracle, repair, kNoLimit, most_solved);
}

void repair_choice(ChoiceOracle& oracle, Choice choice, int most_solved) {
  Repair repair = fresh(oracle.table(), std::move(choice));
  if (repaired(oracle, repair, oracle.record().choice.cost, most_solved))
    lower_each(oracle, repair.choice, most_solved);
}

void improve_choice(ChoiceOracle& oracle, int most_solved) {
  const ChoiceTable& table = oracle.table();
  if (oracle.record().choice.option.empty()) return;
  for (double before = kNoLimit; oracle.record().choice.cost < before && oracle.solved() < most_solved;) {
    before = oracle.record().choice.cost;
    Choice choice = oracle.record().choice;
    lower_each(oracle, choice, most_solved);
    for (const std::size_t s : dear_stacks(table, oracle.record().choice)) {
      force_down(oracle, s, true, most_solved);
      force_down(oracle, s, false, most_solved);
    }
    try_usual_sizes(oracle, most_solved);
  }
}

}  // namespace fairhole::detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/joint_fairing.h"

#include <algorithm>
#include <utility>

#include "choice_search.h"
#include "fairhole/fairing/movers.h"
#include "fairing_search.h"

namespace fairhole {
namespace {

using detail::FairingAnswer;
using detail::FairingSearch;

/// The locating holes where their parts now stand.
std::vector<LocatingPair> moved_pairs(const Assembly& assembly, std::vector<LocatingPair> pairs) {
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    for (const Stack& stack : assembly.stacks) {
      if (stack.plate != assembly.seats[i].plate) continue;
      for (const OldLayer& layer : stack.layers) {
        if (layer.joint != pairs[i].joint) continue;
        if (stack.id == pairs[i].stack_a) pairs[i].a_mm = layer.centre_mm;
        if (stack.id == pairs[i].stack_b) pairs[i].b_mm = layer.centre_mm;
      }
    }
    if (pairs[i].stack_b.empty()) pairs[i].b_mm = pairs[i].a_mm;
  }
  return pairs;
}

/// Each part by itself, as near as contact lets it to where it asks to be, may cost less: it may hang on
/// other holes, or the search may have come to the end of its work.
void never_dearer_than_alone(const Assembly& assembly, const FairingRules& rules, FairingSearch& search,
                             FairingAnswer& answer, std::vector<LocatingPair>& locating) {
  Assembly rest = with_seats(assembly, moves_to_seats(assembly));
  if (!within_play(rest)) return;
  detail::Hung alone = detail::decide_hung(rest, rules);
  const double cost = alone.decided.cost();
  const auto cheaper = [&] { return cost < answer.decided.cost() - detail::slack_of(cost); };
  if (!cheaper()) return;
  locating = choose_locating(assembly, detail::serving_holes(alone.decided, detail::sound_holes(assembly)));
  answer = search.answer(locating);
  if (!cheaper()) return;
  answer.assembly = std::move(rest);
  answer.decided = std::move(alone.decided);
  answer.bound = std::min(answer.bound, cost);
  answer.proven = cost <= answer.bound + detail::slack_of(cost);
}

}  // namespace

// As in the first fairing, the locating holes come first, because the doubt of all other holes follows from
// them.
JointFairing::Result JointFairing::operator()(const Assembly& assembly, const Plan* before) const {
  const std::vector<bool> sound = detail::sound_holes(assembly);
  std::vector<LocatingPair> locating = choose_locating(assembly, sound);
  FairingSearch search(assembly, rules, effort, before);
  FairingAnswer answer = search.answer(locating);
  const std::vector<LocatingPair> serving =
      choose_locating(assembly, detail::serving_holes(answer.decided, sound));
  const auto same = [](const LocatingPair& a, const LocatingPair& b) {
    return a.stack_a == b.stack_a && a.stack_b == b.stack_b;
  };
  if (!std::equal(locating.begin(), locating.end(), serving.begin(), same)) {
    locating = serving;
    answer = search.answer(locating);
  }
  if (assembly.pairs.empty()) never_dearer_than_alone(assembly, rules, search, answer, locating);
  Plan plan = detail::plan_of(answer.assembly, answer.decided, moved_pairs(answer.assembly, locating), rules);
  plan.bound = answer.bound;
  plan.proven = answer.proven;
  return {std::move(answer.assembly), std::move(plan)};
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "blunders.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>

#include "blunder_pairs.h"
#include "fairhole/geometry/statistics.h"
#include "fairhole/survey/survey.h"
#include "gross.h"
#include "reading_tests.h"
#include "rivals.h"
#include "start.h"
#include "undetermined.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kDoubtP = 0.05;       // below, look beyond one-at-a-time snooping
constexpr double kRobustMisfit = 4.0;  // sigmas off the robust adjustment: under suspicion
constexpr double kTie = 1e-6;
constexpr double kAgreeingW = 2.0;
// A search that ends with more than these left out may have lost its way.
constexpr double kManyOut = 3.0;
constexpr double kManyOutShare = 0.02;
constexpr double kHopelessP = 1e-3;
constexpr double kPoorFit = 4.0;  // chi2 per degree of freedom: the site may be a wrong one

using Set = std::vector<int>;

/// A state of the search: the solution, who is out, and who cannot be told apart.
struct Attempt {
  Solution solution;
  Set out;
  std::vector<Set> together;
  // One of each group that is kept, left out while the others are judged: its error must not spoil them.
  Set lent;
  // A group that cannot be told apart is one blunder: what leaving out one of it would change in the price.
  double credit = 0.0;
  double price() const { return solution.chi2 + kPrice * static_cast<double>(out.size()) - credit; }
};

class Search {
 public:
  Search(Model& model, const Columns& columns) : model_(model), columns_(columns), tests_(model, columns) {}

  BlunderSearch run(const Solution& all) {
    Attempt best = all.converged ? snoop({all, {}, {}, {}, 0.0}) : Attempt{all, {}, {}, {}, 0.0};
    if (!best.solution.converged || best.out.size() > 1 || !best.together.empty() ||
        p_value(best.solution) < kDoubtP) {
      take_if_better(robust_suspects(all), all.state, best);
      if (all.converged) weigh_pairs(all, best);
    }
    if (!best.solution.converged || many_out(best) || p_value(best.solution) < kHopelessP) {
      const Set gross = gross_suspects(model_);
      if (!gross.empty()) {
        set_active(gross);
        take_if_better(gross, construct_start(model_).state, best);
      }
    }
    take_back_lent(best);
    if (best.solution.converged && !best.out.empty()) {
      Solution precise = solve(model_, columns_, best.solution.state);
      if (precise.converged) best.solution = std::move(precise);
    }
    return {best.solution, best.together};
  }

 private:
  bool many_out(const Attempt& a) const {
    return static_cast<double>(a.out.size()) > kManyOut + kManyOutShare * tests_.count();
  }
  static double p_value(const Solution& s) { return s.dof > 0 ? chi2_upper_tail(s.chi2, s.dof) : 1.0; }
  Observation& observation(int i) { return model_.observations[static_cast<std::size_t>(i)]; }
  const Observation& observation(int i) const { return model_.observations[static_cast<std::size_t>(i)]; }

  void take_back_lent(Attempt& a) {
    const Set judged = a.out;
    for (const int i : a.lent) std::erase(a.out, i);
    set_active(a.out);
    if (a.lent.empty()) return;
    auto s = solve_without(a.out, a.solution.state);
    if (s) {
      a.solution = std::move(*s);
    } else {
      set_active(judged);  // all of them together have no solution
    }
  }

  void set_active(const Set& out) {
    for (Observation& o : model_.observations) o.active = true;
    for (const int i : out) observation(i).active = false;
  }

  std::optional<Solution> solve_without(const Set& out, const Eigen::VectorXd& start) {
    set_active(out);
    // solve() itself refuses an undetermined net; asking first spares its iterations.
    if (out.size() > 1 && !is_determined(model_, columns_, start)) return std::nullopt;
    Solution s = solve(model_, columns_, start, Purpose::kSearch);
    if (!s.converged) return std::nullopt;
    return s;
  }

  static bool contains(const std::vector<Set>& sets, int i) {
    return std::any_of(sets.begin(), sets.end(),
                       [i](const Set& set) { return std::find(set.begin(), set.end(), i) != set.end(); });
  }

  /// One at a time: the largest |w| above the critical value goes, with all that cannot be told from it.
  Attempt snoop(Attempt a) {
    while (true) {
      set_active(a.out);
      const std::vector<double> r = tests_.redundancies(a.solution);
      const Set beyond = beyond_critical(a, r);
      if (beyond.empty()) return a;
      const Set going = far_apart(tests_, a.solution, r, beyond);
      if (!going.empty()) {
        auto without = solve_without(united(a.out, going), a.solution.state);
        if (without || going.size() == 1) {
          leave_out(going, std::move(without), a);
          continue;
        }
      }
      const int worst = beyond.front();
      const double most = tests_.gain(a.solution, r, worst);
      const Set contenders = contenders_of(tests_, a.solution, r, beyond, worst);
      const Set group = tests_.alike(a.solution, r, worst);
      if (contenders.size() > 1) {
        leave_out_best(contenders, a);
      } else if (group.size() > 1) {
        set_group_aside(group, most, a);
      } else {
        leave_out(group, solve_without(united(a.out, group), a.solution.state), a);
      }
    }
  }

  /// Readings off beyond the critical value, the worst first.
  Set beyond_critical(const Attempt& a, const std::vector<double>& r) const {
    std::vector<std::pair<double, int>> ranked;
    for (int i = 0; i < tests_.count(); ++i) {
      if (r[static_cast<std::size_t>(i)] < kLeastRedundancy || contains(a.together, i)) continue;
      const double w2 = tests_.gain(a.solution, r, i);
      if (w2 > kPrice) ranked.emplace_back(-w2, i);
    }
    std::sort(ranked.begin(), ranked.end());
    Set out;
    for (const auto& [loss, i] : ranked) out.push_back(i);
    return out;
  }

  /// Leaves out the contender without which the rest agrees best, each tried by an adjustment of its own,
  /// with all that explain the disagreement alike.
  void leave_out_best(const Set& contenders, Attempt& a) {
    std::vector<std::optional<Solution>> without;
    const Solution* best = nullptr;
    int culprit = contenders.front();
    for (const int i : contenders) {
      without.push_back(solve_gross(united(a.out, {i}), a.solution.state));
    }
    for (std::size_t k = 0; k < contenders.size(); ++k) {
      if (!without[k] || (best != nullptr && without[k]->chi2 >= best->chi2)) continue;
      best = &*without[k];
      culprit = contenders[k];
    }
    if (best == nullptr) return a.together.push_back({culprit});
    set_active(united(a.out, {culprit}));
    Set group{culprit};
    for (std::size_t k = 0; k < contenders.size(); ++k) {
      const int j = contenders[k];
      if (j == culprit || !without[k] || without[k]->chi2 > best->chi2 + kRivalOdds) continue;
      if (std::abs(tests_.correlation_if_taken_in(culprit, j, *best)) > kTogetherCorrelation)
        group.push_back(j);
    }
    std::sort(group.begin(), group.end());
    const double chi2_off = a.solution.chi2 - best->chi2;
    if (group.size() > 1) return set_group_aside(group, chi2_off, a, best->state);
    leave_out(group, *best, a);
  }

  static void leave_out(const Set& group, std::optional<Solution> without, Attempt& a) {
    if (!without) return a.together.push_back(group);  // cannot be left out after all: not to be tried again
    a.solution = std::move(*without);
    a.out = united(a.out, group);
  }

  /// As solve_without, also from a start constructed of the readings kept: a gross error may have led the
  /// present state to a wrong site.
  std::optional<Solution> solve_gross(const Set& out, const Eigen::VectorXd& present) {
    auto s = solve_without(out, present);
    if (s && s->chi2 < kPoorFit * std::max(1, s->dof)) return s;
    auto fresh = solve_without(out, construct_start(model_).state);
    return !s || (fresh && fresh->chi2 < s->chi2) ? fresh : s;
  }

  /// Leaves out a group that cannot be told apart, or keeps all of it where a hole hangs on it. `gain`: what
  /// leaving out one of it takes off chi2.
  void set_group_aside(const Set& group, double gain, Attempt& a) {
    set_group_aside(group, gain, a, a.solution.state);
  }
  void set_group_aside(const Set& group, double gain, Attempt& a, const Eigen::VectorXd& start) {
    a.together.push_back(group);
    const Set out = united(a.out, group);
    auto s = solve_without(out, Eigen::VectorXd(start));
    if (!s) return lend(group, gain, start, a);
    a.solution = std::move(*s);
    a.out = out;
    a.credit += kPrice * static_cast<double>(group.size() - 1);
  }

  void lend(const Set& group, double gain, const Eigen::VectorXd& start, Attempt& a) {
    for (const int i : group) {
      const Set out = united(a.out, {i});
      auto s = solve_without(out, Eigen::VectorXd(start));
      if (!s) continue;
      a.solution = std::move(*s);
      a.out = out;
      a.lent.push_back(i);
      return;
    }
    a.credit += gain - kPrice;
  }

  static Set united(const Set& a, const Set& b) {
    Set out;
    std::set_union(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(out));
    return out;
  }

  Set robust_suspects(const Solution& all) {
    set_active({});
    const Solution robust = solve(model_, columns_, all.state, Purpose::kRobust);
    Set out;
    for (int i = 0; i < tests_.count(); ++i) {
      if (observation(i).reading >= 0 && std::abs(tests_.normalised(robust, i)) > kRobustMisfit)
        out.push_back(i);
    }
    return out;
  }

  void take_if_better(const Set& set, const Eigen::VectorXd& start, Attempt& best) {
    if (set.empty()) return;
    const auto other = from_set(set, start);
    if (other && (!best.solution.converged || other->price() < best.price() - kTie)) best = *other;
  }

  /// Tries the best pair. Where several pairs without a common reading explain the disagreement alike, they
  /// are named together: left out together where the rest still fixes every hole, else all kept.
  void weigh_pairs(const Solution& all, Attempt& best) {
    set_active({});
    const auto [pairs, gain] = best_pairs(tests_, all);
    const double price = all.chi2 - gain + 2.0 * kPrice;
    if (pairs.empty() || price > best.price() + kRivalOdds) return;  // explained better already
    Set common = pairs.front();
    Set either;
    for (const Set& pair : pairs) {
      Set still;
      std::set_intersection(common.begin(), common.end(), pair.begin(), pair.end(),
                            std::back_inserter(still));
      common = std::move(still);
      Set more;
      std::set_union(either.begin(), either.end(), pair.begin(), pair.end(), std::back_inserter(more));
      either = std::move(more);
    }
    if (!common.empty() || best.out.size() == 1) return take_if_better(pairs.front(), all.state, best);
    if (best.out.size() > 2) return;
    best = {all, {}, {either}, {}, 0.0};
    auto without = solve_without(either, all.state);
    if (!without) return;
    best.solution = std::move(*without);
    best.out = either;
  }

  /// Takes back in at once what agrees with the rest beyond doubt.
  void take_in_agreeing(Attempt& a) {
    Set out;
    for (const int i : a.out) {
      if (tests_.predicted_w(a.solution, i) > kAgreeingW) out.push_back(i);
    }
    if (out.size() == a.out.size()) return;
    auto s = solve_without(out, a.solution.state);
    if (!s) return;
    a.solution = std::move(*s);
    a.out = std::move(out);
  }

  /// Leaves out a suspected set, takes back in what then agrees, best first, and snoops on.
  std::optional<Attempt> from_set(const Set& set, const Eigen::VectorXd& start) {
    auto s = solve_without(set, start);
    if (!s) return std::nullopt;
    Attempt a{std::move(*s), set, {}, {}, 0.0};
    take_in_agreeing(a);
    while (!a.out.empty()) {
      const auto least = std::min_element(a.out.begin(), a.out.end(), [&](int i, int j) {
        return tests_.predicted_w(a.solution, i) < tests_.predicted_w(a.solution, j);
      });
      if (tests_.predicted_w(a.solution, *least) > kCriticalW) break;
      Set out = a.out;
      out.erase(out.begin() + (least - a.out.begin()));
      auto next = solve_without(out, a.solution.state);
      if (!next) break;
      a.solution = std::move(*next);
      a.out = std::move(out);
    }
    name_twins(a);
    return snoop(std::move(a));
  }

  /// A reading left out that could as well be another one: treated as the group it belongs to.
  void name_twins(Attempt& a) {
    for (const int i : Set(a.out)) {
      if (contains(a.together, i)) continue;
      set_active(a.out);
      const Set group = tests_.alike_if_taken_in(a.solution, tests_.redundancies(a.solution), i);
      if (group.size() < 2) continue;
      const double w = tests_.predicted_w(a.solution, i);
      Attempt with = a;
      std::erase(with.out, i);
      set_group_aside(group, w * w, with);
      a = std::move(with);
    }
  }

  Model& model_;
  const Columns& columns_;
  ReadingTests tests_;
};

}  // namespace

BlunderSearch search_blunders(Model& model, const Columns& columns, const Solution& all) {
  return Search(model, columns).run(all);
}

}  // namespace fairhole::survey_detail

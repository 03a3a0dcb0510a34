// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "blunders.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>

#include "fairhole/geometry/statistics.h"
#include "fairhole/survey/survey.h"
#include "start.h"
#include "undetermined.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kPrice = kCriticalW * kCriticalW;  // what one rejection must take off chi2
constexpr double kDoubtP = 0.05;                    // below, look beyond one-at-a-time snooping
constexpr double kRobustMisfit = 4.0;               // sigmas off the robust adjustment: under suspicion
constexpr double kPairCandidateW = 1.0;             // pairs are sought among readings at least this far off
constexpr std::size_t kMostPairCandidates = 200;
constexpr double kTie = 1e-6;
constexpr double kGrossW = 5.0;               // beyond, w alone does not choose between readings of like w
constexpr std::size_t kMostContenders = 8;
constexpr double kPoorFit = 4.0;              // chi2 per degree of freedom: the site may be a wrong one
constexpr double kRivalOdds = 4.0;    // explanations closer than this in chi2 do not decide
constexpr double kRivalShare = 1e-4;  // nor closer than this share of it: the linear forecast is no better

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
  Search(Model& model, const Columns& columns) : model_(model), columns_(columns) {}

  BlunderSearch run(const Solution& all) {
    Attempt best = all.converged ? snoop({all, {}, {}, {}, 0.0}) : Attempt{all, {}, {}, {}, 0.0};
    if (!best.solution.converged || best.out.size() > 1 || !best.together.empty() ||
        p_value(best.solution) < kDoubtP) {
      take_if_better(robust_suspects(all), all, best);
      if (all.converged) weigh_pairs(all, best);
    }
    take_back_lent(best);
    return {best.solution, best.together};
  }

 private:
  static double p_value(const Solution& s) { return s.dof > 0 ? chi2_upper_tail(s.chi2, s.dof) : 1.0; }
  Observation& observation(int i) { return model_.observations[static_cast<std::size_t>(i)]; }
  const Observation& observation(int i) const { return model_.observations[static_cast<std::size_t>(i)]; }
  int count() const { return static_cast<int>(model_.observations.size()); }

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
    Solution s = solve(model_, columns_, start);
    if (!s.converged) return std::nullopt;
    return s;
  }

  static const Equation& equation(const Solution& s, int i) {
    return s.equations[static_cast<std::size_t>(i)];
  }

  /// Off the diagonal, the covariance of two normalised residuals: -a_i Q a_j' / (sigma_i sigma_j).
  double residual_covariance(const Solution& s, const Eigen::VectorXd& q_ai, int i, int j) const {
    double sum = 0.0;
    for (const Partial& p : equation(s, j).partials) {
      const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
      if (c >= 0) sum += p.value * q_ai[c];
    }
    return -sum / (observation(i).sigma * observation(j).sigma);
  }

  double normalised(const Solution& s, int i) const { return s.residual[i] / observation(i).sigma; }

  /// w^2: what leaving out the reading takes off chi2.
  double gain(const Solution& s, const std::vector<double>& r, int i) const {
    return normalised(s, i) * normalised(s, i) / r[static_cast<std::size_t>(i)];
  }

  std::vector<double> redundancies(const Solution& s) const {
    std::vector<double> r(model_.observations.size(), 0.0);
    for (int i = 0; i < count(); ++i) {
      if (observation(i).reading < 0 || !observation(i).active) continue;
      const double sigma = observation(i).sigma;
      r[static_cast<std::size_t>(i)] = 1.0 - s.normals->fit_variance(equation(s, i)) / (sigma * sigma);
    }
    return r;
  }

  static bool contains(const std::vector<Set>& sets, int i) {
    return std::any_of(sets.begin(), sets.end(),
                       [i](const Set& set) { return std::find(set.begin(), set.end(), i) != set.end(); });
  }

  /// One at a time: the largest |w| above the critical value goes, with all that cannot be told from it.
  Attempt snoop(Attempt a) {
    while (true) {
      set_active(a.out);
      const std::vector<double> r = redundancies(a.solution);
      const Set contenders = contenders_of(a, r);
      if (contenders.empty()) return a;
      const double most = gain(a.solution, r, contenders.front());
      if (most > kGrossW * kGrossW && contenders.size() > 1) {
        leave_out_best(contenders, a);
        continue;
      }
      const Set group = alike(a.solution, r, contenders.front());
      if (group.size() > 1) {
        set_group_aside(group, most, a);
      } else {
        leave_out(group, solve_without(united(a.out, group), a.solution.state), a);
      }
    }
  }

  /// Readings off beyond the critical value, the worst first, down to half its w^2: the largest w of gross errors
  /// need not point at the culprit.
  Set contenders_of(const Attempt& a, const std::vector<double>& r) const {
    std::vector<std::pair<double, int>> ranked;
    for (int i = 0; i < count(); ++i) {
      if (r[static_cast<std::size_t>(i)] < kLeastRedundancy || contains(a.together, i)) continue;
      const double w2 = gain(a.solution, r, i);
      if (w2 > kPrice) ranked.emplace_back(-w2, i);
    }
    std::sort(ranked.begin(), ranked.end());
    Set out;
    for (const auto& [loss, i] : ranked) {
      if (out.size() < kMostContenders && 2.0 * loss <= ranked.front().first) out.push_back(i);
    }
    return out;
  }

  /// Leaves out the contender without which the rest agrees best, each tried by an adjustment of its own, with
  /// all that explain the disagreement alike.
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
      if (std::abs(correlation_with(culprit, j, *best)) > kTogetherCorrelation) group.push_back(j);
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

  /// As solve_without, also from a start constructed of the readings kept: a gross error may have led the present
  /// state to a wrong site.
  std::optional<Solution> solve_gross(const Set& out, const Eigen::VectorXd& present) {
    auto s = solve_without(out, present);
    if (s && s->chi2 < kPoorFit * std::max(1, s->dof)) return s;
    auto fresh = solve_without(out, construct_start(model_).state);
    return !s || (fresh && fresh->chi2 < s->chi2) ? fresh : s;
  }

  /// Correlation of the w of i and j were i taken in again; `s` is without i. With P_ab = a Q b' / (sigma_a
  /// sigma_b), the rank-one update of Q gives the residuals' covariance R_ii = 1 / (1 + P_ii),
  /// R_ij = -P_ij / (1 + P_ii), R_jj = 1 - P_jj + P_ij^2 / (1 + P_ii).
  double correlation_with(int i, int j, const Solution& s) const {
    const Eigen::VectorXd q_ai = s.normals->covariance_with(equation(s, i));
    const double p_ii = -residual_covariance(s, q_ai, i, i);
    const double p_ij = -residual_covariance(s, q_ai, i, j);
    const double sigma = observation(j).sigma;
    const double p_jj = s.normals->fit_variance(equation(s, j)) / (sigma * sigma);
    const double r_jj = 1.0 - p_jj + p_ij * p_ij / (1.0 + p_ii);
    if (r_jj < kLeastRedundancy) return 0.0;
    return -p_ij / (1.0 + p_ii) / std::sqrt(r_jj / (1.0 + p_ii));
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

  /// Observations whose w correlate with that of `i` above the limit and are as large, `i` among them:
  /// leaving out any of them would satisfy the others alike.
  Set alike(const Solution& s, const std::vector<double>& r, int i) const {
    Set group;
    const double share_i = r[static_cast<std::size_t>(i)];
    const double gain_i = normalised(s, i) * normalised(s, i) / share_i;
    const Eigen::VectorXd q_ai = s.normals->covariance_with(equation(s, i));
    for (int j = 0; j < count(); ++j) {
      const double share = r[static_cast<std::size_t>(j)];
      if (share < kLeastRedundancy) continue;
      const double gain = normalised(s, j) * normalised(s, j) / share;
      if (std::abs(gain - gain_i) > std::max(kRivalOdds, kRivalShare * gain_i)) continue;
      const double correlation =
          j == i ? 1.0 : residual_covariance(s, q_ai, i, j) / std::sqrt(share * share_i);
      if (std::abs(correlation) > kTogetherCorrelation) group.push_back(j);
    }
    return group;
  }

  Set robust_suspects(const Solution& all) {
    set_active({});
    const Solution robust = solve(model_, columns_, all.state, true);
    Set out;
    for (int i = 0; i < count(); ++i) {
      if (observation(i).reading >= 0 && std::abs(normalised(robust, i)) > kRobustMisfit) out.push_back(i);
    }
    return out;
  }

  void take_if_better(const Set& set, const Solution& all, Attempt& best) {
    if (set.empty()) return;
    const auto other = from_set(set, all.state);
    if (other && (!best.solution.converged || other->price() < best.price() - kTie)) best = *other;
  }

  /// Tries the best pair. Where several pairs without a common reading explain the disagreement alike, they
  /// are named together: left out together where the rest still fixes every hole, else all kept.
  void weigh_pairs(const Solution& all, Attempt& best) {
    double gain = 0.0;
    const std::vector<Set> pairs = best_pairs(all, gain);
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
    if (!common.empty() || best.out.size() == 1) return take_if_better(pairs.front(), all, best);
    if (best.out.size() > 2) return;
    best = {all, {}, {either}, {}, 0.0};
    auto without = solve_without(either, all.state);
    if (!without) return;
    best.solution = std::move(*without);
    best.out = either;
  }

  /// The pair whose rejection takes most off chi2, by the residuals' covariance, and after it every rival
  /// pair that does nearly as well. Empty if no pair pays its price.
  std::vector<Set> best_pairs(const Solution& all, double& most) {
    set_active({});
    const std::vector<double> r = redundancies(all);
    const Set candidates = pair_candidates(all, r);
    most = 2.0 * kPrice;
    std::vector<std::pair<double, Set>> pairs;
    for (std::size_t k = 0; k < candidates.size(); ++k) {
      const Eigen::VectorXd q_ak = all.normals->covariance_with(equation(all, candidates[k]));
      for (std::size_t l = k + 1; l < candidates.size(); ++l) {
        const double gain = pair_gain(all, r, q_ak, candidates[k], candidates[l]);
        if (gain < most - kRivalOdds) continue;
        most = std::max(most, gain);
        pairs.emplace_back(
            -gain, Set{std::min(candidates[k], candidates[l]), std::max(candidates[k], candidates[l])});
      }
    }
    std::sort(pairs.begin(), pairs.end());
    std::vector<Set> out;
    for (const auto& [loss, pair] : pairs) {
      if (-loss >= most - kRivalOdds && most > 2.0 * kPrice) out.push_back(pair);
    }
    return out;
  }

  /// Checked readings somewhat off, the worst first.
  Set pair_candidates(const Solution& all, const std::vector<double>& r) const {
    std::vector<std::pair<double, int>> ranked;
    for (int i = 0; i < count(); ++i) {
      const double share = r[static_cast<std::size_t>(i)];
      if (share < kLeastRedundancy) continue;
      const double w = std::abs(normalised(all, i)) / std::sqrt(share);
      if (w > kPairCandidateW) ranked.emplace_back(-w, i);
    }
    std::sort(ranked.begin(), ranked.end());
    if (ranked.size() > kMostPairCandidates) ranked.resize(kMostPairCandidates);
    Set out;
    for (const auto& [w, i] : ranked) out.push_back(i);
    return out;
  }

  double pair_gain(const Solution& s, const std::vector<double>& r, const Eigen::VectorXd& q_ai, int i,
                   int j) const {
    const double rii = r[static_cast<std::size_t>(i)];
    const double rjj = r[static_cast<std::size_t>(j)];
    const double rij = residual_covariance(s, q_ai, i, j);
    const double det = rii * rjj - rij * rij;
    if (det < (1.0 - kTogetherCorrelation) * rii * rjj) return 0.0;
    const double ui = normalised(s, i);
    const double uj = normalised(s, j);
    return (ui * ui * rjj - 2.0 * ui * uj * rij + uj * uj * rii) / det;
  }

  /// Leaves out a suspected set, takes back in what then agrees, best first, and snoops on.
  std::optional<Attempt> from_set(const Set& set, const Eigen::VectorXd& start) {
    auto s = solve_without(set, start);
    if (!s) return std::nullopt;
    Attempt a{std::move(*s), set, {}, {}, 0.0};
    while (!a.out.empty()) {
      const auto least = std::min_element(a.out.begin(), a.out.end(), [&](int i, int j) {
        return predicted_w(a.solution, i) < predicted_w(a.solution, j);
      });
      if (predicted_w(a.solution, *least) > kCriticalW) break;
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
      Attempt with = a;
      std::erase(with.out, i);
      auto s = solve_without(with.out, a.solution.state);
      if (!s) continue;
      with.solution = std::move(*s);
      const Set group = alike(with.solution, redundancies(with.solution), i);
      if (group.size() < 2) continue;
      const double w = predicted_w(a.solution, i);
      set_group_aside(group, w * w, with);
      a = std::move(with);
    }
  }

  double predicted_w(const Solution& s, int i) const {
    const double sigma = observation(i).sigma;
    const double variance = sigma * sigma + s.normals->fit_variance(equation(s, i));
    return std::abs(s.residual[i]) / std::sqrt(variance);
  }

  Model& model_;
  const Columns& columns_;
};

}  // namespace

BlunderSearch search_blunders(Model& model, const Columns& columns, const Solution& all) {
  return Search(model, columns).run(all);
}

}  // namespace fairhole::survey_detail

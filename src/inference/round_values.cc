// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "round_values.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

namespace fairhole::inference {
namespace {

constexpr Unit kUnits[] = {Unit::kMm, Unit::kInch};
constexpr int kScatterNodes = 7, kTurnNodes = 21;
constexpr double kNegligible = 1e-6;  // nodes and terms of less weight change no odds that are printed
constexpr double kScatterReach = 2.6, kTurnReach = 5.0;  // sigmas either way

/// All blocks at one scatter.
struct AtScatter {
  double scatter_mm = 0.0;
  double log_prior = 0.0;
  std::vector<Adjusted> blocks;

  /// Turn by the residuals and its prior: mean and precision.
  double turn_precision(double prior_sigma) const {
    double sum = 1.0 / (prior_sigma * prior_sigma);
    for (const Adjusted& block : blocks) sum += block.r11;
    return sum;
  }
  double turn_rad(double prior_sigma) const {
    double sum = 0.0;
    for (const Adjusted& block : blocks) sum -= block.r01;
    return sum / turn_precision(prior_sigma);
  }
  /// Log evidence for the scatter, turn summed out, before any value is rounded.
  double log_evidence(double prior_sigma) const {
    const double turn = turn_rad(prior_sigma);
    double sum = log_prior - 0.5 * std::log(turn_precision(prior_sigma)) -
                 0.5 * turn * turn / (prior_sigma * prior_sigma);
    for (const Adjusted& block : blocks) sum += block.log_restricted(turn);
    return sum;
  }
};

AtScatter at_scatter(const std::vector<Question>& questions, const PatternInference& rules,
                     double log_ratio) {
  AtScatter at;
  at.scatter_mm = rules.expected_scatter_mm * std::exp(log_ratio);
  at.log_prior = -0.5 * log_ratio * log_ratio / (rules.scatter_log_sd * rules.scatter_log_sd);
  for (const Question& question : questions) at.blocks.push_back(adjust_block(question.block, at.scatter_mm));
  return at;
}

struct Spread {
  double mean = 0.0, sd = 0.0;
};

/// Mean and sd of the logarithm of the scatter over its median.
Spread scatter_spread(const std::vector<Question>& questions, const PatternInference& rules) {
  constexpr int kCoarse = 41;
  constexpr double kPriorReach = 4.0;
  std::vector<double> at, log_weight;
  for (int i = 0; i < kCoarse; ++i) {
    at.push_back(rules.scatter_log_sd * kPriorReach * (2.0 * i / (kCoarse - 1) - 1.0));
    log_weight.push_back(at_scatter(questions, rules, at.back()).log_evidence(rules.turn_sigma.radians()));
  }
  const double most = *std::max_element(log_weight.begin(), log_weight.end());
  double sum = 0.0, first = 0.0, second = 0.0;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const double weight = std::exp(log_weight[i] - most);
    sum += weight;
    first += weight * at[i];
    second += weight * at[i] * at[i];
  }
  const double mean = first / sum;
  constexpr double kLeastSd = 0.02;  // a coarse grid sees no narrower peak
  return {mean, std::max(kLeastSd, std::sqrt(std::max(0.0, second / sum - mean * mean)))};
}

/// One node of the sum: a turn, a scatter, a unit.
struct Node {
  const AtScatter* at = nullptr;
  double turn_rad = 0.0;
  Unit unit = Unit::kMm;
  double weight = 0.0;           ///< logarithm first, then normalised
  std::vector<LatticeSum> sums;  ///< one a question
};

void weigh(const PatternInference& rules, Node& node) {
  const double z = node.turn_rad / rules.turn_sigma.radians();
  node.weight = node.at->log_prior - 0.5 * z * z + std::log(rules.series.unit_odds(node.unit));
  for (const Adjusted& block : node.at->blocks) {
    node.sums.push_back(sum_round_values(block.at(node.turn_rad), block.root_cov, rules.series, node.unit));
    LatticeSum& sum = node.sums.back();
    node.weight += block.log_restricted(node.turn_rad) + std::log(sum.total);
    std::erase_if(sum.terms, [&sum](const Term& term) { return term.mass < kNegligible * sum.total; });
  }
}

std::vector<Node> all_nodes(const std::vector<AtScatter>& scatters, const PatternInference& rules) {
  const AtScatter& middle = scatters[scatters.size() / 2];
  const double sigma = rules.turn_sigma.radians();
  const double turn = middle.turn_rad(sigma), spread = 1.0 / std::sqrt(middle.turn_precision(sigma));
  std::vector<Node> nodes;
  for (const AtScatter& at : scatters) {
    for (int i = 0; i < kTurnNodes; ++i) {
      for (const Unit unit : kUnits) {
        nodes.push_back(
            {&at, turn + spread * kTurnReach * (2.0 * i / (kTurnNodes - 1) - 1.0), unit, 0.0, {}});
        weigh(rules, nodes.back());
      }
    }
  }
  double most = -1e300;
  for (const Node& node : nodes) most = std::max(most, node.weight);
  std::erase_if(nodes, [most](const Node& node) { return node.weight - most < std::log(kNegligible); });
  double sum = 0.0;
  for (Node& node : nodes) sum += node.weight = std::exp(node.weight - most);
  for (Node& node : nodes) node.weight /= sum;
  return nodes;
}

using Choice = std::array<long, kMostSnapped>;

double share(const LatticeSum& sum, const Choice& choice) {
  for (const Term& term : sum.terms) {
    if (term.index == choice) return term.mass / sum.total;
  }
  return 0.0;
}

/// The same values counted in another unit's finest steps; none when they are not round there.
std::optional<Choice> in_other_unit(const Choice& choice, double from_step_mm, double to_step_mm) {
  constexpr double kSame = 1e-6;
  Choice other{};
  for (std::size_t i = 0; i < choice.size(); ++i) {
    const double steps = static_cast<double>(choice[i]) * from_step_mm / to_step_mm;
    other[i] = std::lround(steps);
    if (std::abs(steps - static_cast<double>(other[i])) > kSame) return std::nullopt;
  }
  return other;
}

/// The block's most probable choice in one unit.
Choice best_choice(const std::vector<Node>& nodes, std::size_t question, Unit unit) {
  std::map<Choice, double> odds;
  for (const Node& node : nodes) {
    if (node.unit != unit) continue;
    const LatticeSum& sum = node.sums[question];
    for (const Term& term : sum.terms) odds[term.index] += node.weight * term.mass / sum.total;
  }
  return std::max_element(odds.begin(), odds.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

/// Every value one dimension may have had; one that is round in both units is one value, in the unit chosen.
std::vector<RoundValue> candidates(const std::vector<Node>& nodes, std::size_t question,
                                   std::size_t dimension, const PatternInference& rules, Unit unit,
                                   long chosen) {
  constexpr double kPerMm = 1e6;  // values in nanometres: both units' steps are whole numbers of them
  std::map<long, RoundValue> by_value;
  for (const Node& node : nodes) {
    const LatticeSum& sum = node.sums[question];
    for (const Term& term : sum.terms) {
      const double value_mm = static_cast<double>(term.index[dimension]) * rules.series.finest_mm(node.unit);
      RoundValue& at =
          by_value.try_emplace(std::lround(value_mm * kPerMm), RoundValue{value_mm, node.unit, 0.0})
              .first->second;
      if (node.unit == unit) at.unit = unit;
      at.odds += node.weight * term.mass / sum.total;
    }
  }
  std::vector<RoundValue> all;
  for (const auto& [key, candidate] : by_value) all.push_back(candidate);
  const double chosen_mm = static_cast<double>(chosen) * rules.series.finest_mm(unit);
  const auto is_chosen = [chosen_mm](const RoundValue& c) { return std::abs(c.value_mm - chosen_mm) < 1e-7; };
  std::stable_sort(all.begin(), all.end(), [&](const RoundValue& a, const RoundValue& b) {
    return is_chosen(a) != is_chosen(b) ? is_chosen(a) : a.odds > b.odds;
  });
  std::erase_if(all, [&](const RoundValue& c) { return !is_chosen(c) && c.odds < kLeastOdds; });
  return all;
}

/// Measured value and sigma of one dimension, turn and scatter summed out.
Spread measured(const std::vector<Node>& nodes, std::size_t question, Eigen::Index dimension) {
  const Node& near = nodes.front();  // deviations from one of the values: nothing cancels
  const double middle = near.at->blocks[question].at(near.turn_rad)[dimension];
  double mean = 0.0, second = 0.0;
  for (const Node& node : nodes) {
    const Adjusted& block = node.at->blocks[question];
    const double value = block.at(node.turn_rad)[dimension] - middle;
    mean += node.weight * value;
    second += node.weight * (value * value + block.root_cov.row(dimension).squaredNorm());
  }
  return {middle + mean, std::sqrt(std::max(0.0, second - mean * mean))};
}

/// Chance that all dimensions of an item have the values chosen, whatever unit they were thought of in.
std::vector<double> odds_of_items(const std::vector<Node>& nodes, const std::vector<Question>& questions,
                                  const std::vector<Choice>& choices, int items,
                                  const PatternInference& rules, Unit unit) {
  std::vector<double> odds(static_cast<std::size_t>(items), 0.0);
  for (const Node& node : nodes) {
    std::vector<double> all(odds.size(), node.weight);
    for (std::size_t q = 0; q < questions.size(); ++q) {
      const auto choice =
          in_other_unit(choices[q], rules.series.finest_mm(unit), rules.series.finest_mm(node.unit));
      const double right = choice ? share(node.sums[q], *choice) : 0.0;
      for (const int item : questions[q].items) all[static_cast<std::size_t>(item)] *= right;
    }
    for (std::size_t i = 0; i < all.size(); ++i) odds[i] += all[i];
  }
  return odds;
}

void answer_turn_and_scatter(const std::vector<Node>& nodes, Answers& answers) {
  double scatter = 0.0, first = 0.0, second = 0.0, inch = 0.0;
  for (const Node& node : nodes) {
    scatter += node.weight * std::log(node.at->scatter_mm);
    first += node.weight * node.turn_rad;
    second += node.weight * node.turn_rad * node.turn_rad;
    if (node.unit == Unit::kInch) inch += node.weight;
  }
  answers.scatter_mm = std::exp(scatter);
  answers.turn_rad = first;
  answers.turn_sigma_rad = std::sqrt(std::max(0.0, second - first * first));
  answers.unit = inch > 0.5 ? Unit::kInch : Unit::kMm;
  answers.unit_odds = std::max(inch, 1.0 - inch);
}

}  // namespace

Answers find_round_values(const std::vector<Question>& questions, int items, const PatternInference& rules) {
  const Spread scatter = scatter_spread(questions, rules);
  std::vector<AtScatter> scatters;
  for (int i = 0; i < kScatterNodes; ++i) {
    scatters.push_back(at_scatter(
        questions, rules, scatter.mean + scatter.sd * kScatterReach * (2.0 * i / (kScatterNodes - 1) - 1.0)));
  }
  const std::vector<Node> nodes = all_nodes(scatters, rules);
  Answers answers;
  answer_turn_and_scatter(nodes, answers);
  std::vector<Choice> choices;
  for (std::size_t q = 0; q < questions.size(); ++q) {
    choices.push_back(best_choice(nodes, q, answers.unit));
    std::vector<Dimension> dimensions;
    for (std::size_t d = 0; d < questions[q].names.size(); ++d) {
      const Spread value = measured(nodes, q, static_cast<Eigen::Index>(d));
      dimensions.push_back({questions[q].names[d], value.mean, value.sd,
                            candidates(nodes, q, d, rules, answers.unit, choices[q][d])});
    }
    answers.dimensions.push_back(std::move(dimensions));
  }
  answers.item_odds = odds_of_items(nodes, questions, choices, items, rules, answers.unit);
  return answers;
}

}  // namespace fairhole::inference

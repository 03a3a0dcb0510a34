// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/odds.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <random>

namespace fairhole {
namespace {

// A matrix F with F F^T = C, for C positive semidefinite: pivoted, because surveys with exactly known
// coordinates have none of full rank.
Eigen::MatrixXd square_root(const Eigen::MatrixXd& cov) {
  if (cov.size() == 0) return cov;
  const Eigen::LDLT<Eigen::MatrixXd> ldlt(cov);
  const Eigen::VectorXd d = ldlt.vectorD().cwiseMax(0.0).cwiseSqrt();
  Eigen::MatrixXd factor = ldlt.matrixL();
  factor = factor * d.asDiagonal();
  return ldlt.transpositionsP().transpose() * factor;
}

struct Shift {
  Eigen::Vector2d mid_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d shift_mm = Eigen::Vector2d::Zero();
  double turn_rad = 0.0;

  Eigen::Vector2d at(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d arm = p - mid_mm;
    return shift_mm + turn_rad * Eigen::Vector2d(-arm.y(), arm.x());
  }
};

/// Faces of one body go wrong together: along what a mover carries both, the second is off as the first is,
/// by as much as one that hangs on so many holes is. What either is off by itself, and its turn about its own
/// holes, is its own. So no face's own errors are other than if it stood alone.
struct Tie {
  std::size_t first = 0, second = 0;
  Eigen::Matrix2d second_from_first = Eigen::Matrix2d::Zero();  ///< of what is shared
  Eigen::Matrix2d shared = Eigen::Matrix2d::Zero();             ///< projects on it, in the second's plane

  void apply(std::vector<Shift>& settings) const {
    Eigen::Vector2d& own = settings[second].shift_mm;
    own += second_from_first * settings[first].shift_mm - shared * own;
  }
};

double holes_of(const LocatingPair& pair) {
  return (pair.stack_a.empty() ? 0.0 : 1.0) + (pair.stack_b.empty() ? 0.0 : 1.0);
}

std::vector<Tie> ties_of(const Assembly& assembly, const std::vector<LocatingPair>& locating) {
  const auto moves = [](const SeatRange& range) { return range.most > range.least ? 1.0 : 0.0; };
  std::vector<Tie> ties;
  for (const Mover& mover : assembly.movers) {
    const Eigen::Vector2d free(moves(mover.play.dx_mm), moves(mover.play.dy_mm));
    for (std::size_t k = 1; k < mover.followers.size(); ++k) {
      const Mover::Follower &a = mover.followers.front(), &b = mover.followers[k];
      const double of_a = holes_of(locating[a.seat]), of_b = holes_of(locating[b.seat]);
      if (of_a == 0.0 || of_b == 0.0) continue;
      const Eigen::Matrix2d to_second = b.plate_from_mover * free.asDiagonal();
      ties.push_back({a.seat, b.seat, std::sqrt(of_a / of_b) * to_second * a.plate_from_mover.transpose(),
                      to_second * b.plate_from_mover.transpose()});
    }
  }
  return ties;
}

/// Which slips hide, drawn anew for each restoration: points of a Poisson stream laid along the slips, each
/// slip as long as makes it be hit with its probability. Cheap where all are unlikely. Has a stream of random
/// numbers of its own, so that slips change no other draw.
class SlipDraws {
 public:
  SlipDraws(const Assembly& assembly, const Eigen::SparseMatrix<double>& hung, std::uint64_t seed)
      : assembly_(assembly), random_(seed) {
    for (const AssemblySlip& slip : assembly.slips) {
      probability_.push_back(HiddenSlip::total(slip.sizes));
      length_ -= std::log1p(-std::min(probability_.back(), kNearlySure));
      ends_.push_back(length_);
      moves_.push_back(moves_of(slip, hung));
    }
  }

  void add_to(Eigen::Ref<Eigen::VectorXd> survey) {
    std::size_t last = ends_.size();
    double at = step_(random_);
    while (at < length_) {
      const auto k =
          static_cast<std::size_t>(std::upper_bound(ends_.begin(), ends_.end(), at) - ends_.begin());
      at += step_(random_);
      if (k == last) continue;
      last = k;
      survey -= size_of(k) * moves_[k];  // the hole is not where the slip laid it
    }
  }

 private:
  static constexpr double kNearlySure = 0.999;

  double size_of(std::size_t k) {
    double left = uniform_(random_) * probability_[k];
    const std::vector<HiddenSlip::Size>& sizes = assembly_.slips[k].sizes;
    for (const HiddenSlip::Size& size : sizes) {
      left -= size.probability;
      if (left <= 0.0) return size.mm;
    }
    return sizes.back().mm;
  }

  const Assembly& assembly_;
  std::mt19937_64 random_;
  std::exponential_distribution<double> step_{1.0};
  std::uniform_real_distribution<double> uniform_{0.0, 1.0};
  double length_ = 0.0;
  std::vector<double> ends_, probability_;
  std::vector<Eigen::VectorXd> moves_;
};

class Draws {
 public:
  explicit Draws(std::uint64_t seed) : random_(seed) {}
  double normal() { return normal_(random_); }
  /// y is drawn first. Which argument of a call comes first is left to the compiler; the odds must not be.
  Eigen::Vector2d normals() {
    const double y = normal();
    return {normal(), y};
  }
  double uniform() { return uniform_(random_); }

  Shift setting(const LocatingPair& pair, double sigma) {
    const Eigen::Vector2d a = normals();
    const Eigen::Vector2d b = normals();
    if (pair.stack_a.empty()) return {};
    if (pair.stack_b.empty()) return {pair.a_mm, sigma * a, 0.0};
    const Eigen::Vector2d along = pair.b_mm - pair.a_mm;
    const Eigen::Vector2d across(-along.y(), along.x());
    return {(pair.a_mm + pair.b_mm) / 2.0, sigma * (a + b) / 2.0,
            sigma * across.dot(b - a) / along.squaredNorm()};
  }

  Eigen::Vector2d drilling(const DrillingErrors& errors) {
    const auto one_axis = [&] {
      const double rounding = errors.rounding_step_mm * (uniform() - 0.5);
      const double punch = errors.punch_sigma_mm * normal();
      return rounding + punch + errors.wander_sigma_mm * normal();
    };
    const double x = one_axis();
    return {x, one_axis()};
  }

 private:
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  std::uniform_real_distribution<double> uniform_{0.0, 1.0};
};

class Simulation {
 public:
  Simulation(const Assembly& assembly, const std::vector<const StackEvent*>& events,
             const std::vector<LocatingPair>& locating, const FairingRules& rules)
      : assembly_(assembly),
        events_(events),
        locating_(locating),
        rules_(rules),
        draws_(rules.seed),
        ties_(ties_of(assembly, locating)) {
    for (const Stack& stack : assembly.stacks) {
      std::vector<int> seats;
      for (const OldLayer& layer : stack.layers) seats.push_back(seat_of(layer.joint));
      seats_.push_back(std::move(seats));
    }
  }

  Odds run() {
    std::vector<int> held(events_.size(), 0);
    int all_held = 0;
    const Eigen::SparseMatrix<double> hung = hanging(assembly_, locating_);
    const Eigen::MatrixXd root = hung * square_root(assembly_.covariance_mm2);
    SlipDraws slips(assembly_, hung, rules_.seed + 1);
    constexpr int kBatch = 64;  // columns a product: fast, and small in memory
    for (int done = 0; done < rules_.draws; done += kBatch) {
      const int batch = std::min(kBatch, rules_.draws - done);
      Eigen::MatrixXd normals(root.cols(), batch);
      for (Eigen::Index i = 0; i < normals.size(); ++i) normals.data()[i] = draws_.normal();
      Eigen::MatrixXd survey = root * normals;
      for (int column = 0; column < batch; ++column) {
        slips.add_to(survey.col(column));
        all_held += one_draw(survey.col(column), held) ? 1 : 0;
      }
    }
    return summary(held, all_held);
  }

 private:
  int seat_of(const std::string& joint) const {
    const auto found = std::find_if(locating_.begin(), locating_.end(),
                                    [&joint](const LocatingPair& pair) { return pair.joint == joint; });
    return found == locating_.end() ? -1 : static_cast<int>(found - locating_.begin());
  }

  bool one_draw(const Eigen::VectorXd& survey, std::vector<int>& held) {
    std::vector<Shift> settings;
    for (const LocatingPair& pair : locating_)
      settings.push_back(draws_.setting(pair, rules_.setting_sigma_mm));
    for (const Tie& tie : ties_) tie.apply(settings);
    bool all = true;
    for (std::size_t i = 0; i < events_.size(); ++i) {
      const bool holds =
          stack_holds(i, survey, settings);  // drawn for every stack: a pin moves no other's draws
      if (events_[i] == nullptr) continue;
      held[i] += holds ? 1 : 0;
      all = all && holds;
    }
    return all;
  }

  bool stack_holds(std::size_t index, const Eigen::VectorXd& survey, const std::vector<Shift>& settings) {
    const Stack& stack = assembly_.stacks[index];
    std::vector<Eigen::Vector2d> shifts;
    std::vector<double> radius_errors;
    for (std::size_t k = 0; k < stack.layers.size(); ++k) {
      const OldLayer& layer = stack.layers[k];
      Eigen::Vector2d shift = Eigen::Vector2d::Zero();
      if (layer.covariance_index >= 0) shift += survey.segment<2>(2 * Eigen::Index{layer.covariance_index});
      if (seats_[index][k] >= 0)
        shift += settings[static_cast<std::size_t>(seats_[index][k])].at(layer.centre_mm);
      shifts.push_back(shift);
      radius_errors.push_back(draws_.normal());
    }
    const Eigen::Vector2d drilled = draws_.drilling(rules_.drilling);
    if (events_[index] == nullptr) return true;
    for (std::size_t k = 0; k < radius_errors.size(); ++k) {
      radius_errors[k] *= events_[index]->layers[k].radius_sigma_mm;
    }
    return event_holds(*events_[index], shifts, drilled, radius_errors);
  }

  Odds summary(const std::vector<int>& held, int all_held) const {
    Odds odds;
    const double draws = rules_.draws;
    for (const int count : held) odds.stack.push_back(count / draws);
    odds.job = all_held / draws;
    odds.job_sigma = std::sqrt(odds.job * (1.0 - odds.job) / draws);
    return odds;
  }

  const Assembly& assembly_;
  const std::vector<const StackEvent*>& events_;
  const std::vector<LocatingPair>& locating_;
  const FairingRules& rules_;
  Draws draws_;
  std::vector<Tie> ties_;
  std::vector<std::vector<int>> seats_;
};

}  // namespace

Odds monte_carlo_odds(const Assembly& assembly, const std::vector<const StackEvent*>& events,
                      const std::vector<LocatingPair>& locating, const FairingRules& rules) {
  return Simulation(assembly, events, locating, rules).run();
}

}  // namespace fairhole

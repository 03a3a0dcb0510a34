// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>

#include "fairhole/geometry/circle.h"
#include "test_seats.h"

/// A second method for seats that shares nothing with the search: a smoothed maximum followed down by
/// gradients from several starts, judged by plain geometry.
namespace fairhole::test {

/// Pushes a smoothed largest (|c - z| + r - limit) down; variables: seats and stack centres.
class SmoothDescent {
 public:
  SmoothDescent(const JointCase& joint, const std::vector<double>& limit_radius)
      : joint_(joint), limit_(limit_radius) {}

  /// Best true worst value over the starts (found by plain geometry), stopping at `enough`.
  double run(double enough, std::mt19937_64& random, int starts) {
    double best = kNoLimit;
    for (int start = 0; start < starts && best > enough; ++start) {
      std::vector<SeatMove> moves;
      for (const SeatPlay& play : joint_.parts) {
        const double share = start == 0 ? 0.0 : 1.0;
        moves.push_back({share * uniform(random, play.dx_mm.least, play.dx_mm.most),
                         share * uniform(random, play.dy_mm.least, play.dy_mm.most),
                         share * uniform(random, play.turn_rad.least, play.turn_rad.most)});
      }
      best = std::min(best, descend(moves));
    }
    return best;
  }

 private:
  static constexpr double kArmMm = 100.0;  // turn counted at this arm, so that all variables are of one size

  Eigen::Vector2d centre(const SeatDisc& disc, const std::vector<SeatMove>& moves) const {
    Eigen::Vector2d centre = disc.centre_mm;
    for (const SeatFollow& follow : disc.follows) {
      const SeatMove& m = moves[static_cast<std::size_t>(follow.part)];
      centre += follow.by_shift * Eigen::Vector2d(m.dx_mm, m.dy_mm) +
                follow.by_sine_mm * std::sin(m.turn_rad) +
                follow.by_versine_mm * (1.0 - std::cos(m.turn_rad));
    }
    return centre;
  }
  double worst(const std::vector<SeatMove>& moves) const {
    std::vector<std::vector<Circle>> stacks(limit_.size());
    for (const SeatDisc& disc : joint_.discs) {
      stacks[static_cast<std::size_t>(disc.stack)].push_back({centre(disc, moves), disc.radius_mm});
    }
    double most = -kNoLimit;
    for (std::size_t s = 0; s < stacks.size(); ++s) {
      if (limit_[s] != kNoLimit)
        most = std::max(most, smallest_enclosing(stacks[s]).circle.radius_mm - limit_[s]);
    }
    return most;
  }
  double descend(std::vector<SeatMove> moves) {
    std::vector<Eigen::Vector2d> z(limit_.size(), Eigen::Vector2d::Zero());
    std::vector<int> count(limit_.size(), 0);
    for (const SeatDisc& d : joint_.discs)
      z[static_cast<std::size_t>(d.stack)] += centre(d, moves), ++count[static_cast<std::size_t>(d.stack)];
    for (std::size_t s = 0; s < z.size(); ++s) z[s] /= std::max(1, count[s]);
    double best = worst(moves);
    double soft = 0.2, rate = 0.1;
    std::vector<Eigen::Vector2d> z_speed(z.size(), Eigen::Vector2d::Zero());
    std::vector<Eigen::Vector3d> speed(moves.size(), Eigen::Vector3d::Zero());
    for (int round = 0; round < 10; ++round, soft *= 0.5, rate *= 0.5) {
      for (int step = 0; step < 120; ++step) push(moves, z, speed, z_speed, soft, rate);
      best = std::min(best, worst(moves));
    }
    return best;
  }
  void push(std::vector<SeatMove>& moves, std::vector<Eigen::Vector2d>& z,
            std::vector<Eigen::Vector3d>& speed, std::vector<Eigen::Vector2d>& z_speed, double soft,
            double rate) const {
    struct Term {
      double value;
      Eigen::Vector2d unit;
    };
    std::vector<Term> terms;
    double most = -kNoLimit;
    for (const SeatDisc& d : joint_.discs) {
      const auto s = static_cast<std::size_t>(d.stack);
      const Eigen::Vector2d out = centre(d, moves) - z[s];
      const double length = std::sqrt(out.squaredNorm() + 1e-4 * soft * soft);
      terms.push_back({limit_[s] == kNoLimit ? -kNoLimit : length + d.radius_mm - limit_[s], out / length});
      most = std::max(most, terms.back().value);
    }
    double total = 0.0;
    for (const Term& t : terms) total += std::exp((t.value - most) / soft);
    std::vector<Eigen::Vector3d> slope(moves.size(), Eigen::Vector3d::Zero());
    std::vector<Eigen::Vector2d> z_slope(z.size(), Eigen::Vector2d::Zero());
    for (std::size_t i = 0; i < terms.size(); ++i) {
      const SeatDisc& d = joint_.discs[i];
      const Eigen::Vector2d g = std::exp((terms[i].value - most) / soft) / total * terms[i].unit;
      for (const SeatFollow& f : d.follows) {
        const auto p = static_cast<std::size_t>(f.part);
        const double t = moves[p].turn_rad;
        slope[p].head<2>() += f.by_shift.transpose() * g;
        slope[p][2] += (f.by_sine_mm * std::cos(t) + f.by_versine_mm * std::sin(t)).dot(g) / kArmMm;
      }
      z_slope[static_cast<std::size_t>(d.stack)] -= g;
    }
    for (std::size_t s = 0; s < z.size(); ++s) {
      z_speed[s] = 0.8 * z_speed[s] - rate * z_slope[s];
      z[s] += z_speed[s];
    }
    for (std::size_t p = 0; p < moves.size(); ++p) {
      speed[p] = 0.8 * speed[p] - rate * slope[p];
      const SeatPlay& play = joint_.parts[p];
      moves[p].dx_mm = std::clamp(moves[p].dx_mm + speed[p][0], play.dx_mm.least, play.dx_mm.most);
      moves[p].dy_mm = std::clamp(moves[p].dy_mm + speed[p][1], play.dy_mm.least, play.dy_mm.most);
      moves[p].turn_rad =
          std::clamp(moves[p].turn_rad + speed[p][2] / kArmMm, play.turn_rad.least, play.turn_rad.most);
    }
  }

  const JointCase& joint_;
  std::vector<double> limit_;
};

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "hypotheses.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

constexpr double kPriorSigmas = 5.0;
constexpr std::size_t kMostTried = 20000;

/// Nominal holes that a measured one may be, by the prior alone.
std::vector<std::vector<int>> reachable(const PointSets& points, const PosePrior& prior, double scatter_mm) {
  std::vector<std::vector<int>> holes(points.measured_mm.size());
  for (std::size_t a = 0; a < points.nominal_mm.size(); ++a) {
    const Eigen::Vector2d posed_mm = prior.pose.motion * points.nominal_mm[a];
    const double arm_mm = (points.nominal_mm[a] - prior.turn_about_mm).norm();
    const double reach_mm =
        kPriorSigmas * (prior.sigma.head<2>().norm() + arm_mm * prior.sigma.z() + scatter_mm);
    for (std::size_t i = 0; i < points.measured_mm.size(); ++i) {
      if ((points.measured_mm[i] - posed_mm).norm() <= reach_mm) holes[i].push_back(static_cast<int>(a));
    }
  }
  return holes;
}

/// The pose that carries a onto p, and b as near to q as it goes.
Motion pose_from_pair(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& p,
                      const Eigen::Vector2d& q, bool mirrored) {
  Eigen::Vector2d from = b - a;
  if (mirrored) from.y() = -from.y();
  const Eigen::Vector2d to = q - p;
  Motion pose{Eigen::Vector2d::Zero(),
              Angle::radians(std::atan2(from.x() * to.y() - from.y() * to.x(), from.dot(to))), mirrored};
  pose.shift_mm = 0.5 * (p + q) - pose * Eigen::Vector2d(0.5 * (a + b));
  return pose;
}

bool inside_prior(const Motion& pose, const PosePrior& prior) {
  const Motion& middle = prior.pose.motion;
  const Eigen::Vector2d off_mm = pose * prior.turn_about_mm - middle * prior.turn_about_mm;
  const double turn = std::remainder(pose.turn.radians() - middle.turn.radians(), 2.0 * std::numbers::pi);
  return std::abs(off_mm.x()) <= kPriorSigmas * prior.sigma.x() &&
         std::abs(off_mm.y()) <= kPriorSigmas * prior.sigma.y() &&
         std::abs(turn) <= kPriorSigmas * prior.sigma.z();
}

struct MeasuredPair {
  int i, j;
  double apart_mm;
};

/// Farthest apart first: they fix the turn best. Each hole still comes up early, since every hole has a far
/// partner.
std::vector<MeasuredPair> measured_pairs(const PointSets& points) {
  std::vector<MeasuredPair> pairs;
  const auto n = static_cast<int>(points.measured_mm.size());
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < n; ++j) {
      pairs.push_back(
          {i, j,
           (points.measured_mm[static_cast<std::size_t>(i)] - points.measured_mm[static_cast<std::size_t>(j)])
               .norm()});
    }
  }
  std::stable_sort(pairs.begin(), pairs.end(),
                   [](const MeasuredPair& a, const MeasuredPair& b) { return a.apart_mm > b.apart_mm; });
  return pairs;
}

struct Scored {
  Motion pose;
  double gain = 0.0;
};

double total_gain(const PointSets& points, const Motion& pose, const Registrar& registrar,
                  const HoleOdds& odds) {
  const double gate_chi2 = chi2_quantile(1.0 - registrar.gate_loss, 2.0);
  std::vector<double> best(points.nominal_mm.size(), 0.0);
  for (const Gain& gain : gated_gains(points, pose, Eigen::Matrix3d::Zero(),
                                      2.0 * registrar.expected_scatter_mm, gate_chi2, odds)) {
    double& at = best[static_cast<std::size_t>(gain.pair.nominal)];
    at = std::max(at, gain.gain);
  }
  double sum = 0.0;
  for (const double gain : best) sum += gain;
  return sum;
}

bool alike(const Motion& a, const Motion& b, const PointSets& points, double tolerance_mm) {
  return (a * points.nominal_mm.front() - b * points.nominal_mm.front()).norm() < tolerance_mm &&
         (a * points.nominal_mm.back() - b * points.nominal_mm.back()).norm() < tolerance_mm;
}

}  // namespace

std::vector<Motion> pose_hypotheses(const PointSets& points, const PosePrior& prior,
                                    const Registrar& registrar, const HoleOdds& odds, int most) {
  const double scatter_mm = registrar.expected_scatter_mm;
  const double slack_mm = 2.0 * kPriorSigmas * scatter_mm;
  const auto candidates = reachable(points, prior, scatter_mm);
  std::vector<Scored> scored{{prior.pose.motion, total_gain(points, prior.pose.motion, registrar, odds)}};
  for (const MeasuredPair& pair : measured_pairs(points)) {
    if (scored.size() >= kMostTried) break;
    const Eigen::Vector2d& p = points.measured_mm[static_cast<std::size_t>(pair.i)];
    const Eigen::Vector2d& q = points.measured_mm[static_cast<std::size_t>(pair.j)];
    for (const int a : candidates[static_cast<std::size_t>(pair.i)]) {
      for (const int b : candidates[static_cast<std::size_t>(pair.j)]) {
        const Eigen::Vector2d& from = points.nominal_mm[static_cast<std::size_t>(a)];
        const Eigen::Vector2d& to = points.nominal_mm[static_cast<std::size_t>(b)];
        if (a == b || std::abs((to - from).norm() - pair.apart_mm) > slack_mm) continue;
        const Motion pose = pose_from_pair(from, to, p, q, prior.pose.motion.mirrored);
        if (inside_prior(pose, prior)) scored.push_back({pose, total_gain(points, pose, registrar, odds)});
      }
    }
  }
  std::stable_sort(scored.begin(), scored.end(),
                   [](const Scored& a, const Scored& b) { return a.gain > b.gain; });
  std::vector<Motion> poses;
  for (const Scored& s : scored) {
    if (static_cast<int>(poses.size()) >= most) break;
    const bool known = std::any_of(poses.begin(), poses.end(), [&](const Motion& pose) {
      return alike(pose, s.pose, points, 2.0 * scatter_mm);
    });
    if (!known) poses.push_back(s.pose);
  }
  return poses;
}

}  // namespace fairhole

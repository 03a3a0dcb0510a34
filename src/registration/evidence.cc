// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "evidence.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

/// log density of the prior at a pose, and of a prior that is wide against the pose's own covariance.
double log_prior_density(const Motion& pose, const PosePrior& prior) {
  const Motion& middle = prior.pose.motion;
  const Eigen::Vector2d off_mm = pose * prior.turn_about_mm - middle * prior.turn_about_mm;
  const double turn = std::remainder(pose.turn.radians() - middle.turn.radians(), 2.0 * std::numbers::pi);
  const Eigen::Vector3d z(off_mm.x() / prior.sigma.x(), off_mm.y() / prior.sigma.y(), turn / prior.sigma.z());
  return -0.5 * z.squaredNorm() - 1.5 * std::log(2.0 * std::numbers::pi) - prior.sigma.array().log().sum();
}

double log_evidence(const PointSets& points, const Candidate& candidate, const PosePrior& prior,
                    const HoleOdds& odds) {
  const auto pairs = static_cast<double>(candidate.pairs.size());
  const double missing = static_cast<double>(points.nominal_mm.size()) - pairs;
  const double extra = static_cast<double>(points.measured_mm.size()) - pairs;
  return candidate.pose.log_evidence + log_prior_density(candidate.pose.face_from_pattern, prior) +
         pairs * std::log1p(-odds.missing) + missing * std::log(odds.missing) +
         extra * odds.log_extra_density;
}

}  // namespace

double HoleOdds::log_gain_constant() const {
  return std::log1p(-missing) - std::log(missing) - log_extra_density;
}

HoleOdds hole_odds(const PointSets& points) {
  constexpr double kBorderMm = 50.0;  // metal around the outermost holes
  constexpr double kExtraShare = 0.1;
  Eigen::Vector2d low = points.measured_mm.front(), high = low;
  for (const Eigen::Vector2d& p : points.measured_mm) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  const Eigen::Vector2d box_mm = (high - low).array() + 2.0 * kBorderMm;
  HoleOdds odds;
  const double expected = std::max(1.0, kExtraShare * static_cast<double>(points.nominal_mm.size()));
  odds.log_extra_density = std::log(expected / box_mm.prod());
  return odds;
}

Eigen::Matrix2d image_covariance(const Motion& pose, const Eigen::Matrix3d& pose_cov,
                                 const Eigen::Vector2d& q_mm) {
  const Eigen::Vector2d arm_mm = pose * q_mm - pose.shift_mm;
  Eigen::Matrix<double, 2, 3> image_from_pose;
  image_from_pose << 1.0, 0.0, -arm_mm.y(), 0.0, 1.0, arm_mm.x();
  return image_from_pose * pose_cov * image_from_pose.transpose();
}

double log_normal_density(const Eigen::Vector2d& r_mm, const Eigen::Matrix2d& cov_mm2) {
  return -0.5 * r_mm.dot(cov_mm2.inverse() * r_mm) - 0.5 * std::log(cov_mm2.determinant()) -
         std::log(2.0 * std::numbers::pi);
}

std::vector<Gain> gated_gains(const PointSets& points, const Motion& pose, const Eigen::Matrix3d& pose_cov,
                              double scatter_mm, double gate_chi2, const HoleOdds& odds) {
  std::vector<Gain> gains;
  const Eigen::Matrix2d own = scatter_mm * scatter_mm * Eigen::Matrix2d::Identity();
  const double constant = odds.log_gain_constant();
  for (std::size_t a = 0; a < points.nominal_mm.size(); ++a) {
    const Eigen::Vector2d posed_mm = pose * points.nominal_mm[a];
    const Eigen::Matrix2d posed_cov = image_covariance(pose, pose_cov, points.nominal_mm[a]) + own;
    for (std::size_t i = 0; i < points.measured_mm.size(); ++i) {
      const Eigen::Vector2d r_mm = points.measured_mm[i] - posed_mm;
      const Eigen::Matrix2d cov = posed_cov + points.blocks_mm2[i];
      if (r_mm.squaredNorm() > gate_chi2 * cov.trace())
        continue;  // outside for any direction: spare the inverse
      if (r_mm.dot(cov.inverse() * r_mm) > gate_chi2) continue;
      const double gain = log_normal_density(r_mm, cov) + constant;
      if (gain > 0.0) gains.push_back({{static_cast<int>(a), static_cast<int>(i)}, gain});
    }
  }
  return gains;
}

std::optional<Candidate> refine(const PointSets& points, const Motion& start, const PosePrior& prior,
                                const Registrar& registrar, const HoleOdds& odds) {
  constexpr int kMostRounds = 12;  // two or three do; more means two assignments that lead to each other
  const double gate_chi2 = chi2_quantile(1.0 - registrar.gate_loss, 2.0);
  const auto nominal_count = static_cast<int>(points.nominal_mm.size());
  const auto measured_count = static_cast<int>(points.measured_mm.size());
  Candidate candidate;
  Motion pose = start;
  // A hypothesis rests on two holes that scatter: start with a gate twice as wide.
  double scatter_mm = 2.0 * registrar.expected_scatter_mm;
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();
  for (int round = 0; round < kMostRounds; ++round) {
    std::vector<Pairing> pairs = best_assignment(gated_gains(points, pose, cov, scatter_mm, gate_chi2, odds),
                                                 nominal_count, measured_count);
    const bool same = round > 0 && pairs == candidate.pairs;
    candidate.pairs = std::move(pairs);
    if (same) break;
    const auto adjusted = adjust_pose(points, candidate.pairs, pose, registrar.expected_scatter_mm);
    if (!adjusted) return std::nullopt;
    candidate.pose = *adjusted;
    pose = adjusted->face_from_pattern;
    cov = adjusted->cov;
    scatter_mm = std::max(adjusted->scatter_mm, registrar.expected_scatter_mm);
  }
  const auto last = adjust_pose(points, candidate.pairs, pose, registrar.expected_scatter_mm);
  if (!last) return std::nullopt;
  candidate.pose = *last;
  candidate.log_evidence = log_evidence(points, candidate, prior, odds);
  return candidate;
}

}  // namespace fairhole

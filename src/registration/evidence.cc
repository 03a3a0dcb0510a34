// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "evidence.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace fairhole {
namespace {

constexpr double kMissingBeta = 3.0;  // Beta(1, 3)
constexpr double kExtraShare = 0.2;

/// Area of the points' box along their principal axes, with a border of metal around the outermost holes.
double area_mm2(const std::vector<Eigen::Vector2d>& points_mm) {
  constexpr double kBorderMm = 50.0;
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& p : points_mm) middle += p / static_cast<double>(points_mm.size());
  Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
  for (const Eigen::Vector2d& p : points_mm) spread += (p - middle) * (p - middle).transpose();
  Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes;
  axes.computeDirect(spread);
  Eigen::Vector2d low = Eigen::Vector2d::Zero(), high = low;
  for (const Eigen::Vector2d& p : points_mm) {
    const Eigen::Vector2d along = axes.eigenvectors().transpose() * (p - middle);
    low = low.cwiseMin(along);
    high = high.cwiseMax(along);
  }
  return ((high - low).array() + 2.0 * kBorderMm).prod();
}

bool hold_pins(const std::vector<Pairing>& pairs, const Pins& pins) {
  return std::all_of(pins.pairs.begin(), pins.pairs.end(),
                     [&](const Pairing& pin) { return std::binary_search(pairs.begin(), pairs.end(), pin); });
}

/// The pair farthest off for its survey, pinned ones apart; the number of pairs where there is none.
std::size_t worst_pair(const Scene& scene, const Candidate& candidate) {
  const double own_mm2 = candidate.pose.scatter_mm * candidate.pose.scatter_mm;
  std::size_t worst = candidate.pairs.size();
  double most = -1.0;
  for (std::size_t k = 0; k < candidate.pairs.size(); ++k) {
    const Pairing& pair = candidate.pairs[k];
    if (scene.pins.measured_of[at(pair.nominal)] == pair.measured) continue;
    const Eigen::Matrix2d cov =
        scene.points.blocks_mm2[at(pair.measured)] + own_mm2 * Eigen::Matrix2d::Identity();
    const Eigen::Vector2d& r_mm = candidate.pose.residual_mm[k];
    const double chi2 = r_mm.dot(cov.inverse() * r_mm);
    if (chi2 > most) most = chi2, worst = k;
  }
  return worst;
}

/// The pairs of largest total gain at a pose.
std::vector<Pairing> assigned(const Scene& scene, const Motion& pose, const Eigen::Matrix3d& pose_cov,
                              double scatter_mm, std::size_t expected_pairs) {
  return best_assignment(gated_gains(scene, pose, pose_cov, scatter_mm, expected_pairs),
                         static_cast<int>(scene.points.nominal_mm.size()),
                         static_cast<int>(scene.points.measured_mm.size()));
}

double log_evidence(const Scene& scene, const Candidate& candidate) {
  double diameters = 0.0;
  for (const Pairing& pair : candidate.pairs)
    diameters += scene.diameters.log_ratio(pair.nominal, pair.measured);
  return candidate.pose.log_evidence + scene.odds.log_probability(candidate.pairs.size()) + diameters;
}

}  // namespace

HoleOdds::HoleOdds(const PointSets& points, std::optional<double> metal_mm2)
    : nominal_(static_cast<double>(points.nominal_mm.size())),
      measured_(static_cast<double>(points.measured_mm.size())),
      // Either may be the larger part of the metal. In principal axes, so that no frame is preferred.
      log_area_mm2_(
          std::log(metal_mm2.value_or(std::max(area_mm2(points.nominal_mm), area_mm2(points.measured_mm))))) {
}

double HoleOdds::log_probability(std::size_t pairs) const {
  const auto found = static_cast<double>(pairs);
  const double missing = nominal_ - found, extra = measured_ - found;
  // Beta and gamma integrals of m^missing (1 - m)^found and of e^(-r N) (r N)^extra.
  const double log_missing = std::lgamma(1.0 + missing) + std::lgamma(kMissingBeta + found) -
                             std::lgamma(1.0 + kMissingBeta + nominal_) + std::log(kMissingBeta);
  const double log_extra = std::lgamma(1.0 + extra) + extra * (std::log(nominal_) - log_area_mm2_) -
                           std::log(kExtraShare) - (extra + 1.0) * std::log(nominal_ + 1.0 / kExtraShare);
  return log_missing + log_extra;
}

double HoleOdds::log_gain(std::size_t pairs) const {
  const std::size_t at_least_one = std::max<std::size_t>(pairs, 1);
  return log_probability(at_least_one) - log_probability(at_least_one - 1);
}

double HoleOdds::even_density() const { return std::exp(-log_area_mm2_) / (2.0 * std::numbers::pi); }

Eigen::Matrix2d image_covariance(const Motion& pose, const Eigen::Matrix3d& pose_cov,
                                 const Eigen::Vector2d& q_mm) {
  const Eigen::Vector2d arm_mm = pose * q_mm - pose.shift_mm;
  Eigen::Matrix<double, 2, 3> image_from_pose;
  image_from_pose << 1.0, 0.0, -arm_mm.y(), 0.0, 1.0, arm_mm.x();
  return image_from_pose * pose_cov * image_from_pose.transpose();
}

double log_place_density(const Motion& pose, const Eigen::Matrix3d& cov, const PosePrior& place,
                         double even_density) {
  Motion middle = place.pose.motion;
  middle.mirrored = pose.mirrored;
  const Eigen::Vector2d arm_mm = pose * place.turn_about_mm - pose.shift_mm;
  Eigen::Vector3d off;
  off.head<2>() = pose * place.turn_about_mm - middle * place.turn_about_mm;
  off.z() = std::remainder(pose.turn.radians() - middle.turn.radians(), 2.0 * std::numbers::pi);
  Eigen::Matrix3d at_point = Eigen::Matrix3d::Identity();
  at_point.block<2, 1>(0, 2) = Eigen::Vector2d(-arm_mm.y(), arm_mm.x());
  Eigen::Matrix3d sum = at_point * cov * at_point.transpose();
  sum.diagonal() += place.sigma.cwiseAbs2();
  const double log_near = -0.5 * off.dot(sum.inverse() * off) - 0.5 * std::log(sum.determinant()) -
                          1.5 * std::log(2.0 * std::numbers::pi);
  if (place.doubt <= 0.0) return log_near;
  const double log_far = std::log(place.doubt * even_density);
  const double log_true = std::log1p(-place.doubt) + log_near;
  const double larger = std::max(log_far, log_true);
  return larger + std::log(std::exp(log_far - larger) + std::exp(log_true - larger));
}

double log_normal_density(const Eigen::Vector2d& r_mm, const Eigen::Matrix2d& cov_mm2) {
  return -0.5 * r_mm.dot(cov_mm2.inverse() * r_mm) - 0.5 * std::log(cov_mm2.determinant()) -
         std::log(2.0 * std::numbers::pi);
}

std::vector<Gain> gated_gains(const Scene& scene, const Motion& pose, const Eigen::Matrix3d& pose_cov,
                              double scatter_mm, std::size_t pairs) {
  const PointSets& points = scene.points;
  std::vector<Gain> gains;
  const Eigen::Matrix2d own = scatter_mm * scatter_mm * Eigen::Matrix2d::Identity();
  const double constant = scene.odds.log_gain(pairs);
  const Motion pattern_from_face = pose.inverse();
  for (std::size_t i = 0; i < points.measured_mm.size(); ++i) {
    const Eigen::Vector2d q_mm = pattern_from_face * points.measured_mm[i];
    const Eigen::Matrix2d cov = image_covariance(pose, pose_cov, q_mm) + own + points.blocks_mm2[i];
    const Eigen::Matrix2d weight = cov.inverse();
    const double log_peak = constant - 0.5 * std::log(cov.determinant()) - std::log(2.0 * std::numbers::pi);
    points.grid.near(q_mm, std::sqrt(scene.gate_chi2 * cov.trace()), [&](int a) {
      const auto measured = static_cast<int>(i);
      const Eigen::Vector2d r_mm = points.measured_mm[i] - pose * points.nominal_mm[at(a)];
      const double chi2 = r_mm.dot(weight * r_mm);
      if (chi2 > scene.gate_chi2 || !scene.pins.allow(a, measured)) return;
      const bool pinned = scene.pins.nominal_of[i] == a;
      const double gain = log_peak - 0.5 * chi2 + scene.diameters.log_ratio(a, measured);
      constexpr double kPinned = 1e6;  // outweighs any other choice
      if (gain > 0.0 || pinned) gains.push_back({{a, measured}, pinned ? kPinned : gain});
    });
  }
  return gains;
}

std::optional<Candidate> with_pairs(const Scene& scene, TridiagonalForms& forms, std::vector<Pairing> pairs,
                                    const Motion& start) {
  const auto adjusted = adjust_pose(scene.points, forms, pairs, start, scene.expected_scatter_mm);
  if (!adjusted) return std::nullopt;
  Candidate candidate{*adjusted, std::move(pairs)};
  candidate.log_evidence = candidate.log_pairs = log_evidence(scene, candidate);
  return candidate;
}

std::vector<Pairing> first_pairs(const Scene& scene, const Motion& pose, const Eigen::Matrix3d& cov) {
  // A hypothesis rests on few holes that scatter: start with a gate twice as wide.
  const std::size_t expected = std::min(scene.points.nominal_mm.size(), scene.points.measured_mm.size());
  return assigned(scene, pose, cov, 2.0 * scene.expected_scatter_mm, expected);
}

std::optional<Candidate> refine(const Scene& scene, TridiagonalForms& forms, std::vector<Pairing> pairs,
                                Motion pose) {
  constexpr int kMostRounds = 8;  // two or three do; more means two assignments that lead to each other
  std::optional<Candidate> best;
  for (int round = 0; round < kMostRounds; ++round) {
    auto candidate = with_pairs(scene, forms, pairs, pose);
    if (!candidate) break;
    pose = candidate->pose.face_from_pattern;
    // The estimate of few holes may be far too small by luck.
    const double scatter_mm = std::max(candidate->pose.scatter_mm, 0.5 * scene.expected_scatter_mm);
    std::vector<Pairing> next = assigned(scene, pose, candidate->pose.cov, scatter_mm, pairs.size());
    if (hold_pins(pairs, scene.pins) && (!best || candidate->log_evidence > best->log_evidence))
      best = std::move(candidate);
    if (next == pairs) break;
    pairs = std::move(next);
  }
  return best;
}

double log_sum(double log_a, double log_b) {
  const double larger = std::max(log_a, log_b);
  return std::isinf(larger) ? larger : larger + std::log(std::exp(log_a - larger) + std::exp(log_b - larger));
}

HandAndPairs hand_and_pairs(const Candidate& candidate) {
  return {candidate.pose.face_from_pattern.mirrored, candidate.pairs};
}

Candidate weigh_fewer_pairs(const Scene& scene, TridiagonalForms& forms, Candidate candidate,
                            std::set<HandAndPairs>& counted) {
  constexpr std::size_t kMostPairs = 24, kFewestPairs = 2;
  if (candidate.pairs.size() > kMostPairs) return candidate;
  double log_all = candidate.log_pairs;
  for (Candidate fewer = candidate; fewer.pairs.size() > kFewestPairs;) {
    const std::size_t worst = worst_pair(scene, fewer);
    if (worst == fewer.pairs.size()) break;
    std::vector<Pairing> pairs = fewer.pairs;
    pairs.erase(pairs.begin() + static_cast<std::ptrdiff_t>(worst));
    auto next = with_pairs(scene, forms, std::move(pairs), fewer.pose.face_from_pattern);
    if (!next) break;
    fewer = std::move(*next);
    if (!counted.insert(hand_and_pairs(fewer)).second) continue;
    log_all = log_sum(log_all, fewer.log_pairs);
    if (fewer.log_pairs > candidate.log_pairs) candidate = fewer;
  }
  candidate.log_evidence = log_all;
  return candidate;
}

bool alike(const Motion& a, const Motion& b, const Scene& scene) {
  if (a.mirrored != b.mirrored) return false;
  const auto& holes = scene.points.nominal_mm;
  return std::all_of(holes.begin(), holes.end(), [&](const Eigen::Vector2d& q_mm) {
    return (a * q_mm - b * q_mm).norm() < scene.alike_mm;
  });
}

}  // namespace fairhole

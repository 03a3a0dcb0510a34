// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "adjust.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <cmath>
#include <numbers>

namespace fairhole {
namespace {

constexpr double kLogScatterSd = 0.7;

/// S + s^2 I of the paired points, factored: solves and determinant.
class Weights {
 public:
  Weights(const PointSets& points, std::span<const Pairing> pairs, double scatter_mm) {
    const double s2 = scatter_mm * scatter_mm;
    if (points.full_mm2.size() == 0) {
      for (const Pairing& pair : pairs) {
        const Eigen::Matrix2d cov =
            points.blocks_mm2[static_cast<std::size_t>(pair.measured)] + s2 * Eigen::Matrix2d::Identity();
        blocks_.emplace_back(cov.inverse());
        log_det_ += std::log(cov.determinant());
      }
      return;
    }
    const auto n = static_cast<Eigen::Index>(pairs.size());
    Eigen::MatrixXd cov(2 * n, 2 * n);
    for (Eigen::Index i = 0; i < n; ++i) {
      for (Eigen::Index j = 0; j < n; ++j) {
        cov.block<2, 2>(2 * i, 2 * j) = points.full_mm2.block<2, 2>(
            2 * pairs[static_cast<std::size_t>(i)].measured, 2 * pairs[static_cast<std::size_t>(j)].measured);
      }
    }
    cov.diagonal().array() += s2;
    dense_.compute(cov);
    log_det_ = 2.0 * dense_.matrixLLT().diagonal().array().log().sum();
  }

  Eigen::MatrixXd solve(const Eigen::MatrixXd& right) const {
    if (blocks_.empty()) return dense_.solve(right);
    Eigen::MatrixXd left(right.rows(), right.cols());
    for (std::size_t i = 0; i < blocks_.size(); ++i) {
      const auto row = static_cast<Eigen::Index>(2 * i);
      left.middleRows<2>(row) = blocks_[i] * right.middleRows<2>(row);
    }
    return left;
  }
  double log_det() const { return log_det_; }

 private:
  std::vector<Eigen::Matrix2d> blocks_;
  Eigen::LLT<Eigen::MatrixXd> dense_;
  double log_det_ = 0.0;
};

/// The pose about the middle of the nominal points, where shift and turn hang together least.
struct Centred {
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();  ///< of the nominal points
  Eigen::Vector2d image_mm = Eigen::Vector2d::Zero();   ///< where the pose puts it
  double turn_rad = 0.0;
  bool mirrored = false;

  Motion motion() const {
    Motion m{Eigen::Vector2d::Zero(), Angle::radians(turn_rad), mirrored};
    m.shift_mm = image_mm - m * middle_mm;
    return m;
  }
};

struct Linear {
  Eigen::VectorXd residual_mm;  ///< measured minus posed
  Eigen::MatrixXd design;       ///< 2n x 3: d posed / d (image x, image y, turn)
};

Linear linearise(const PointSets& points, std::span<const Pairing> pairs, const Centred& pose) {
  const Motion motion = pose.motion();
  const auto n = static_cast<Eigen::Index>(pairs.size());
  Linear linear{Eigen::VectorXd(2 * n), Eigen::MatrixXd::Zero(2 * n, 3)};
  for (Eigen::Index i = 0; i < n; ++i) {
    const Pairing& pair = pairs[static_cast<std::size_t>(i)];
    const Eigen::Vector2d posed_mm = motion * points.nominal_mm[static_cast<std::size_t>(pair.nominal)];
    linear.residual_mm.segment<2>(2 * i) =
        points.measured_mm[static_cast<std::size_t>(pair.measured)] - posed_mm;
    const Eigen::Vector2d arm_mm = posed_mm - pose.image_mm;
    linear.design.block<2, 2>(2 * i, 0).setIdentity();
    linear.design.block<2, 1>(2 * i, 2) = Eigen::Vector2d(-arm_mm.y(), arm_mm.x());
  }
  return linear;
}

struct Solution {
  Centred pose;
  Eigen::VectorXd residual_mm;
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();
  double chi2 = 0.0;
  double log_restricted = 0.0;
};

Solution gauss_newton(const PointSets& points, std::span<const Pairing> pairs, const Centred& start,
                      double scatter_mm) {
  constexpr int kMostSteps = 20;
  constexpr double kStill = 1e-12;  // rad; times a metre of arm this is a picometre
  const Weights weights(points, pairs, scatter_mm);
  Solution solution;
  solution.pose = start;
  for (int step = 0; step < kMostSteps; ++step) {
    const Linear linear = linearise(points, pairs, solution.pose);
    const Eigen::MatrixXd weighted = weights.solve(linear.design);
    const Eigen::LLT<Eigen::Matrix3d> normal(Eigen::Matrix3d(linear.design.transpose() * weighted));
    const Eigen::Vector3d change = normal.solve(weighted.transpose() * linear.residual_mm);
    solution.pose.image_mm += change.head<2>();
    solution.pose.turn_rad += change.z();
    if (std::abs(change.z()) < kStill && change.head<2>().norm() < 1e3 * kStill) break;
  }
  const Linear linear = linearise(points, pairs, solution.pose);
  const Eigen::Matrix3d normal = linear.design.transpose() * weights.solve(linear.design);
  solution.residual_mm = linear.residual_mm;
  solution.cov = normal.inverse();
  solution.chi2 = linear.residual_mm.dot(weights.solve(linear.residual_mm).col(0));
  // Patterson and Thompson 1971, Biometrika 58(3): the likelihood of the part of the data that no pose can
  // touch.
  const double constants = (static_cast<double>(2 * pairs.size()) - 3.0) * std::log(2.0 * std::numbers::pi);
  solution.log_restricted =
      -0.5 * (constants + weights.log_det() + std::log(normal.determinant()) + solution.chi2);
  return solution;
}

double log_scatter_prior(double log_ratio) {
  const double z = log_ratio / kLogScatterSd;
  return -0.5 * z * z;
}

/// Mode over the scatter by golden section on its logarithm.
Solution best_scatter(const PointSets& points, std::span<const Pairing> pairs, const Centred& start,
                      double expected_mm, double& scatter_mm) {
  constexpr double kGolden = 0.6180339887498949;
  constexpr double kHalfRange = 3.5;  // five sd of the prior either way
  constexpr double kNear = 0.02;      // 2 % of the scatter
  Centred pose = start;
  const auto value = [&](double log_ratio) {
    const Solution s = gauss_newton(points, pairs, pose, expected_mm * std::exp(log_ratio));
    pose = s.pose;
    return s.log_restricted + log_scatter_prior(log_ratio);
  };
  double low = -kHalfRange, high = kHalfRange;
  double a = high - kGolden * (high - low), b = low + kGolden * (high - low);
  double at_a = value(a), at_b = value(b);
  while (high - low > kNear) {
    if (at_a > at_b) {
      high = b;
      b = a;
      at_b = at_a;
      a = high - kGolden * (high - low);
      at_a = value(a);
    } else {
      low = a;
      a = b;
      at_a = at_b;
      b = low + kGolden * (high - low);
      at_b = value(b);
    }
  }
  scatter_mm = expected_mm * std::exp(0.5 * (low + high));
  return gauss_newton(points, pairs, pose, scatter_mm);
}

}  // namespace

std::optional<AdjustedPose> adjust_pose(const PointSets& points, std::span<const Pairing> pairs,
                                        const Motion& start, double expected_scatter_mm) {
  constexpr double kSameSpotMm = 1e-6;
  if (pairs.size() < 2) return std::nullopt;
  Centred centred;
  for (const Pairing& pair : pairs)
    centred.middle_mm += points.nominal_mm[static_cast<std::size_t>(pair.nominal)];
  centred.middle_mm /= static_cast<double>(pairs.size());
  double spread_mm = 0.0;
  for (const Pairing& pair : pairs) {
    spread_mm = std::max(
        spread_mm, (points.nominal_mm[static_cast<std::size_t>(pair.nominal)] - centred.middle_mm).norm());
  }
  if (spread_mm < kSameSpotMm) return std::nullopt;
  centred.image_mm = start * centred.middle_mm;
  centred.turn_rad = start.turn.radians();
  centred.mirrored = start.mirrored;

  AdjustedPose adjusted;
  const Solution solution = best_scatter(points, pairs, centred, expected_scatter_mm, adjusted.scatter_mm);
  adjusted.face_from_pattern = solution.pose.motion();
  adjusted.chi2 = solution.chi2;
  adjusted.log_evidence =
      solution.log_restricted + log_scatter_prior(std::log(adjusted.scatter_mm / expected_scatter_mm));
  for (Eigen::Index i = 0; i < solution.residual_mm.size(); i += 2) {
    adjusted.residual_mm.emplace_back(solution.residual_mm.segment<2>(i));
  }
  // From the middle's image to the shift: shift = image - arm, arm turning with the pose.
  const Eigen::Vector2d arm_mm = solution.pose.image_mm - adjusted.face_from_pattern.shift_mm;
  Eigen::Matrix3d shift_from_image = Eigen::Matrix3d::Identity();
  shift_from_image.block<2, 1>(0, 2) = Eigen::Vector2d(arm_mm.y(), -arm_mm.x());
  adjusted.cov = shift_from_image * solution.cov * shift_from_image.transpose();
  return adjusted;
}

}  // namespace fairhole

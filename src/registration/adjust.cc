// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "adjust.h"

#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace fairhole {
namespace {

constexpr double kLogTwoPi = 1.8378770664093453;

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
  void move(const Eigen::Vector3d& change) {
    image_mm += change.head<2>();
    turn_rad += change.z();
  }
};

Rows linearise(const PointSets& points, std::span<const Pairing> pairs, const Centred& pose) {
  const Motion motion = pose.motion();
  const Eigen::Matrix2d linear = motion.linear();
  Rows rows(2 * static_cast<Eigen::Index>(pairs.size()), 4);
  for (std::size_t k = 0; k < pairs.size(); ++k) {
    const Eigen::Vector2d arm_mm = linear * (points.nominal_mm[at(pairs[k].nominal)] - pose.middle_mm);
    const Eigen::Vector2d off_mm = points.measured_mm[at(pairs[k].measured)] - pose.image_mm - arm_mm;
    const auto row = static_cast<Eigen::Index>(2 * k);
    rows.row(row) << 1.0, 0.0, -arm_mm.y(), off_mm.x();
    rows.row(row + 1) << 0.0, 1.0, arm_mm.x(), off_mm.y();
  }
  return rows;
}

/// The normal equations of one scatter: [X r]' (T + s^2 I)^-1 [X r], and the determinant.
struct Fit {
  Eigen::Vector3d change = Eigen::Vector3d::Zero();
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();
  double chi2 = 0.0;
  double log_restricted = 0.0;
};

Fit fit(const Tridiagonal& covariance, const Rows& turned, double scatter_mm) {
  const double s2 = scatter_mm * scatter_mm;
  Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
  Eigen::RowVector4d line = Eigen::RowVector4d::Zero();
  double log_det = 0.0, product = 1.0, step = 0.0;
  for (Eigen::Index k = 0; k < turned.rows(); ++k) {  // L D L' of a tridiagonal matrix
    const double carried = k == 0 ? 0.0 : covariance.below()[k - 1];
    const double factor = k == 0 ? 0.0 : carried / step;
    step = covariance.diagonal()[k] + s2 - factor * carried;
    line = turned.row(k) - factor * line;
    normal.noalias() += line.transpose() * (line / step);
    product *= step;
    if (product < 1e-200 || product > 1e200) {
      log_det += std::log(product);
      product = 1.0;
    }
  }
  log_det += std::log(product);
  Fit out;
  const Eigen::Matrix3d information = normal.topLeftCorner<3, 3>();
  out.cov = information.inverse();
  out.change = out.cov * normal.topRightCorner<3, 1>();
  out.chi2 = std::max(0.0, normal(3, 3) - out.change.dot(normal.topRightCorner<3, 1>()));
  // Patterson and Thompson 1971, Biometrika 58(3): the likelihood of the part of the data that no pose can
  // touch.
  out.log_restricted = -0.5 * ((static_cast<double>(turned.rows()) - 3.0) * kLogTwoPi + log_det +
                               std::log(information.determinant()) + out.chi2);
  return out;
}

/// Where the posterior of log(scatter / expected) has its mode, and about how wide it is.
struct Peak {
  double mode = 0.0;
  double width = 1.0;
};

template <class Density>
Peak find_peak(const Density& density) {
  constexpr double kLow = -7.0, kHigh = 3.5;  // a thousandth to thirty times what is expected
  constexpr double kCoarse = 0.5;
  Peak peak;
  double best = -std::numeric_limits<double>::infinity();
  for (int k = 0; kLow + k * kCoarse <= kHigh; ++k) {
    const double z = kLow + k * kCoarse;
    const double value = density(z);
    if (value > best) best = value, peak.mode = z;
  }
  double step = kCoarse;
  for (int round = 0; round < 4; ++round) {  // parabolas through three points, each a third as wide
    step *= 0.35;
    const double low = density(peak.mode - step), middle = density(peak.mode),
                 high = density(peak.mode + step);
    const double bend = low - 2.0 * middle + high;
    if (bend >= 0.0) {
      peak.mode += low > high ? -step : high > middle ? step : 0.0;
      peak.mode = std::clamp(peak.mode, kLow, kHigh);
      continue;
    }
    peak.width = std::clamp(step / std::sqrt(-bend), 1e-3, 1.0);
    peak.mode = std::clamp(peak.mode + std::clamp(0.5 * (low - high) / bend, -3.0, 3.0) * step, kLow, kHigh);
  }
  return peak;
}

/// Posterior over all scatters by the trapezoid rule, which is exact to many digits on a smooth peak.
Fit averaged(const Tridiagonal& covariance, const Rows& turned, double expected_mm, const Peak& peak) {
  constexpr int kSide = 7;
  constexpr double kStep = 0.7;  // widths
  std::array<Fit, 2 * kSide + 1> fits;
  std::array<double, 2 * kSide + 1> value{};
  double most = -std::numeric_limits<double>::infinity();
  for (int k = -kSide; k <= kSide; ++k) {
    const double z = peak.mode + k * kStep * peak.width;
    Fit& one = fits[at(k + kSide)];
    one = fit(covariance, turned, expected_mm * std::exp(z));
    value[at(k + kSide)] = one.log_restricted + log_scatter_prior(z);
    most = std::max(most, value[at(k + kSide)]);
  }
  double sum = 0.0;
  Fit mean;
  for (std::size_t k = 0; k < fits.size(); ++k) {
    const double weight = std::exp(value[k] - most);
    sum += weight;
    mean.change += weight * fits[k].change;
    mean.cov += weight * (fits[k].cov + fits[k].change * fits[k].change.transpose());
  }
  mean.change /= sum;
  mean.cov = Eigen::Matrix3d(mean.cov / sum - mean.change * mean.change.transpose());
  mean.log_restricted = most + std::log(sum * kStep * peak.width);
  mean.chi2 = fits[kSide].chi2;
  return mean;
}

Centred centred(const PointSets& points, std::span<const Pairing> pairs, const Motion& start) {
  Centred pose;
  for (const Pairing& pair : pairs) pose.middle_mm += points.nominal_mm[at(pair.nominal)];
  pose.middle_mm /= static_cast<double>(pairs.size());
  pose.image_mm = start * pose.middle_mm;
  pose.turn_rad = start.turn.radians();
  pose.mirrored = start.mirrored;
  return pose;
}

void settle(const PointSets& points, std::span<const Pairing> pairs, const Tridiagonal& covariance,
            double scatter_mm, Centred& pose) {
  constexpr int kMostSteps = 20;
  constexpr double kStill = 1e-12;  // rad; times a metre of arm this is a picometre
  for (int step = 0; step < kMostSteps; ++step) {
    const Eigen::Vector3d change =
        fit(covariance, covariance.turned(linearise(points, pairs, pose)), scatter_mm).change;
    pose.move(change);
    if (std::abs(change.z()) < kStill && change.head<2>().norm() < 1e3 * kStill) break;
  }
}

}  // namespace

double log_scatter_prior(double log_ratio) {
  const double z = log_ratio / kLogScatterSd;
  return -0.5 * z * z - std::log(kLogScatterSd) - 0.5 * kLogTwoPi;
}

std::optional<AdjustedPose> adjust_pose(const PointSets& points, TridiagonalForms& forms,
                                        const std::vector<Pairing>& pairs, const Motion& start,
                                        double expected_scatter_mm) {
  constexpr double kSameSpotMm = 1e-6;
  if (pairs.size() < 2) return std::nullopt;
  Centred pose = centred(points, pairs, start);
  double spread_mm = 0.0;
  for (const Pairing& pair : pairs) {
    spread_mm = std::max(spread_mm, (points.nominal_mm[at(pair.nominal)] - pose.middle_mm).norm());
  }
  if (spread_mm < kSameSpotMm) return std::nullopt;
  // In the order of the measured holes, so that poses which explain the same ones share a form.
  std::vector<Pairing> sorted = pairs;
  std::sort(sorted.begin(), sorted.end(),
            [](const Pairing& a, const Pairing& b) { return a.measured < b.measured; });
  std::vector<int> measured;
  for (const Pairing& pair : sorted) measured.push_back(pair.measured);
  const Tridiagonal& covariance = forms.of(measured);
  settle(points, sorted, covariance, expected_scatter_mm, pose);
  Rows turned = covariance.turned(linearise(points, sorted, pose));
  const Peak peak = find_peak([&](double z) {
    return fit(covariance, turned, expected_scatter_mm * std::exp(z)).log_restricted + log_scatter_prior(z);
  });
  AdjustedPose adjusted;
  adjusted.scatter_mm = expected_scatter_mm * std::exp(peak.mode);
  settle(points, sorted, covariance, adjusted.scatter_mm, pose);
  turned = covariance.turned(linearise(points, sorted, pose));
  const Fit mean = averaged(covariance, turned, expected_scatter_mm, peak);
  pose.move(mean.change);
  adjusted.face_from_pattern = pose.motion();
  adjusted.chi2 = mean.chi2;
  adjusted.log_evidence = mean.log_restricted;
  const Rows last = linearise(points, pairs, pose);
  for (Eigen::Index i = 0; i < last.rows(); i += 2)
    adjusted.residual_mm.emplace_back(last(i, 3), last(i + 1, 3));
  // From the middle's image to the shift: shift = image - arm, arm turning with the pose.
  const Eigen::Vector2d arm_mm = pose.image_mm - adjusted.face_from_pattern.shift_mm;
  Eigen::Matrix3d shift_from_image = Eigen::Matrix3d::Identity();
  shift_from_image.block<2, 1>(0, 2) = Eigen::Vector2d(arm_mm.y(), -arm_mm.x());
  adjusted.cov = shift_from_image * mean.cov * shift_from_image.transpose();
  return adjusted;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "steps.h"

namespace fairhole {
namespace {

constexpr double kOutsideSigmas = 2.7162;  // sqrt of chi2 with 2 degrees of freedom at 97.5 %

/// Least and greatest distance from the origin to the ellipse of `sigmas` about `centre_mm`. The distance
/// along the rim has at most two valleys and two hills: coarse steps find the right one, thirds close in on
/// it.
std::pair<double, double> distances_mm(const Eigen::Vector2d& centre_mm, const Eigen::Matrix2d& cov_mm2,
                                       double sigmas) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(cov_mm2);
  const Eigen::Vector2d half = sigmas * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt();
  const auto distance = [&](double t) {
    const Eigen::Vector2d rim(half.x() * std::cos(t), half.y() * std::sin(t));
    return (centre_mm + eigen.eigenvectors() * rim).norm();
  };
  constexpr int kSteps = 72;
  constexpr double kStep = 2.0 * std::numbers::pi / kSteps;
  const auto extreme = [&](double sign) {
    int best = 0;
    for (int i = 1; i < kSteps; ++i) {
      if (sign * distance(i * kStep) > sign * distance(best * kStep)) best = i;
    }
    double low = (best - 1) * kStep, high = (best + 1) * kStep;
    for (int i = 0; i < 60; ++i) {
      const double a = low + (high - low) / 3.0, b = high - (high - low) / 3.0;
      (sign * distance(a) > sign * distance(b) ? high : low) =
          sign * distance(a) > sign * distance(b) ? b : a;
    }
    return distance(0.5 * (low + high));
  };
  return {extreme(-1.0), extreme(1.0)};
}

/// Whether the origin lies inside the ellipse of `sigmas` about `centre_mm`.
bool holds_origin(const Eigen::Vector2d& centre_mm, const Eigen::Matrix2d& cov_mm2, double sigmas) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(cov_mm2);
  const Eigen::Vector2d along = eigen.eigenvectors().transpose() * centre_mm;
  double sum = 0.0;
  for (int i = 0; i < 2; ++i) {
    const double variance = std::max(eigen.eigenvalues()[i], 0.0);
    if (variance > 0.0) {
      sum += along[i] * along[i] / variance;
    } else if (along[i] != 0.0) {
      return false;
    }
  }
  return sum <= sigmas * sigmas;
}

}  // namespace

const char* stage_name(Stage stage) { return stage == Stage::kPilot ? "pilot" : "finished"; }

const char* verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::kConforming:
      return "conforming";
    case Verdict::kNotConforming:
      return "not-conforming";
    case Verdict::kCannotSay:
      break;
  }
  return "cannot-say";
}

Verdict position_verdict(const Eigen::Vector2d& offset_mm, const Eigen::Matrix2d& cov_mm2, double zone_mm) {
  if (distances_mm(offset_mm, cov_mm2, inspection::kGuardSigmas).second <= zone_mm)
    return Verdict::kConforming;
  const bool outside = !holds_origin(offset_mm, cov_mm2, kOutsideSigmas) &&
                       distances_mm(offset_mm, cov_mm2, kOutsideSigmas).first > zone_mm;
  return outside ? Verdict::kNotConforming : Verdict::kCannotSay;
}

Verdict diameter_verdict(double diameter_mm, double sigma_mm, double min_mm, double max_mm) {
  const double guard_mm = inspection::kGuardSigmas * sigma_mm;
  if (diameter_mm >= min_mm + guard_mm && diameter_mm <= max_mm - guard_mm) return Verdict::kConforming;
  if (diameter_mm < min_mm - guard_mm || diameter_mm > max_mm + guard_mm) return Verdict::kNotConforming;
  return Verdict::kCannotSay;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/statistics.h"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <cassert>
#include <cmath>
#include <numbers>
#include <vector>

namespace fairhole {
namespace {

using std::numbers::pi;

/// A plane normal error beyond this many sigmas of its larger axis: chance exp(-9 * 9 / 2) < 3e-18.
constexpr double kNever = 9.0;

/// A covariance in its principal axes: sigmas, and the direction of the larger.
struct Axes {
  double major_mm = 0.0;
  double minor_mm = 0.0;
  double angle_rad = 0.0;
};

Axes principal_axes(const Eigen::Matrix2d& cov_mm2) {
  const double mean = (cov_mm2(0, 0) + cov_mm2(1, 1)) / 2;
  const double half_difference = (cov_mm2(0, 0) - cov_mm2(1, 1)) / 2;
  const double cross = (cov_mm2(0, 1) + cov_mm2(1, 0)) / 2;
  const double spread = std::hypot(half_difference, cross);
  const double angle_rad = std::atan2(cross, half_difference) / 2;
  return {std::sqrt(std::max(mean + spread, 0.0)), std::sqrt(std::max(mean - spread, 0.0)),
          angle_rad <= -pi / 2 ? pi / 2 : angle_rad};
}

/// P(low < z < high) for a standard normal z.
double normal_between(double low, double high) {
  return (std::erf(high / std::numbers::sqrt2) - std::erf(low / std::numbers::sqrt2)) / 2;
}

/// The circle's problem in principal axes: x = r sin(t) along the major axis, half chord r cos(t) across it.
struct ChordIntegral {
  double radius_mm, offset_major_mm, offset_minor_mm, major_mm, minor_mm;

  double integrand(double t) const {
    const double half_chord_mm = radius_mm * std::cos(t);
    const double z = (radius_mm * std::sin(t) - offset_major_mm) / major_mm;
    const double density = std::exp(-z * z / 2) / (std::sqrt(2 * pi) * major_mm);
    const double chance = normal_between((-half_chord_mm - offset_minor_mm) / minor_mm,
                                         (half_chord_mm - offset_minor_mm) / minor_mm);
    return density * chance * half_chord_mm;
  }

  /// Angles between which the integrand is smooth: bends of the density along x, and of the chance where the
  /// chord's end passes the offset. Between neighbours nothing changes faster than over a few sigmas.
  std::vector<double> bends() const {
    std::vector<double> angles;
    for (const double sigmas : {-kNever, -6.0, -3.0, -1.0, 1.0, 3.0, 6.0, kNever}) {
      const double x_mm = offset_major_mm + sigmas * major_mm;
      angles.push_back(std::asin(std::clamp(x_mm / radius_mm, -1.0, 1.0)));
      const double half_chord_mm = offset_minor_mm + sigmas * minor_mm;
      const double t = std::acos(std::clamp(half_chord_mm / radius_mm, 0.0, 1.0));
      angles.push_back(t);
      angles.push_back(-t);
    }
    const double from = angles.front();
    const double to = std::asin(std::clamp((offset_major_mm + kNever * major_mm) / radius_mm, -1.0, 1.0));
    for (double& angle : angles) angle = std::clamp(angle, from, to);
    std::sort(angles.begin(), angles.end());
    return angles;
  }

  double value() const {
    const std::vector<double> angles = bends();
    double sum = 0.0;
    for (std::size_t i = 1; i < angles.size(); ++i) {
      if (angles[i] <= angles[i - 1]) continue;
      sum += boost::math::quadrature::gauss<double, 20>::integrate([this](double t) { return integrand(t); },
                                                                   angles[i - 1], angles[i]);
    }
    return std::clamp(sum, 0.0, 1.0);
  }
};

}  // namespace

double normal_quantile(double p) { return boost::math::quantile(boost::math::normal(), p); }

double normal_cdf(double z) { return boost::math::cdf(boost::math::normal(), z); }

double chi2_quantile(double p, double dof) { return boost::math::quantile(boost::math::chi_squared(dof), p); }

double chi2_upper_tail(double chi2, double dof) {
  if (dof == 0.0) return 1.0;
  return boost::math::cdf(boost::math::complement(boost::math::chi_squared(dof), chi2));
}

double student_t_quantile(double p, double dof) {
  return boost::math::quantile(boost::math::students_t(dof), p);
}

double f_upper_tail(double f, double dof1, double dof2) {
  return boost::math::cdf(boost::math::complement(boost::math::fisher_f(dof1, dof2), f));
}

Ellipse confidence_ellipse(const Eigen::Matrix2d& cov_mm2, double confidence) {
  assert(confidence > 0.0 && confidence < 1.0);
  const double factor =
      std::sqrt(-2.0 * std::log1p(-confidence));  // chi-square quantile of 2 degrees of freedom
  const Axes axes = principal_axes(cov_mm2);
  return {factor * axes.major_mm, factor * axes.minor_mm, axes.angle_rad};
}

double probability_in_circle(const Eigen::Vector2d& offset_mm, const Eigen::Matrix2d& cov_mm2,
                             double radius_mm) {
  const Axes axes = principal_axes(cov_mm2);
  const double distance_mm = offset_mm.norm();
  if (radius_mm < 0.0 || distance_mm - kNever * axes.major_mm > radius_mm) return 0.0;
  if (distance_mm + kNever * axes.major_mm <= radius_mm) return 1.0;
  if (radius_mm == 0.0) return 0.0;
  const double c = std::cos(axes.angle_rad);
  const double s = std::sin(axes.angle_rad);
  const double along_mm = c * offset_mm.x() + s * offset_mm.y();
  const double across_mm = std::abs(c * offset_mm.y() - s * offset_mm.x());
  if (axes.minor_mm == 0.0) {
    if (across_mm > radius_mm) return 0.0;
    const double half_chord_mm = std::sqrt((radius_mm - across_mm) * (radius_mm + across_mm));
    return normal_between((-half_chord_mm - along_mm) / axes.major_mm,
                          (half_chord_mm - along_mm) / axes.major_mm);
  }
  return ChordIntegral{radius_mm, along_mm, across_mm, axes.major_mm, axes.minor_mm}.value();
}

}  // namespace fairhole

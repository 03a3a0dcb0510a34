// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "cone3.h"

#include <cmath>
#include <limits>

namespace fairhole::detail {
namespace {

Eigen::Vector3d reflected(const Eigen::Vector3d& v) { return {v[0], -v[1], -v[2]}; }

/// [w0, w1'; w1, I + w1 w1' / (1 + w0)] v
Eigen::Vector3d boost(const Eigen::Vector3d& w, const Eigen::Vector3d& v) {
  const double along = w.tail<2>().dot(v.tail<2>());
  Eigen::Vector3d out;
  out[0] = w[0] * v[0] + along;
  out.tail<2>() = v.tail<2>() + (v[0] + along / (1.0 + w[0])) * w.tail<2>();
  return out;
}

}  // namespace

double cone_determinant(const Eigen::Vector3d& v) {
  const double length = v.tail<2>().norm();
  return (v[0] - length) * (v[0] + length);
}

Eigen::Vector3d cone_product(const Eigen::Vector3d& u, const Eigen::Vector3d& v) {
  Eigen::Vector3d out;
  out[0] = u.dot(v);
  out.tail<2>() = u[0] * v.tail<2>() + v[0] * u.tail<2>();
  return out;
}

Eigen::Vector3d cone_quotient(const Eigen::Vector3d& u, const Eigen::Vector3d& v) {
  Eigen::Vector3d out;
  out[0] = (u[0] * v[0] - u.tail<2>().dot(v.tail<2>())) / cone_determinant(u);
  out.tail<2>() = (v.tail<2>() - out[0] * u.tail<2>()) / u[0];
  return out;
}

double cone_step(const Eigen::Vector3d& v, const Eigen::Vector3d& d) {
  const double a = cone_determinant(d);
  const double b = v[0] * d[0] - v.tail<2>().dot(d.tail<2>());
  const double c = cone_determinant(v);
  const double root = b * b - a * c;
  if (root < 0.0) return std::numeric_limits<double>::infinity();
  const double below = std::sqrt(root) - b;
  return below > 0.0 ? c / below : std::numeric_limits<double>::infinity();
}

ConeScaling::ConeScaling(const Eigen::Vector3d& s, const Eigen::Vector3d& z) {
  const double s_det = cone_determinant(s);
  const double z_det = cone_determinant(z);
  const Eigen::Vector3d s_unit = s / std::sqrt(s_det);
  const Eigen::Vector3d z_unit = z / std::sqrt(z_det);
  const double half = std::sqrt((1.0 + s_unit.dot(z_unit)) / 2.0);
  w_ = (s_unit + reflected(z_unit)) / (2.0 * half);
  size_ = std::pow(s_det / z_det, 0.25);
}

Eigen::Vector3d ConeScaling::times(const Eigen::Vector3d& v) const { return size_ * boost(w_, v); }

Eigen::Vector3d ConeScaling::inverse_times(const Eigen::Vector3d& v) const {
  return boost(reflected(w_), v) / size_;
}

Eigen::Matrix3d ConeScaling::inverse_square() const {
  const Eigen::Vector3d w = reflected(w_);
  Eigen::Matrix3d out = 2.0 * w * w.transpose();
  out(0, 0) -= 1.0;
  out(1, 1) += 1.0;
  out(2, 2) += 1.0;
  return out / (size_ * size_);
}

}  // namespace fairhole::detail

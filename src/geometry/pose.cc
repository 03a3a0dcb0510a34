// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/geometry/pose.h"

#include <cmath>

namespace fairhole {

Eigen::Matrix2d rotation(Angle turn) {
  const double c = std::cos(turn.radians());
  const double s = std::sin(turn.radians());
  return (Eigen::Matrix2d() << c, -s, s, c).finished();
}

Eigen::Matrix2d Motion::linear() const {
  Eigen::Matrix2d matrix = rotation(turn);
  if (mirrored) matrix.col(1) *= -1.0;
  return matrix;
}

Eigen::Vector2d Motion::operator*(const Eigen::Vector2d& p_from_mm) const {
  return shift_mm + linear() * p_from_mm;
}

// With M = diag(1, -1): M R(t) = R(-t) M, so an inner turn changes its sign when it passes a mirror.
Motion Motion::operator*(const Motion& inner) const {
  return {*this * inner.shift_mm, mirrored ? turn - inner.turn : turn + inner.turn,
          mirrored != inner.mirrored};
}

Motion Motion::inverse() const {
  Motion back{Eigen::Vector2d::Zero(), mirrored ? turn : -turn, mirrored};
  back.shift_mm = -(back.linear() * shift_mm);
  return back;
}

}  // namespace fairhole

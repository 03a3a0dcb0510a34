// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

#include "fairhole/base/angle.h"

namespace fairhole {

/// The frames a pose can lead from and to. All are plane, millimetres, right-handed as seen by whoever looks
/// at the face in question.
namespace frame {
struct Plate;    ///< a new plate (or whatever face carries the joint), seen looking at its marked face
struct Face;     ///< one face of an old part as it was measured, seen looking at the measured side
struct Pattern;  ///< the drawing's pattern
}  // namespace frame

/// A plane rigid motion, with a reflection where one face is seen from behind:
///   p_to = shift + R(turn) * (mirrored ? (x, -y) : (x, y)).
/// Untagged, for the inside of algorithms; interfaces use Pose.
struct Motion {
  Eigen::Vector2d shift_mm = Eigen::Vector2d::Zero();
  Angle turn;
  bool mirrored = false;

  Eigen::Vector2d operator*(const Eigen::Vector2d& p_from_mm) const;
  Motion operator*(const Motion& inner) const;  ///< first `inner`, then this
  Motion inverse() const;
  Eigen::Matrix2d linear() const;  ///< R(turn) * diag(1, mirrored ? -1 : 1)
};

/// A motion that carries points of frame From into frame To; named `to_from_from`: `plate_from_face`.
/// Products compile only where the frames meet.
template <class To, class From>
struct Pose {
  Motion motion;

  Eigen::Vector2d operator*(const Eigen::Vector2d& p_from_mm) const { return motion * p_from_mm; }
  Pose<From, To> inverse() const { return {motion.inverse()}; }
};

template <class A, class B, class C>
Pose<A, C> operator*(const Pose<A, B>& a_from_b, const Pose<B, C>& b_from_c) {
  return {a_from_b.motion * b_from_c.motion};
}

using PlateFromFace = Pose<frame::Plate, frame::Face>;
using FaceFromPattern = Pose<frame::Face, frame::Pattern>;

/// Rotation matrix, counter-clockwise.
Eigen::Matrix2d rotation(Angle turn);

}  // namespace fairhole

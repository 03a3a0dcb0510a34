// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"

namespace fairhole {

/// What is known of the pose before any hole is looked at: the datum edges and the joint's nominal seat.
struct PosePrior {
  FaceFromPattern pose;
  Eigen::Vector3d sigma = {5.0, 5.0, 0.01};  ///< x mm, y mm, turn rad; the play and the seat's own doubt
  /// Whether the hand is known for certain. If not, the mirrored pose is tried too and reported when it fits better.
  Eigen::Vector2d turn_about_mm = Eigen::Vector2d::Zero();  ///< pattern point the prior's turn is about
};

/// One measured hole taken for one hole of the pattern. Lengths in the face's frame.
struct Match {
  HoleId nominal;
  HoleId measured;
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< measured minus posed nominal
  double p = 0.0;  ///< probability that this pairing is right
};

/// A pose, the pairs that speak for it and how far it can be trusted.
struct Registration {
  FaceFromPattern face_from_pattern;  ///< measured = face_from_pattern * nominal
  /// Covariance of (shift x, shift y, turn) in mm, mm, rad, at the shift as stated (about the pattern's origin).
  Eigen::Matrix3d pose_cov = Eigen::Matrix3d::Zero();
  std::vector<Match> matches;   ///< in the order of the pattern
  std::vector<HoleId> missing;  ///< nominal holes nobody found on the part
  std::vector<HoleId> extra;    ///< measured holes the pattern does not know (old repairs)
  double chi2 = 0.0;
  int dof = 0;
  double scatter_mm = 0.0;  ///< the old holes' own 1-sigma scatter about the drawing, estimated
  bool independent_holes = false;  ///< true when the face came without a full covariance
};

/// A first registration, from the datum edges and the joint's seat: covariance-gated one-to-one assignment, then a
/// weighted rigid adjustment over the full covariance.
struct Registrar {
  /// Chance of losing a true pair to the gate. 0.001 is the usual 99.9 % gate.
  double gate_loss = 0.001;
  /// 1-sigma scatter that old holes show about their drawing before any damage; prior of the estimated scatter.
  double expected_scatter_mm = 0.5;

  /// Problems: kRegistrationNoPrior, kRegistrationTooFew (fewer than 2 pairs), kRegistrationWrongHand (the
  /// mirrored pose fits and the stated one does not: the part's hands are mixed up or it was measured from its
  /// other side), kRegistrationNotFinite, kRegistrationCoincident.
  Result<Registration> operator()(const Pattern& pattern, const MeasuredFace& face, const PosePrior& prior) const;
};

/// Covariance (2x2, mm2, face frame) of the posed image of the pattern point `q_mm`: the propagated accuracy at a
/// hole. The residual RMS of a fit says nothing about it (Danilchenko and Fitzpatrick 2011, IEEE TMI 30(3)).
Eigen::Matrix2d posed_covariance(const Registration& registration, const Eigen::Vector2d& q_mm);

namespace codes {
inline constexpr Code kRegistrationNotFinite{300};
inline constexpr Code kRegistrationCoincident{301};
inline constexpr Code kRegistrationTooFew{550};
inline constexpr Code kRegistrationWrongHand{551};
}  // namespace codes

}  // namespace fairhole

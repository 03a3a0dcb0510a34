// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"

namespace fairhole {

/// What is known of the pose before any hole is looked at: the datum edges and the joint's nominal seat.
struct PosePrior {
  FaceFromPattern pose;                      ///< its hand is the stated hand
  Eigen::Vector3d sigma = {5.0, 5.0, 0.01};  ///< 1-sigma of the image of turn_about_mm (x mm, y mm), turn rad
  Eigen::Vector2d turn_about_mm = Eigen::Vector2d::Zero();  ///< pattern point the sigmas hold at
};

/// One measured hole taken for one hole of the pattern. Lengths in the face's frame.
struct Match {
  HoleId nominal;
  HoleId measured;
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< measured minus posed nominal
  double p =
      0.0;  ///< probability that this pairing is right, against "an extra hole that happens to lie there"
  bool strayed = false;  ///< beyond the gate: taken for this hole only because nothing else lies near
};

/// Another pose that the data and the prior leave open.
struct Rival {
  FaceFromPattern face_from_pattern;
  std::vector<Match> matches;
  double odds = 0.0;  ///< its share among all poses found
};

/// A pose, the pairs that speak for it and how far it can be trusted.
struct Registration {
  FaceFromPattern face_from_pattern;  ///< measured = face_from_pattern * nominal
  /// Covariance of (shift x, shift y, turn) in mm, mm, rad, at the shift as stated (about the pattern's
  /// origin).
  Eigen::Matrix3d pose_cov = Eigen::Matrix3d::Zero();
  std::vector<Match> matches;   ///< in the order of the pattern
  std::vector<HoleId> missing;  ///< nominal holes nobody found on the part
  std::vector<HoleId> extra;    ///< measured holes the pattern does not know (old repairs)
  double odds = 1.0;            ///< of this pose among all found
  std::vector<Rival> rivals;    ///< odds above 0.001, best first
  double chi2 = 0.0;            ///< of the residuals against survey covariance and scatter together
  int dof = 0;
  double scatter_mm = 0.0;  ///< the old holes' own 1-sigma scatter about the drawing, each axis, estimated
  bool independent_holes = false;  ///< true when the face came without a full covariance
};

/// A first registration, from the datum edges and the joint's seat. Pairs of holes inside the prior give pose
/// hypotheses; each is refined by optimal one-to-one assignment and a weighted rigid adjustment over the full
/// covariance, in turn until nothing changes; the evidence of what is left decides. Old holes scatter about
/// their drawing, which is no measuring error: that scatter is estimated too (restricted likelihood with a
/// log-normal prior). Deterministic; no state is kept between calls.
struct Registrar {
  /// Chance of losing a true pair to the gate. 0.001 is the usual 99.9 % gate.
  double gate_loss = 0.001;
  /// 1-sigma scatter (each axis) that old holes show about their drawing before any damage; median of the
  /// prior.
  double expected_scatter_mm = 0.5;
  /// A hole left over that lies within this of a nominal hole left over, and far from any other, is taken for
  /// it all the same and marked as strayed; it has no say in the pose. 0 (default): never. A job uses some
  /// millimetres.
  double stray_mm = 0.0;

  /// Problems: kRegistrationNotFinite, kRegistrationCoincident (holes on one spot fix no turn),
  /// kRegistrationTooFew (fewer than 2 pairs), kRegistrationWrongHand (the mirrored part fits and the stated
  /// one does not: the hands are mixed up or it was measured from its other side).
  Result<Registration> operator()(const Pattern& pattern, const MeasuredFace& face,
                                  const PosePrior& prior) const;
};

/// Covariance (2x2, mm2, face frame) of the posed image of the pattern point `q_mm`: the propagated accuracy
/// at a hole. The residual RMS of a fit says nothing about it (Danilchenko and Fitzpatrick 2011, IEEE TMI
/// 30(3)).
Eigen::Matrix2d posed_covariance(const Registration& registration, const Eigen::Vector2d& q_mm);

namespace codes {
inline constexpr Code kRegistrationNotFinite{300};
inline constexpr Code kRegistrationCoincident{301};
inline constexpr Code kRegistrationTooFew{550};
inline constexpr Code kRegistrationWrongHand{551};
}  // namespace codes

}  // namespace fairhole

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

/// What is known of the pose before any hole is looked at: the datum edges and the joint's nominal seat, or
/// where somebody says the pattern lies.
struct PosePrior {
  FaceFromPattern pose;                      ///< its hand is not read: the hand is known apart from the place
  Eigen::Vector3d sigma = {5.0, 5.0, 0.01};  ///< 1-sigma of the image of turn_about_mm (x mm, y mm), turn rad
  Eigen::Vector2d turn_about_mm = Eigen::Vector2d::Zero();  ///< pattern point the sigmas hold at
  double doubt = 0.0;  ///< chance that the place is quite wrong and the pattern lies anywhere
};

/// This measured hole is that drawn hole: somebody knows.
struct PinnedPair {
  HoleId nominal;
  HoleId measured;
};

/// All that is known before the holes are looked at; nothing of it is needed.
struct RegistrationKnown {
  std::optional<PosePrior> place;
  std::optional<bool> mirrored;  ///< the stated hand; both are tried where it is unknown
  std::vector<PinnedPair> pins = {};
  /// Area of the metal that holes the drawing does not know may lie on; where it is not known, that of the
  /// holes' box and 50 mm round it.
  std::optional<double> metal_mm2 = {};
};

/// One measured hole taken for one hole of the pattern. Lengths in the face's frame.
struct Match {
  HoleId nominal;
  HoleId measured;
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< measured minus posed nominal
  double p =
      0.0;  ///< probability that this pairing is right, against "an extra hole that happens to lie there"
};

/// Another pose that the data and what is known leave open.
struct Rival {
  FaceFromPattern face_from_pattern;
  std::vector<Match> matches;
  double odds = 0.0;       ///< its share among all poses found
  std::string how;         ///< how it differs, in trade words: "one pitch, 76.2 mm, further along"
  std::string tell_apart;  ///< what would tell: "measure the end distance or name one hole"
};

/// At the chosen pose, another drawn hole that a measured one may be.
struct Swap {
  HoleId measured;
  HoleId nominal;      ///< the drawn hole it was taken for
  HoleId alternative;  ///< the other one it may be
  double odds = 0.0;   ///< of the alternative
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
  /// Poses that the holes alone would leave open and the stated place rules out; odds of the holes alone.
  std::vector<Rival> settled_by_place;
  std::vector<Swap> swaps;  ///< odds above 0.001
  bool complete = true;     ///< false when the search came to the limit of its node count
  double chi2 = 0.0;        ///< of the residuals against survey covariance and scatter together
  int dof = 0;
  double scatter_mm = 0.0;  ///< the old holes' own 1-sigma scatter about the drawing, each axis, estimated
  bool independent_holes = false;  ///< true when the face came without a full covariance
};

/// Registration of one measured face to its pattern, from nothing but the holes: every pose that could
/// explain enough of them is looked at, on either hand unless it is stated; each that is promising is refined
/// by optimal one-to-one assignment and a weighted rigid adjustment over the full covariance, in turn until
/// nothing changes; the evidence of what is left decides. Old holes scatter about their drawing, which is no
/// measuring error: that scatter is estimated too. Equal names on both sides say nothing. Deterministic; no
/// state is kept between calls. docs/registration.md has the model.
struct Registrar {
  /// Chance of losing a true pair to the gate. The evidence decides within it.
  double gate_loss = 1e-5;
  /// 1-sigma scatter (each axis) that old holes show about their drawing before any damage; median of the
  /// prior.
  double expected_scatter_mm = 0.5;
  /// Poses looked at before the search gives up being complete, and says so.
  int most_poses = 20'000'000;
  /// Promising poses adjusted in full.
  int most_refined = 400;

  /// Problems: kRegistrationNotFinite, kRegistrationCoincident (holes on one spot fix no turn),
  /// kRegistrationCovariance, kRegistrationPin (a pin names no hole or one twice), kRegistrationTooMany,
  /// kRegistrationTooFew (fewer than 2 pairs), kRegistrationWrongHand (the other hand explains the holes a
  /// thousand times better than the stated one: the hands are mixed up or the face was measured from its
  /// other side), kRegistrationPinsDoNotFit.
  Result<Registration> operator()(const Pattern& pattern, const MeasuredFace& face,
                                  const RegistrationKnown& known = {}) const;
};

/// Covariance (2x2, mm2, face frame) of the posed image of the pattern point `q_mm`: the propagated accuracy
/// at a hole. The residual RMS of a fit says nothing about it (Danilchenko and Fitzpatrick 2011, IEEE TMI
/// 30(3)).
Eigen::Matrix2d posed_covariance(const Registration& registration, const Eigen::Vector2d& q_mm);

namespace codes {
inline constexpr Code kRegistrationNotFinite{300};
inline constexpr Code kRegistrationCoincident{301};
inline constexpr Code kRegistrationCovariance{302};
inline constexpr Code kRegistrationPin{303};
inline constexpr Code kRegistrationTooMany{304};
inline constexpr Code kRegistrationTooFew{550};
inline constexpr Code kRegistrationWrongHand{551};
inline constexpr Code kRegistrationPinsDoNotFit{552};
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <vector>

#include "fairhole/base/angle.h"
#include "fairhole/registration/registration.h"

/// Whether an old part still has the shape of its drawing: stretched, out of square, bowed, its rows no
/// longer parallel. docs/distortion.md gives formulas, sources and measured error rates.
///
/// Two things must both hold before a distortion is claimed: the holes show it beyond their own scatter
/// (F-test), and it is larger than what the readings themselves may be wrong by (size rule). The first knows
/// nothing of a tape that is long by as much as the part is; the second knows nothing of scatter.
namespace fairhole {

/// What a part may do besides lying elsewhere. In the part's axes: t along the datum edge, v away from it,
/// both from the middle of the matched holes; L and G the part's length and the width over its rows.
enum class DistortionTerm {
  kScale,   ///< (t, v) * (value - 1): measured / nominal
  kShear,   ///< (-tan(value) * v, 0): the corner angle beyond 90 degrees
  kAspect,  ///< (0, v) * (value - 1): across / along
  kBow,     ///< (0, value * (1 - 4 t^2 / L^2)): mm at mid-length, away from the datum edge
  kTwist    ///< (0, tan(value) * t * v / G): the row farthest out turned against the row next to the edge
};
inline constexpr std::size_t kDistortionTerms = 5;

/// "scale", "shear", "aspect", "bow", "twist".
const char* distortion_name(DistortionTerm term);

/// Holes paired with the drawing, in one order. Finite numbers.
struct MatchedPoints {
  std::vector<Eigen::Vector2d> nominal_mm;   ///< pattern frame
  std::vector<Eigen::Vector2d> measured_mm;  ///< face frame
  Eigen::MatrixXd covariance_mm2;            ///< of the measured points alone, no scatter: 2n x 2n
};

/// The pairs of a registration.
MatchedPoints matched_points(const Registration& registration, const Pattern& pattern,
                             const MeasuredFace& face);

/// Where the datum edge lies, so that signs mean something. Only the directions' sense is used: the part's
/// axes are the drawing's own (`rows` and across them), that one taken for the length that lies nearest to
/// `along`.
struct PartDatum {
  Eigen::Vector2d along_face = {1.0, 0.0};  ///< along the long datum edge, from the datum corner; face frame
  Eigen::Vector2d away_face = {0.0, 1.0};   ///< away from the datum edge; face frame
  Angle rows;                               ///< direction of the rows in the pattern frame
  std::optional<double> length_mm;          ///< of the part; none: over the matched holes
};

/// Why nothing can be said of a term.
enum class NotDetermined {
  kTooFewHoles,  ///< nothing would be left over to check it by
  kOneRow,       ///< the holes have no width: all in one row along the edge
  kNoLength,     ///< the holes have no length: all in one line across
  kSameAsPose    ///< as these holes lie, the pose or an accepted term does the same to them
};

struct TermEstimate {
  double value = 0.0;            ///< scale and aspect: ratio; shear and twist: degrees; bow: mm
  double sigma = 0.0;            ///< 1-sigma of `value`, sigma nought estimated
  double low = 0.0, high = 0.0;  ///< its 95 % interval (Student)
  double f = 0.0;                ///< F of 1 and `dof` degrees of freedom
  int dof = 0;
  double p = 1.0;         ///< chance of such an F or more without the distortion
  double size_mm = 0.0;   ///< what it comes to over the part
  double over_mm = 0.0;   ///< the length `size_mm` is seen over
  double limit_mm = 0.0;  ///< the readings' own error at this place: size must exceed it
};

struct TermFinding {
  std::optional<TermEstimate> estimate;   ///< none: see `why`
  std::optional<NotDetermined> why = {};  ///< exactly when there is no estimate
  bool significant = false;               ///< p below the level; accepted only if large enough, too
  bool accepted = false;
};

/// Pattern to face with distortion: face = image + face_from_part * (q + shifts(q)),
/// q = part_from_pattern * (p - middle).
struct DistortedPose {
  Eigen::Vector2d middle_mm = Eigen::Vector2d::Zero();           ///< of the matched holes, pattern frame
  Eigen::Vector2d image_mm = Eigen::Vector2d::Zero();            ///< its image, face frame
  Eigen::Matrix2d face_from_part = Eigen::Matrix2d::Identity();  ///< columns: along, away
  Eigen::Matrix2d part_from_pattern = Eigen::Matrix2d::Identity();
  double length_mm = 0.0, width_mm = 0.0;  ///< L and G
  /// scale - 1, shear rad, aspect - 1, bow mm, twist rad.
  std::array<double, kDistortionTerms> coefficient = {};

  /// Image of a pattern point; the distortion `exaggerated` times.
  Eigen::Vector2d operator()(const Eigen::Vector2d& nominal_mm, double exaggerated = 1.0) const;
};

/// One matched hole, face frame.
struct ResidualArrow {
  Eigen::Vector2d posed_mm = Eigen::Vector2d::Zero();   ///< where the rigid pose puts the drawn hole
  Eigen::Vector2d before_mm = Eigen::Vector2d::Zero();  ///< measured minus rigidly posed
  Eigen::Vector2d after_mm = Eigen::Vector2d::Zero();   ///< measured minus posed with what was accepted
};

struct Distortion {
  std::array<TermFinding, kDistortionTerms> terms;  ///< by DistortionTerm
  std::vector<DistortionTerm> accepted;             ///< in the order they were accepted
  DistortedPose pose;                               ///< with the accepted terms alone
  std::vector<ResidualArrow> arrows;                ///< in the order of the points
  double rigid_scatter_mm = 0.0;                    ///< the holes' own 1-sigma scatter, each axis, no term
  double scatter_mm = 0.0;                          ///< the same once the accepted terms are taken off
  int dof = 0;

  const TermFinding& operator[](DistortionTerm term) const { return terms[static_cast<std::size_t>(term)]; }
};

/// Looks for distortion, term by term: of the terms not yet accepted, the one with the smallest p that is
/// significant and large enough joins the model; what it makes needless leaves; until none joins. Each test
/// re-estimates the scatter with the term in the model. Five tests at `level` leave at most five times
/// `level` of false claims on an undistorted part.
/// An accepted term's figures are those of the final model, the others' of the final model and that term.
struct DistortionFinder {
  double level = 0.001;  ///< of each F-test
  /// The size must exceed so many sigmas of the effect that reading errors alone would make.
  double size_sigmas = 2.0;

  /// `start`: the registration's pose; its hand is kept.
  Distortion operator()(const MatchedPoints& points, const FaceFromPattern& start,
                        const PartDatum& datum = {}) const;
};

}  // namespace fairhole

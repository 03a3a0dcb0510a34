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

/// Two measurements of one face put together by their full covariances, where the second has a frame of its
/// own: a photograph's board, a rubbing's sheet. docs/photo.md, "In a job".
namespace fairhole {

/// A straight edge of the part as the loose measurement sees it, and the line of the face it lies on.
struct EdgeTie {
  std::string name;                                                                ///< "long datum edge"
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();  ///< loose frame
  double offset_sigma_mm = 0.0;                                                    ///< across, at its middle
  double turn_sigma_rad = 0.0;
  Eigen::Vector2d on_mm = Eigen::Vector2d::Zero();    ///< a point of the line, face frame
  Eigen::Vector2d across = Eigen::Vector2d::UnitY();  ///< the line's unit normal, face frame
};

/// A measured face whose own frame lies on the face as roughly stated.
struct LooseFace {
  MeasuredFace measured;         ///< its own frame
  Motion face_from_loose;        ///< rough; its hand (`mirrored`) is taken as it is
  double shift_sigma_mm = 10.0;  ///< of where the loose frame's origin lies, each way
  double turn_sigma_rad = 0.05;
  std::vector<EdgeTie> edges;
};

/// What the two say of one thing, beyond what both claim (chance below 1 in 1000).
struct FaceDispute {
  std::string what;  ///< the hole's id in the fixed face, or the edge's name
  bool is_edge = false;
  bool is_size = false;   ///< a hole whose diameters differ by `apart_mm`; it stays, its size less sure
  double apart_mm = 0.0;  ///< of an edge: at its middle
};

struct FusedFace {
  MeasuredFace face;       ///< the fixed face's frame; first its holes, then those of the loose one alone
  Motion face_from_loose;  ///< adjusted
  std::vector<std::pair<HoleId, HoleId>> same;  ///< fixed id, loose id
  std::vector<FaceDispute> disputes;            ///< left out, the holes too
  /// Lengths of the fixed face over those of the loose one, less 1, where that is beyond both claims.
  std::optional<double> scale_apart;
  double chi2 = 0.0;  ///< of what ties them, after disputes
  int dof = 0;
};

/// Unknowns are all holes of both and the loose frame's place; what ties them is that holes seen by both
/// coincide, and that edges lie where they must. `fixed` may be empty: edges, or the rough place itself, then
/// tie the face. Which hole is which follows from shape and rough place. A hole that both see in different
/// places goes out; so does an edge; a difference of scale is taken into the covariance. Holes of the loose
/// face alone get the names P1, P2, ... by x, then y, passing over names that `fixed` has. Problems:
/// kFuseTwoWays, kFuseDisagree, kFuseNothingShared.
Result<FusedFace> fuse(const MeasuredFace& fixed, const LooseFace& loose);

/// Holes of both that lie on each other: index in `fixed`, index in `loose`; and the place that follows.
struct SharedHoles {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  Motion face_from_loose;
};
Result<SharedHoles> find_shared_holes(const MeasuredFace& fixed, const LooseFace& loose);

namespace codes {
inline constexpr Code kFuseTwoWays{652};        ///< two places fit the rough one as well
inline constexpr Code kFuseDisagree{653};       ///< the two measurements cannot be brought to agree
inline constexpr Code kFuseNothingShared{654};  ///< no hole is seen by both
}  // namespace codes

}  // namespace fairhole

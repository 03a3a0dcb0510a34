// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/length.h"
#include "fairhole/base/result.h"
#include "fairhole/inference/series.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"

namespace fairhole {

/// One reading of a dimension: a value the drawing may have stated, and the probability that it did.
struct RoundValue {
  double value_mm = 0.0;
  Unit unit = Unit::kMm;  ///< the unit in which it is a round number (both may be: 127 mm is 5 in)
  double odds = 0.0;
};

/// A dimension of the drawing: what the holes measure, and which round values that may have been.
struct Dimension {
  std::string name;  ///< "pitch", "first", "gauge", "centre x", "centre y", "diameter"
  double measured_mm = 0.0;
  double sigma_mm = 0.0;               ///< of measured_mm, scatter of the old holes and part turn included
  std::vector<RoundValue> candidates;  ///< best first; the first is what the pattern states
};

/// One place of an inferred item, and the hole that stands there.
struct Place {
  HoleId nominal;
  std::optional<HoleId> measured;                         ///< none where no hole was found
  std::optional<HoleId> measured_on_second;               ///< the same on the second face of a pair
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< measured minus place, part turn taken off
  bool strayed = false;  ///< so far off (torn, drawn over) that it had no say in the dimensions
};

/// A row, grid or bolt circle seen in the holes.
struct InferredItem {
  PatternItem item;  ///< with the most probable dimensions
  std::vector<Dimension> dimensions;
  double odds = 0.0;  ///< that all its dimensions are right together, the order of the holes taken as seen
  bool staggered = false;  ///< shifted by half a pitch against the item before it, on whose pitch it stands
  std::vector<Place> places;  ///< in the order of the item's holes
};

/// A hole of no visible order, where it was measured, part turn taken off.
struct LooseHole {
  NominalHole hole;
  HoleId measured;
};

/// What was meant, as far as the holes tell.
struct Inference {
  std::vector<InferredItem> items;  ///< rows along x by gauge, rows along y, circles
  std::vector<LooseHole> loose;     ///< of no visible order
  Unit unit = Unit::kMm;            ///< of the whole drawing
  double unit_odds = 0.5;
  double scatter_mm = 0.0;  ///< 1-sigma of the old holes about the drawing, each axis, estimated
  /// Turn of the rows against the face's x axis, counter-clockwise; it is the part's (or its datum edge's)
  /// and not the drawing's: the pattern is stated without it.
  Angle turn;
  Angle turn_sigma;
  bool independent_holes = false;  ///< true when a face came without a full covariance
  bool placed = true;  ///< false for a face without datum edges: the origin is then a hole of the first item

  /// The items and then the loose holes.
  std::vector<PatternItem> pattern_items() const;
};

/// A face and the hand it is of. Faces of one pair are of opposite hands.
struct FaceOfPair {
  MeasuredFace face;
  bool other_hand = false;
};

/// The pattern from measured holes alone, where the drawing is lost (docs/inference.md). Rows and circles are
/// the choice of greatest evidence; their dimensions are summed over every round value of both units, the
/// part's turn and the holes' scatter, so that odds mean what they say as far as the priors do.
/// Deterministic; no state is kept between calls.
struct PatternInference {
  /// Round values and how readily a draughtsman used them.
  SeriesPrior series;
  /// 1-sigma scatter (each axis) of old holes about their drawing: median and sd of the logarithm, the same
  /// prior as in registration.
  double expected_scatter_mm = 0.5;
  double scatter_log_sd = 0.7;
  /// 1-sigma turn of the rows against the datum edge.
  Angle turn_sigma = Angle::radians(0.003);
  /// Least distance of holes in a row.
  double least_pitch_mm = 15.0;
  /// A hole this near an empty place of a row is taken for it, marked as strayed, without a say in anything.
  double stray_mm = 6.0;
  /// False: the face's frame is only a convention (survey of shape alone). The rows' direction is then found
  /// without help and the origin laid into the first row.
  bool datum_edges = true;

  /// `where` names the face in problems. Problems: kInferenceNotFinite, kInferenceSameSpot, kInferenceTooFar,
  /// kInferenceTooFew (fewer than 2 holes).
  Result<Inference> operator()(const MeasuredFace& face, const std::string& where = {}) const;

  /// One pattern for several faces of one drawing, in the frame of the first, which stands as drawn. A face
  /// of the other hand may lie along its edge from another end: its shift along x is found from the holes.
  /// Problem besides: kInferenceNoPair, when the other face's holes do not fit the first one's pattern.
  Result<Inference> operator()(const FaceOfPair& first, const FaceOfPair& second,
                               const std::string& where = {}) const;
};

/// The same pattern of the other hand: y -> -y for every item, as `other_hand` does for holes.
std::vector<PatternItem> other_hand(const std::vector<PatternItem>& items);

namespace codes {
inline constexpr Code kInferenceNotFinite{330};
inline constexpr Code kInferenceSameSpot{331};
inline constexpr Code kInferenceTooFar{332};
inline constexpr Code kInferenceTooFew{580};
inline constexpr Code kInferenceNoPair{581};
}  // namespace codes

}  // namespace fairhole

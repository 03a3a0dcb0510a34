// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/pattern/slip.h"

namespace fairhole {

using HoleId = std::string;  ///< unique within one face; stacks have ids of their own

/// What stands in a hole or was made of it. Decides which methods are open to it.
enum class HoleForm {
  kThrough,
  kTapped,
  kBlind,
  kSlotted,
  kCountersunk,
  kBushed,
  kDowel,
  kRivetIn,
  kPlugged,
  kTorn
};

/// "through", "rivet-in", ...
const char* form_name(HoleForm form);
std::optional<HoleForm> form_from_name(const std::string& name);

/// Which surface of the part was looked at when the hole was measured.
enum class Surface {
  kFaying,  ///< the side that touches the plate
  kOuter    ///< the side away from it
};

/// One hole as measured, in its face's frame (x along the long datum edge, y away from it, seen looking at
/// the measured side). 1-sigma values.
struct MeasuredHole {
  HoleId id;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  Eigen::Matrix2d centre_cov_mm2 = Eigen::Matrix2d::Zero();
  std::optional<double> diameter_mm;  ///< mean of the worn hole; absent when nobody measured it
  double diameter_sigma_mm = 0.0;
  /// Oval holes: longest less shortest diameter, and the direction of the longest from x. 0 for round.
  double ovality_mm = 0.0;
  double ovality_axis_rad = 0.0;
  HoleForm form = HoleForm::kThrough;
};

/// All holes of one face. The covariance runs over (x, y) of every hole in the order of `holes`.
struct MeasuredFace {
  std::vector<MeasuredHole> holes;
  /// 2n x 2n, mm2. Empty when the source gave only each hole's own 2x2 block; whoever uses the face then
  /// takes the holes as independent and says so.
  Eigen::MatrixXd covariance_mm2;
  /// Readings behind these holes that may be slips nobody saw; none of a face that was photographed too.
  std::vector<DoubtfulReading> doubtful;

  const MeasuredHole* find(const HoleId& id) const;
  /// `covariance_mm2`, or the block diagonal of the holes' own covariances when that is empty.
  Eigen::MatrixXd full_covariance_mm2() const;
};

}  // namespace fairhole

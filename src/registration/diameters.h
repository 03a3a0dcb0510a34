// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"

namespace fairhole {

/// What the diameters say about who is who, where both sides give them and the drawing has more than one. Old
/// holes only grow: measured = drawn + wear + error, wear exponential with a mean of 0.5 mm, the drill's and
/// caliper's error normal; one hole in twenty was opened out to some other size. Our judgement; no source is
/// known to us.
class DiameterEvidence {
 public:
  DiameterEvidence() = default;
  DiameterEvidence(const Pattern& pattern, const MeasuredFace& face);

  /// log of how much likelier the measured diameter is in this drawn hole than in any drawn hole at random.
  double log_ratio(int nominal, int measured) const;
  double most() const { return most_; }  ///< no pair brings more

 private:
  double density(double over_mm, double sigma_mm) const;
  std::vector<double> nominal_mm_;  ///< NaN where not given
  std::vector<double> measured_mm_, sigma_mm_, log_average_;
  double most_ = 0.0;
};

}  // namespace fairhole

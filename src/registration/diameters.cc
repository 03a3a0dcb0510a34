// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "diameters.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "adjust.h"

namespace fairhole {
namespace {

constexpr double kWearMm = 0.5;
constexpr double kDrillSigmaMm = 0.15;
constexpr double kOtherSize = 0.05;    // share of holes opened out to some other size
constexpr double kSizeRangeMm = 25.0;  // within which any such size is as likely

}  // namespace

DiameterEvidence::DiameterEvidence(const Pattern& pattern, const MeasuredFace& face) {
  constexpr double kSameMm = 0.1;
  std::vector<double> given;
  for (const NominalHole& hole : pattern) {
    if (hole.diameter_mm) given.push_back(*hole.diameter_mm);
  }
  if (given.empty()) return;
  const auto [least, largest] = std::minmax_element(given.begin(), given.end());
  if (*largest - *least < kSameMm) return;
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  for (const NominalHole& hole : pattern) nominal_mm_.push_back(hole.diameter_mm.value_or(kNone));
  for (const MeasuredHole& hole : face.holes) {
    measured_mm_.push_back(hole.diameter_mm.value_or(kNone));
    sigma_mm_.push_back(std::hypot(hole.diameter_sigma_mm, kDrillSigmaMm));
    double sum = 0.0;
    double best = 0.0;
    for (const double d_mm : given) {
      const double value = density(measured_mm_.back() - d_mm, sigma_mm_.back());
      sum += value;
      best = std::max(best, value);
    }
    log_average_.push_back(std::log(sum / static_cast<double>(given.size())));
    if (hole.diameter_mm) most_ = std::max(most_, std::log(best) - log_average_.back());
  }
}

double DiameterEvidence::density(double over_mm, double sigma_mm) const {
  // Exponential wear and normal error added: the exponentially modified normal density.
  double worn = 0.0;
  if (over_mm > -12.0 * sigma_mm) {
    const double ratio = sigma_mm / kWearMm;
    worn = 0.5 / kWearMm * std::exp(0.5 * ratio * ratio - over_mm / kWearMm) *
           std::erfc((ratio - over_mm / sigma_mm) / std::sqrt(2.0));
  }
  return (1.0 - kOtherSize) * worn + kOtherSize / kSizeRangeMm;
}

double DiameterEvidence::log_ratio(int nominal, int measured) const {
  if (nominal_mm_.empty() || std::isnan(nominal_mm_[at(nominal)]) || std::isnan(measured_mm_[at(measured)]))
    return 0.0;
  return std::log(density(measured_mm_[at(measured)] - nominal_mm_[at(nominal)], sigma_mm_[at(measured)])) -
         log_average_[at(measured)];
}

}  // namespace fairhole

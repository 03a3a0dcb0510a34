// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "doubtful.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "slips.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kReadingsBehindShare = 100.0;  // the share as sure as if seen in so many readings
// Slips below the first are lost in the holes' own scatter; above the last, nobody takes the hole for itself.
constexpr std::array<double, 13> kEdgesMm{0.7,  1.1,  1.7,  2.5,  3.7,  5.5,  8.0,
                                          12.0, 18.0, 27.0, 40.0, 60.0, 100.0};
constexpr double kLargestMm = kEdgesMm.back();

bool of_a_tape(ReadingKind kind) {
  return kind != ReadingKind::kDia && kind != ReadingKind::kKnownX && kind != ReadingKind::kKnownY;
}

/// Share of slips among readings, given how many of these were set aside.
double share_of_slips(const Model& model) {
  double readings = kReadingsBehindShare, slips = kReadingsBehindShare * kGrossShare;
  for (const Observation& o : model.observations) {
    if (o.reading < 0 || !of_a_tape(model.reading(o).kind)) continue;
    readings += 1.0;
    if (!o.active) slips += 1.0;
  }
  return slips / readings;
}

std::vector<DoubtfulReading::Size> sizes_of_slips(double odds) {
  std::vector<DoubtfulReading::Size> sizes;
  for (const TapeSlip& slip : tape_slips()) {
    if (std::abs(slip.size_mm) <= kLargestMm)
      sizes.push_back({slip.size_mm, slip.size_mm, odds * slip.share});
  }
  for (std::size_t i = 0; i + 1 < kEdgesMm.size(); ++i) {
    const double low = kEdgesMm[i], high = kEdgesMm[i + 1];
    const double share = unnamed_density(std::sqrt(low * high)) * (high - low);
    sizes.push_back({low, high, odds * share});
    sizes.push_back({-high, -low, odds * share});
  }
  return sizes;
}

}  // namespace

std::vector<DoubtfulReading> doubtful_readings(const Model& model, const Solution& s,
                                               const DatumChange& change, const Columns& columns) {
  const double share = share_of_slips(model);
  const std::vector<DoubtfulReading::Size> sizes = sizes_of_slips(share / (1.0 - share));
  std::vector<DoubtfulReading> out;
  for (std::size_t i = 0; i < model.observations.size(); ++i) {
    const Observation& o = model.observations[i];
    if (o.reading < 0 || !o.active || !of_a_tape(model.reading(o).kind)) continue;
    const Equation& e = s.equations[i];
    const double variance = o.sigma * o.sigma;
    const Eigen::VectorXd pull = s.normals->covariance_with(e) / variance;
    Eigen::MatrixXd holes = Eigen::MatrixXd::Zero(2 * Eigen::Index{model.hole_count()}, 1);
    for (Eigen::Index k = 0; k < holes.rows(); ++k) {
      const int column = columns.of_param[static_cast<std::size_t>(k)];
      if (column >= 0) holes(k, 0) = pull[column];
    }
    DoubtfulReading doubtful;
    doubtful.row = model.reading(o).row;
    doubtful.hole = model.reading(o).from;
    doubtful.per_mm = change.apply(holes);
    doubtful.score = s.residual[static_cast<Eigen::Index>(i)] / variance;
    doubtful.information = std::max(0.0, 1.0 - s.normals->fit_variance(e) / variance) / variance;
    doubtful.sizes = sizes;
    const int width = model.hole_params[static_cast<std::size_t>(model.hole(doubtful.hole))].diameter;
    if (width >= 0) {
      const double radius = 0.5 * s.state[width], each = 0.5 * kEdgeShare * share / (1.0 - share);
      doubtful.sizes.push_back({radius, radius, each});
      doubtful.sizes.push_back({-radius, -radius, each});
    }
    out.push_back(std::move(doubtful));
  }
  return out;
}

}  // namespace fairhole::survey_detail

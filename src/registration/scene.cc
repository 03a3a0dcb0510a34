// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "scene.h"

#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <limits>

#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

PointSets point_sets(const Pattern& pattern, const MeasuredFace& face) {
  PointSets points;
  for (const NominalHole& hole : pattern) points.nominal_mm.push_back(hole.centre_mm);
  for (std::size_t i = 0; i < face.holes.size(); ++i) {
    points.measured_mm.push_back(face.holes[i].centre_mm);
    const auto row = static_cast<Eigen::Index>(2 * i);
    points.blocks_mm2.emplace_back(face.covariance_mm2.size() == 0
                                       ? face.holes[i].centre_cov_mm2
                                       : Eigen::Matrix2d(face.covariance_mm2.block<2, 2>(row, row)));
  }
  points.full_mm2 = face.covariance_mm2;
  return points;
}

double spread_mm(const std::vector<Eigen::Vector2d>& points_mm) {
  double spread = 0.0;
  for (const Eigen::Vector2d& p : points_mm) spread = std::max(spread, (p - points_mm.front()).norm());
  return spread;
}

bool all_finite(const PointSets& points, const RegistrationKnown& known) {
  const auto finite = [](const auto& values) {
    return std::all_of(values.begin(), values.end(), [](const auto& v) { return v.allFinite(); });
  };
  const bool place =
      !known.place || (known.place->pose.motion.shift_mm.allFinite() &&
                       std::isfinite(known.place->pose.motion.turn.radians()) &&
                       known.place->sigma.allFinite() && known.place->turn_about_mm.allFinite());
  const bool metal = !known.metal_mm2 || (std::isfinite(*known.metal_mm2) && *known.metal_mm2 > 0.0);
  return place && metal && finite(points.nominal_mm) && finite(points.measured_mm) &&
         finite(points.blocks_mm2) && points.full_mm2.allFinite();
}

/// Positive semidefinite to rounding: a hair of variance is added before the test.
bool is_covariance(const Eigen::MatrixXd& cov) {
  constexpr double kHair = 1e-9;
  const double hair = kHair * std::max(cov.diagonal().cwiseAbs().maxCoeff(), kHair);
  Eigen::MatrixXd lifted = cov;
  lifted.diagonal().array() += hair;
  return (cov - cov.transpose()).cwiseAbs().maxCoeff() <= hair &&
         Eigen::LLT<Eigen::MatrixXd>(lifted).info() == Eigen::Success;
}

bool are_covariances(const PointSets& points) {
  if (points.full_mm2.size() != 0) {
    return points.full_mm2.rows() == points.full_mm2.cols() &&
           points.full_mm2.rows() == static_cast<Eigen::Index>(2 * points.measured_mm.size()) &&
           is_covariance(points.full_mm2);
  }
  return std::all_of(points.blocks_mm2.begin(), points.blocks_mm2.end(),
                     [](const Eigen::Matrix2d& block) { return is_covariance(block); });
}

std::optional<Problem> refuse(const PointSets& points, const RegistrationKnown& known) {
  constexpr double kOneSpotMm = 1.0;
  constexpr std::size_t kMostHoles = 3000;  // the lengths between all of them take 60 MB
  if (!all_finite(points, known)) {
    return Problem{codes::kRegistrationNotFinite, "", "a coordinate or its covariance is not a finite number",
                   "correct the hole's position"};
  }
  if (points.nominal_mm.size() < 2 || points.measured_mm.size() < 2) {
    return Problem{codes::kRegistrationTooFew, "",
                   fmt::format("{} drawn and {} measured holes; a pose needs 2 of each",
                               points.nominal_mm.size(), points.measured_mm.size()),
                   "measure one more hole on this part"};
  }
  if (points.nominal_mm.size() > kMostHoles || points.measured_mm.size() > kMostHoles) {
    return Problem{codes::kRegistrationTooMany, "",
                   fmt::format("{} drawn and {} measured holes; at most {} of each can be registered",
                               points.nominal_mm.size(), points.measured_mm.size(), kMostHoles),
                   "register the part in stretches"};
  }
  if (!are_covariances(points)) {
    return Problem{codes::kRegistrationCovariance, "", "the holes' covariance is not one",
                   "it must be symmetric, and no combination of coordinates may have a negative variance"};
  }
  if (spread_mm(points.nominal_mm) < kOneSpotMm || spread_mm(points.measured_mm) < kOneSpotMm) {
    return Problem{codes::kRegistrationCoincident, "", "all holes lie on one spot, which fixes no turn",
                   "check the readings; a pose needs 2 holes apart from each other"};
  }
  return std::nullopt;
}

template <class Holes>
int index_of(const Holes& holes, const HoleId& id) {
  const auto found =
      std::find_if(holes.begin(), holes.end(), [&](const auto& hole) { return hole.id == id; });
  return found == holes.end() ? -1 : static_cast<int>(found - holes.begin());
}

Result<Pins> make_pins(const Pattern& pattern, const MeasuredFace& face,
                       const std::vector<PinnedPair>& given) {
  Pins pins{std::vector<int>(face.holes.size(), -1), std::vector<int>(pattern.size(), -1), {}};
  Problems problems;
  for (const PinnedPair& pin : given) {
    const std::string where = fmt::format("pin {}={}", pin.nominal, pin.measured);
    const int a = index_of(pattern, pin.nominal), i = index_of(face.holes, pin.measured);
    if (a < 0 || i < 0) {
      problems.push_back({codes::kRegistrationPin, where,
                          fmt::format("there is no {} hole \"{}\"", a < 0 ? "drawn" : "measured",
                                      a < 0 ? pin.nominal : pin.measured),
                          "name a drawn hole and a measured one: DRAWN=MEASURED"});
      continue;
    }
    int& nominal = pins.nominal_of[static_cast<std::size_t>(i)];
    int& measured = pins.measured_of[static_cast<std::size_t>(a)];
    if (nominal >= 0 || measured >= 0) {
      problems.push_back(
          {codes::kRegistrationPin, where, "one of the two is pinned already", "pin each hole once"});
      continue;
    }
    nominal = a;
    measured = i;
    pins.pairs.push_back({a, i});
  }
  if (!problems.empty()) return problems;
  return pins;
}

double alike_mm(const std::vector<Eigen::Vector2d>& nominal_mm, const NominalGrid& grid) {
  constexpr double kMostMm = 4.0, kLeastMm = 0.2, kShare = 0.2;
  double nearest_mm = kMostMm / kShare;
  for (std::size_t a = 0; a < nominal_mm.size(); ++a) {
    grid.near(nominal_mm[a], kMostMm / kShare, [&](int b) {
      const double apart_mm = (nominal_mm[static_cast<std::size_t>(b)] - nominal_mm[a]).norm();
      if (b != static_cast<int>(a)) nearest_mm = std::min(nearest_mm, apart_mm);
    });
  }
  return std::max(kLeastMm, kShare * nearest_mm);
}

}  // namespace

Result<Scene> make_scene(const Pattern& pattern, const MeasuredFace& face, const RegistrationKnown& known,
                         const Registrar& registrar) {
  Scene scene;
  scene.points = point_sets(pattern, face);
  if (auto problem = refuse(scene.points, known)) return *problem;
  Result<Pins> pins = make_pins(pattern, face, known.pins);
  if (!pins) return pins.problems();
  scene.pins = std::move(*pins);
  scene.points.grid = NominalGrid(scene.points.nominal_mm);
  scene.odds = HoleOdds(scene.points, known.metal_mm2);
  scene.diameters = DiameterEvidence(pattern, face);
  scene.gate_chi2 = chi2_quantile(1.0 - registrar.gate_loss, 2.0);
  scene.expected_scatter_mm = registrar.expected_scatter_mm;
  scene.alike_mm = alike_mm(scene.points.nominal_mm, scene.points.grid);
  return scene;
}

}  // namespace fairhole

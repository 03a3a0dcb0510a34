// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "polish.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>

namespace fairhole {
namespace {

constexpr double kWideScatter = 2.5;  // times what is expected: 90 in 100 parts scatter less

/// Each drawn hole with the nearest measured one inside its gate.
std::vector<Pairing> hits(const Scene& scene, const Gates& gates, const NearestNominal& nearest,
                          const FastPose& pose, const Looseness& loose) {
  struct Nearest {
    int measured = -1;
    double off_mm2 = std::numeric_limits<double>::infinity();
  };
  const PointSets& points = scene.points;
  const double gate = gates.sigmas * gates.sigmas, reach_mm2 = gates.reach_mm * gates.reach_mm;
  std::vector<Nearest> of(points.nominal_mm.size());
  std::size_t count = 0;
  for (std::size_t i = 0; i < points.measured_mm.size(); ++i) {
    const double gate_mm2 = gate * (gates.variance_mm2[i] + loose.at(points.measured_mm[i]));
    if (gate_mm2 > reach_mm2) continue;
    const Eigen::Vector2d q_mm = pose.to_pattern(points.measured_mm[i]);
    const int a = nearest(q_mm.x(), q_mm.y());
    if (a < 0 || !scene.pins.allow(a, static_cast<int>(i))) continue;
    const double off_mm2 = (points.nominal_mm[at(a)] - q_mm).squaredNorm();
    if (off_mm2 > gate_mm2 || off_mm2 >= of[at(a)].off_mm2) continue;
    count += of[at(a)].measured < 0 ? 1 : 0;
    of[at(a)] = {static_cast<int>(i), off_mm2};
  }
  std::vector<Pairing> pairs;
  pairs.reserve(count);
  for (std::size_t a = 0; a < of.size(); ++a) {
    if (of[a].measured >= 0) pairs.push_back({static_cast<int>(a), of[a].measured});
  }
  return pairs;
}

bool hold_pins(const std::vector<Pairing>& pairs, const Pins& pins) {
  return std::all_of(pins.pairs.begin(), pins.pairs.end(), [&](const Pairing& pin) {
    return std::find(pairs.begin(), pairs.end(), pin) != pairs.end();
  });
}

}  // namespace

Gates::Gates(const Scene& scene) {
  constexpr double kLeastReachMm = 30.0, kMostReachMm = 80.0;
  const double scatter_mm = kWideScatter * scene.expected_scatter_mm;
  for (const Eigen::Matrix2d& block : scene.points.blocks_mm2) {
    Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen;
    eigen.computeDirect(block, Eigen::EigenvaluesOnly);
    variance_mm2.push_back(std::max(0.0, eigen.eigenvalues()[1]) + scatter_mm * scatter_mm);
    largest_mm2 = std::max(largest_mm2, variance_mm2.back());
  }
  // Wide enough for a base as long as the pattern; a shorter one leaves its far holes open.
  reach_mm = std::clamp(sigmas * std::sqrt(3.0 * largest_mm2), kLeastReachMm, kMostReachMm);
}

FastPose FastPose::of(const Motion& pose) {
  return {std::cos(pose.turn.radians()), std::sin(pose.turn.radians()), pose.shift_mm.x(), pose.shift_mm.y(),
          pose.mirrored};
}

Motion FastPose::motion() const { return {{x_mm, y_mm}, Angle::radians(std::atan2(s, c)), mirrored}; }

Eigen::Matrix3d Looseness::covariance(const FastPose& pose) const {
  const Eigen::Vector2d arm_mm = middle_mm - Eigen::Vector2d(pose.x_mm, pose.y_mm);
  Eigen::Matrix3d at_middle = Eigen::Vector3d(shift_mm2, shift_mm2, turn_rad2).asDiagonal();
  Eigen::Matrix3d shift_from_middle = Eigen::Matrix3d::Identity();
  shift_from_middle.block<2, 1>(0, 2) = Eigen::Vector2d(arm_mm.y(), -arm_mm.x());
  return shift_from_middle * at_middle * shift_from_middle.transpose();
}

RigidFit rigid_fit(const PointSets& points, const std::vector<Pairing>& pairs, bool mirrored) {
  Eigen::Vector2d from_mm = Eigen::Vector2d::Zero();
  RigidFit fit;
  fit.pairs = pairs.size();
  for (const Pairing& pair : pairs) {
    from_mm += points.nominal_mm[at(pair.nominal)];
    fit.middle_mm += points.measured_mm[at(pair.measured)];
  }
  from_mm /= static_cast<double>(pairs.size());
  fit.middle_mm /= static_cast<double>(pairs.size());
  double dot = 0.0, cross = 0.0, measured_mm2 = 0.0;
  for (const Pairing& pair : pairs) {
    Eigen::Vector2d a = points.nominal_mm[at(pair.nominal)] - from_mm;
    if (mirrored) a.y() = -a.y();
    const Eigen::Vector2d p = points.measured_mm[at(pair.measured)] - fit.middle_mm;
    dot += a.dot(p);
    cross += a.x() * p.y() - a.y() * p.x();
    fit.spread_mm2 += a.squaredNorm();
    measured_mm2 += p.squaredNorm();
  }
  const double size = std::max(std::hypot(dot, cross), 1e-12);
  fit.pose = {dot / size, cross / size, 0.0, 0.0, mirrored};
  const Eigen::Vector2d image_mm = fit.pose.to_face(from_mm);
  fit.pose.x_mm = fit.middle_mm.x() - image_mm.x();
  fit.pose.y_mm = fit.middle_mm.y() - image_mm.y();
  fit.squares_mm2 = std::max(0.0, fit.spread_mm2 + measured_mm2 - 2.0 * size);
  return fit;
}

Looseness RigidFit::looseness(const Gates& gates) const {
  return {middle_mm, gates.largest_mm2 / static_cast<double>(pairs), gates.largest_mm2 / spread_mm2};
}

std::optional<Polished> polish(const Scene& scene, const Gates& gates, const NearestNominal& nearest,
                               const QuickEvidence& evidence, const FastPose& start, const Looseness& loose) {
  constexpr int kMostRounds = 6;
  std::vector<Pairing> before;
  RigidFit fit;
  fit.pose = start;
  Looseness now = loose;
  Polished out;
  for (int round = 0; round < kMostRounds; ++round) {
    std::vector<Pairing> pairs = hits(scene, gates, nearest, fit.pose, now);
    if (pairs.size() < 2) return std::nullopt;
    out.settled = pairs == before;
    if (out.settled) break;
    fit = rigid_fit(scene.points, pairs, start.mirrored);
    if (!fit.has_turn()) return std::nullopt;
    before = std::move(pairs);
    now = fit.looseness(gates);
  }
  if (!hold_pins(before, scene.pins)) return std::nullopt;
  out.pose = fit.pose;
  out.pairs = before.size();
  out.spread_mm2 = fit.spread_mm2;
  out.value = evidence(out.pairs, fit.squares_mm2, fit.spread_mm2);
  out.start = {fit.pose.motion(), now.covariance(fit.pose), out.value.log_evidence};
  for (const Pairing& pair : before)
    out.start.score += scene.diameters.log_ratio(pair.nominal, pair.measured);
  return out;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <Eigen/QR>
#include <algorithm>
#include <cmath>

#include "fairhole/registration/registration.h"
#include "steps.h"

namespace fairhole::inspection {
namespace {

constexpr std::size_t kLeastPairs = 3;

std::vector<Pair> pairs_by_id(const PlannedPlate& plan, const MeasuredFace& measured) {
  std::vector<Pair> pairs;
  for (std::size_t p = 0; p < plan.holes.size(); ++p) {
    for (std::size_t m = 0; m < measured.holes.size(); ++m) {
      if (plan.holes[p].id == measured.holes[m].id) pairs.push_back({p, m});
    }
  }
  return pairs;
}

Result<std::vector<Pair>> pairs_by_place(const PlannedPlate& plan, const MeasuredFace& measured,
                                         MeasuredIn measured_in) {
  Pattern pattern;
  for (const PlannedHole& hole : plan.holes) pattern.push_back({hole.id, hole.centre_mm, hole.finish_mm});
  RegistrationKnown known;
  known.mirrored = false;
  if (measured_in == MeasuredIn::kDatum) known.place = PosePrior{};
  const Result<Registration> registration = Registrar{}(pattern, measured, known);
  if (!registration) return registration.problems();
  std::vector<Pair> pairs;
  for (const Match& match : registration->matches) {
    const auto planned = std::find_if(plan.holes.begin(), plan.holes.end(),
                                      [&](const PlannedHole& hole) { return hole.id == match.nominal; });
    const auto found = std::find_if(measured.holes.begin(), measured.holes.end(),
                                    [&](const MeasuredHole& hole) { return hole.id == match.measured; });
    pairs.push_back({static_cast<std::size_t>(planned - plan.holes.begin()),
                     static_cast<std::size_t>(found - measured.holes.begin())});
  }
  std::sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.planned < b.planned; });
  return pairs;
}

/// Turn and shift that carry the measured points onto the planned ones, least squares, all alike.
Motion fit_motion(const std::vector<Eigen::Vector2d>& planned, const std::vector<Eigen::Vector2d>& measured) {
  const double n = static_cast<double>(planned.size());
  Eigen::Vector2d mean_p = Eigen::Vector2d::Zero(), mean_m = Eigen::Vector2d::Zero();
  for (std::size_t i = 0; i < planned.size(); ++i) mean_p += planned[i] / n, mean_m += measured[i] / n;
  double along = 0.0, across = 0.0;
  for (std::size_t i = 0; i < planned.size(); ++i) {
    const Eigen::Vector2d p = planned[i] - mean_p, m = measured[i] - mean_m;
    along += m.dot(p);
    across += m.x() * p.y() - m.y() * p.x();
  }
  Motion motion;
  motion.turn = Angle::radians(std::atan2(across, along));
  motion.shift_mm = mean_p - motion.linear() * mean_m;
  return motion;
}

/// What is left of an error after shift and turn have taken their share: I - J (J'J)^-1 J'.
Eigen::MatrixXd left_over(const std::vector<Eigen::Vector2d>& planned) {
  const Eigen::Index n = static_cast<Eigen::Index>(planned.size());
  Eigen::MatrixXd j(2 * n, 3);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Vector2d& p = planned[static_cast<std::size_t>(i)];
    j.row(2 * i) << 1.0, 0.0, -p.y();
    j.row(2 * i + 1) << 0.0, 1.0, p.x();
  }
  const Eigen::MatrixXd q =
      Eigen::HouseholderQR<Eigen::MatrixXd>(j).householderQ() * Eigen::MatrixXd::Identity(2 * n, 3);
  return Eigen::MatrixXd::Identity(2 * n, 2 * n) - q * q.transpose();
}

}  // namespace

Result<std::vector<Pair>> pair_holes(const PlannedPlate& plan, const MeasuredFace& measured,
                                     MeasuredIn measured_in) {
  std::vector<Pair> pairs = pairs_by_id(plan, measured);
  constexpr std::size_t kEnoughNames = 2;  // one name alike may be chance: photographs count H1, H2, ...
  if (pairs.size() < std::min(kEnoughNames, measured.holes.size())) {
    Result<std::vector<Pair>> placed = pairs_by_place(plan, measured, measured_in);
    if (!placed) return placed;
    pairs = *std::move(placed);
  }
  if (pairs.empty()) {
    return Problem{codes::kInspectNothing, plan.name, "no measured hole is one of the plan's",
                   "name the holes as the drilling sheet does, or name the right plate"};
  }
  if (measured_in == MeasuredIn::kFree && pairs.size() < kLeastPairs) {
    return Problem{codes::kInspectFree, plan.name,
                   fmt::format("{} holes to lay the plate on the plan by, measured without its datum edges",
                               pairs.size()),
                   "measure 3 holes at the least, or from the datum edges"};
  }
  return pairs;
}

Result<Offsets> offsets_of(const PlannedPlate& plan, const MeasuredFace& measured,
                           const std::vector<Pair>& pairs, MeasuredIn measured_in) {
  const Eigen::MatrixXd all = measured.full_covariance_mm2();
  const Eigen::Index n = static_cast<Eigen::Index>(pairs.size());
  Offsets offsets{Eigen::VectorXd(2 * n), Eigen::MatrixXd(2 * n, 2 * n)};
  std::vector<Eigen::Vector2d> planned_mm, measured_mm;
  for (const Pair& pair : pairs) {
    planned_mm.push_back(plan.holes[pair.planned].centre_mm);
    measured_mm.push_back(measured.holes[pair.measured].centre_mm);
  }
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index k = 0; k < n; ++k) {
      offsets.cov_mm2.block<2, 2>(2 * i, 2 * k) =
          all.block<2, 2>(2 * static_cast<Eigen::Index>(pairs[static_cast<std::size_t>(i)].measured),
                          2 * static_cast<Eigen::Index>(pairs[static_cast<std::size_t>(k)].measured));
    }
  }
  const Motion motion = measured_in == MeasuredIn::kFree ? fit_motion(planned_mm, measured_mm) : Motion{};
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t at = static_cast<std::size_t>(i);
    offsets.mm.segment<2>(2 * i) = motion * measured_mm[at] - planned_mm[at];
  }
  if (measured_in == MeasuredIn::kDatum) return offsets;
  Eigen::MatrixXd turned = Eigen::MatrixXd::Zero(2 * n, 2 * n);
  for (Eigen::Index i = 0; i < n; ++i) turned.block<2, 2>(2 * i, 2 * i) = motion.linear();
  const Eigen::MatrixXd carry = left_over(planned_mm) * turned;
  offsets.cov_mm2 = (carry * offsets.cov_mm2 * carry.transpose()).eval();
  return offsets;
}

}  // namespace fairhole::inspection

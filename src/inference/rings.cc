// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <set>

#include "cells.h"
#include "ring_shape.h"
#include "search.h"

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kLeastOnRing = 5;     // four corners are a square first
constexpr std::size_t kRingNeighbours = 6;  // a circle is looked for through a hole and two of these
constexpr double kLeastRadiusMm = 15.0, kMostRadiusMm = 1000.0;
constexpr int kMostOnCircle = 60;

std::optional<Vector2d> circumcentre(const Vector2d& a, const Vector2d& b, const Vector2d& c) {
  const Vector2d ab = b - a, ac = c - a;
  const double cross = ab.x() * ac.y() - ab.y() * ac.x();
  if (std::abs(cross) < 1e-3 * ab.norm() * ac.norm()) return std::nullopt;
  const double b2 = ab.squaredNorm(), c2 = ac.squaredNorm();
  return a + Vector2d(ac.y() * b2 - ab.y() * c2, ab.x() * c2 - ac.x() * b2) / (2.0 * cross);
}

/// A circle and the holes on it.
struct Round {
  Vector2d centre_mm = Vector2d::Zero();
  double radius_mm = 0.0;
  std::vector<int> on;
};

struct Candidate {
  SeenRing ring;
  double score = 0.0;
};

class RingSearch {
 public:
  RingSearch(const Field& field, const std::vector<int>& free)
      : field_(field), free_(free), cells_(field.holes_mm, free) {}

  std::optional<Candidate> best() const {
    std::optional<Candidate> best;
    std::set<std::array<int, 3>> tried;
    std::set<std::vector<int>> judged;  // many threes lead to one circle
    for (const int a : free_) {
      const std::vector<int> near = cells_.nearest(a, kRingNeighbours);
      for (std::size_t i = 0; i < near.size(); ++i) {
        for (std::size_t j = i + 1; j < near.size(); ++j) {
          std::array<int, 3> three{a, near[i], near[j]};
          std::sort(three.begin(), three.end());
          if (!tried.insert(three).second) continue;
          const std::optional<Round> round = through(a, near[i], near[j]);
          if (!round || !judged.insert(round->on).second) continue;
          std::optional<Candidate> found = spread(*round);
          if (found && found->score > 0.0 && (!best || found->score > best->score)) best = std::move(found);
        }
      }
    }
    return best;
  }

 private:
  const Vector2d& at(int hole) const { return field_.holes_mm[static_cast<std::size_t>(hole)]; }

  /// Three holes that scatter fix a circle badly: the gate is wide at first.
  std::optional<Round> through(int a, int b, int c) const {
    const std::optional<Vector2d> start = circumcentre(at(a), at(b), at(c));
    if (!start) return std::nullopt;
    Round round{*start, (at(a) - *start).norm(), {}};
    for (const double sigmas : {3.0 * kGateSigmas, 1.5 * kGateSigmas, kGateSigmas}) {
      if (round.radius_mm < kLeastRadiusMm || round.radius_mm > kMostRadiusMm) return std::nullopt;
      round.on = cells_.on_circle(round.centre_mm, round.radius_mm, sigmas * field_.scatter_mm);
      if (round.on.size() < kLeastOnRing) return std::nullopt;
      std::vector<Vector2d> points;
      for (const int hole : round.on) points.push_back(at(hole));
      if (!fit_circle(points, round.centre_mm, round.radius_mm)) return std::nullopt;
    }
    return round;
  }

  /// Equal steps round the circle, cut open in its widest gap.
  std::optional<Candidate> spread(const Round& round) const {
    Candidate found;
    found.ring.centre_mm = round.centre_mm;
    found.ring.radius_mm = round.radius_mm;
    SeenRing& ring = found.ring;
    std::vector<std::pair<double, int>> by_angle;
    for (const int hole : round.on) {
      const Vector2d arm = at(hole) - ring.centre_mm;
      by_angle.emplace_back(std::atan2(arm.y(), arm.x()), hole);
    }
    std::sort(by_angle.begin(), by_angle.end());
    constexpr double kTurn = 2.0 * std::numbers::pi;
    std::size_t cut = 0;
    double widest = by_angle.front().first + kTurn - by_angle.back().first;
    for (std::size_t i = 1; i < by_angle.size(); ++i) {
      if (const double gap = by_angle[i].first - by_angle[i - 1].first; gap > widest + 1e-9) {
        widest = gap;
        cut = i;
      }
    }
    for (std::size_t i = 0; i < cut; ++i) by_angle[i].first += kTurn;
    std::rotate(by_angle.begin(), by_angle.begin() + static_cast<std::ptrdiff_t>(cut), by_angle.end());
    std::vector<double> u_mm;
    for (const auto& [angle, hole] : by_angle) u_mm.push_back(angle * ring.radius_mm);
    std::optional<Spacing> spacing =
        best_spacing(u_mm, {field_.scatter_mm, field_.member_gain(), field_.rules.least_pitch_mm});
    if (!spacing || spacing->members.size() < kLeastOnRing) return std::nullopt;
    for (Member& m : spacing->members) m.hole = by_angle[static_cast<std::size_t>(m.hole)].second;
    ring.members = spacing->members;
    ring.start_rad = spacing->start_mm / ring.radius_mm;
    ring.step_rad = spacing->pitch_mm / ring.radius_mm;
    found.score = score(*spacing, ring);
    return found;
  }

  double score(const Spacing& spacing, SeenRing& ring) const {
    const double n = static_cast<double>(ring.members.size());
    const double s2 = field_.scatter_mm * field_.scatter_mm, two_pi = 2.0 * std::numbers::pi;
    const RingFit arc = fit_ring(ring, field_.holes_mm, false);
    Eigen::Matrix<double, 5, 5> normal = Eigen::Matrix<double, 5, 5>::Zero();
    for (const Member& m : ring.members)
      normal += arc.shape.derivatives(m.k).transpose() * arc.shape.derivatives(m.k);
    const double step_sigma_mm = std::sqrt(s2 * normal.inverse()(4, 4));
    const double place_freedom =
        2.0 * std::log(two_pi * s2) - 0.5 * std::log(normal.topLeftCorner<4, 4>().determinant()) -
        std::log(field_.width_mm * field_.height_mm * kRadiusRangeMm * kPitchRangeMm);
    // A closed circle's step is one of few; an arc's is free.
    const double any =
        -0.5 * arc.squares_mm2 / s2 + std::log(std::sqrt(two_pi) * step_sigma_mm / kPitchRangeMm);
    double closed = -1e300;
    if (std::round(two_pi / ring.step_rad) <= kMostOnCircle) {
      closed = -0.5 * fit_ring(ring, field_.holes_mm, true).squares_mm2 / s2 -
               std::log(static_cast<double>(kMostOnCircle));
    }
    ring.closed = closed > any;
    const RingShape shape = ring.closed ? fit_ring(ring, field_.holes_mm, true).shape : arc.shape;
    ring.centre_mm = shape.d_mm.head<2>();
    ring.radius_mm = 0.5 * shape.d_mm[2];
    ring.start_rad = shape.angle_rad(0);
    ring.step_rad = shape.step_rad();
    return n * field_.member_gain() - kGapCost * spacing.gaps() + place_freedom + std::max(any, closed) -
           log_choices(static_cast<int>(free_.size()), static_cast<int>(ring.members.size())) - kRingCost;
  }

  const Field& field_;
  const std::vector<int>& free_;
  Cells cells_;
};

}  // namespace

void take_rings(const Field& field, std::vector<int>& free, Structure& structure) {
  while (free.size() >= kLeastOnRing) {
    std::optional<Candidate> found = RingSearch(field, free).best();
    if (!found) return;
    structure.score += found->score;
    std::erase_if(free, [&](int hole) {
      return std::any_of(found->ring.members.begin(), found->ring.members.end(),
                         [hole](const Member& m) { return m.hole == hole; });
    });
    structure.rings.push_back(std::move(found->ring));
  }
}

}  // namespace fairhole::inference

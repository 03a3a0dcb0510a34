// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "test_cases.h"

/// Parts drawn at random, with everything the drawing knows and nothing the registrar is told.
namespace fairhole::test {

enum class Shape { kRow, kGrid, kStaggered, kCircle, kTwoRows, kStrewn };
inline constexpr int kShapes = 6;

/// Pattern and the motions that lay it upon itself, wholly or but for its ends.
struct Drawn {
  Pattern pattern;
  std::vector<Motion> symmetries;
  double nearest_mm = 0.0;  ///< least distance between two holes
};

inline Motion about(const Eigen::Vector2d& middle_mm, double turn_deg, bool mirrored,
                    const Eigen::Vector2d& shift_mm) {
  Motion m{Eigen::Vector2d::Zero(), Angle::degrees(turn_deg), mirrored};
  m.shift_mm = middle_mm + shift_mm - m * middle_mm;
  return m;
}

inline Drawn finish(Pattern pattern, const Eigen::Vector2d& step_mm, int steps, int turns) {
  Drawn drawn;
  Eigen::Vector2d low = pattern.front().centre_mm, high = low;
  drawn.nearest_mm = 1e9;
  for (const NominalHole& a : pattern) {
    low = low.cwiseMin(a.centre_mm);
    high = high.cwiseMax(a.centre_mm);
    for (const NominalHole& b : pattern) {
      const double apart_mm = (a.centre_mm - b.centre_mm).norm();
      if (apart_mm > 0.0) drawn.nearest_mm = std::min(drawn.nearest_mm, apart_mm);
    }
  }
  for (int k = 0; k < turns; ++k) {
    for (const bool mirrored : {false, true}) {
      for (int i = -steps; i <= steps; ++i) {
        for (int j = -steps; j <= steps; ++j) {
          drawn.symmetries.push_back(about(0.5 * (low + high), 360.0 / turns * k, mirrored,
                                           {0.5 * i * step_mm.x(), 0.5 * j * step_mm.y()}));
        }
      }
    }
  }
  drawn.pattern = std::move(pattern);
  return drawn;
}

inline Drawn draw(Shape shape, int count, std::mt19937_64& rng) {
  const auto at = [](double x, double y, int i) {
    return NominalHole{"D" + std::to_string(i), {x, y}, 20.6};
  };
  Pattern pattern;
  switch (shape) {
    case Shape::kRow:
      for (int i = 0; i < count; ++i) pattern.push_back(at(76.2 * i, 30.0, i));
      return finish(pattern, {152.4, 0.0}, 3, 2);
    case Shape::kGrid: {
      const int rows = count < 6 ? 1 : 2 + static_cast<int>(rng() % 3);
      for (int i = 0; i < count; ++i) pattern.push_back(at(76.2 * (i / rows), 63.5 * (i % rows), i));
      return finish(pattern, {76.2, 63.5}, 3, 2);
    }
    case Shape::kStaggered:
      for (int i = 0; i < count; ++i) {
        const int row = i % 3;
        pattern.push_back(at(101.6 * (i / 3) + (row == 1 ? 50.8 : 0.0), 57.15 * row, i));
      }
      return finish(pattern, {50.8, 57.15}, 4, 2);
    case Shape::kCircle: {
      const double radius_mm = std::max(60.0, 12.0 * count);
      for (int i = 0; i < count; ++i) {
        const double angle = 2.0 * std::numbers::pi * i / count;
        pattern.push_back(at(radius_mm * std::cos(angle), radius_mm * std::sin(angle), i));
      }
      Drawn drawn = finish(pattern, {0.0, 0.0}, 0, count);
      drawn.symmetries.clear();  // about the true middle, not that of the box
      for (int k = 0; k < count; ++k) {
        for (const bool mirrored : {false, true})
          drawn.symmetries.push_back({{0.0, 0.0}, Angle::degrees(360.0 / count * k), mirrored});
      }
      return drawn;
    }
    case Shape::kTwoRows:
      return finish(two_rows(count), {38.1, 38.1}, 4, 2);
    case Shape::kStrewn:
      break;
  }
  return finish(strewn(count, rng), {0.0, 0.0}, 0, 1);
}

/// A survey's covariance: own error, a common shift and a tape a little long or short along each axis.
inline Eigen::MatrixXd tape_covariance(const std::vector<Eigen::Vector2d>& points_mm, double own_mm,
                                       double common_mm, double scale) {
  const auto n = static_cast<Eigen::Index>(points_mm.size());
  Eigen::MatrixXd cov = survey_covariance(static_cast<int>(n), own_mm, common_mm);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      const auto& a = points_mm[static_cast<std::size_t>(i)];
      const auto& b = points_mm[static_cast<std::size_t>(j)];
      cov(2 * i, 2 * j) += scale * scale * a.x() * b.x();
      cov(2 * i + 1, 2 * j + 1) += scale * scale * a.y() * b.y();
    }
  }
  return cov;
}

struct RandomCase {
  Drawn drawn;
  MeasuredFace face;
  Motion truth;
  std::vector<int> kept;   ///< drawn holes that are on the part
  double metal_mm2 = 0.0;  ///< where the extra ones may lie

  /// How far off a pose puts the holes that are on the part, at the worst.
  double off_mm(const Motion& pose) const {
    double worst_mm = 0.0;
    for (const int i : kept) {
      const Eigen::Vector2d& q_mm = drawn.pattern[static_cast<std::size_t>(i)].centre_mm;
      worst_mm = std::max(worst_mm, (pose * q_mm - truth * q_mm).norm());
    }
    return worst_mm;
  }
  /// Pairs that are true, less those that are not.
  int true_pairs(const std::vector<Match>& matches) const {
    int sum = 0;
    for (const Match& match : matches) {
      const auto k = static_cast<std::size_t>(std::stoi(match.measured.substr(1)));
      const bool right =
          k < kept.size() && match.nominal == drawn.pattern[static_cast<std::size_t>(kept[k])].id;
      sum += right ? 1 : -1;
    }
    return sum;
  }
  bool is_right(const Motion& pose, bool any_hand = false) const {
    return (any_hand || pose.mirrored == truth.mirrored) && off_mm(pose) < 0.4 * drawn.nearest_mm;
  }
};

struct Lost {
  double missing = 0.0;     ///< chance of each drawn hole
  double extra = 0.0;       ///< expected number over drawn ones
  int always_kept = 3;      ///< so many are on the part whatever the chance
  double beyond_mm = 50.0;  ///< so far beyond the outermost drawn holes the extra ones may lie
};

/// Extra holes lie anywhere on the metal; all stand in random order. The true ones are named M0, M1, ... as
/// `kept` lists them, the extra ones after them. No face is made where fewer than two true holes are left.
/// `uneven_mm`: how far the drawing itself is off its regular places, 1 sigma.
inline RandomCase random_case(Shape shape, int count, const Lost& lost, double scatter_mm,
                              std::mt19937_64& rng, double uneven_mm = 0.0) {
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  RandomCase made;
  made.drawn = draw(shape, count, rng);
  for (NominalHole& hole : made.drawn.pattern) hole.centre_mm += uneven_mm * normal_pair(rng);
  made.truth = {1000.0 * normal_pair(rng), Angle::degrees(360.0 * unit(rng)), rng() % 2 == 0};
  std::vector<int> order(static_cast<std::size_t>(count));
  std::iota(order.begin(), order.end(), 0);
  std::shuffle(order.begin(), order.end(), rng);
  std::vector<Eigen::Vector2d> places_mm;
  Eigen::Vector2d low = made.drawn.pattern.front().centre_mm, high = low;
  for (std::size_t k = 0; k < order.size(); ++k) {
    const Eigen::Vector2d& q_mm = made.drawn.pattern[static_cast<std::size_t>(order[k])].centre_mm;
    low = low.cwiseMin(q_mm);
    high = high.cwiseMax(q_mm);
    if (static_cast<int>(k) >= lost.always_kept && unit(rng) < lost.missing) continue;
    made.kept.push_back(order[k]);
    places_mm.emplace_back(made.truth * q_mm + scatter_mm * normal_pair(rng));
  }
  const Eigen::Vector2d metal_mm = (high - low).array() + 2.0 * lost.beyond_mm;
  made.metal_mm2 = metal_mm.prod();
  if (made.kept.size() < 2) return made;
  const int extra = std::poisson_distribution<int>(lost.extra * count)(rng);
  for (int k = 0; k < extra; ++k) {
    const Eigen::Vector2d share{unit(rng), unit(rng)};
    places_mm.emplace_back(made.truth *
                           Eigen::Vector2d(low.array() - lost.beyond_mm + share.array() * metal_mm.array()));
  }
  std::vector<Eigen::Vector2d> from_corner_mm = places_mm;  // a tape starts at the part's own corner
  for (Eigen::Vector2d& p : from_corner_mm) p -= made.truth.shift_mm;
  const Eigen::Vector3d share_of_sigmas{unit(rng), unit(rng), unit(rng)};
  const Eigen::MatrixXd cov = tape_covariance(from_corner_mm, 0.1 + 0.3 * share_of_sigmas.x(),
                                              0.3 * share_of_sigmas.y(), 3e-4 * share_of_sigmas.z());
  Eigen::VectorXd z(cov.rows());
  for (double& v : z) v = normal_pair(rng).x();
  const Eigen::VectorXd error = Eigen::LLT<Eigen::MatrixXd>(cov).matrixL() * z;
  std::vector<int> place(places_mm.size());
  std::iota(place.begin(), place.end(), 0);
  std::shuffle(place.begin(), place.end(), rng);
  MeasuredFace face;
  for (std::size_t k = 0; k < places_mm.size(); ++k) {
    MeasuredHole hole;
    hole.id = "M" + std::to_string(k);
    hole.centre_mm = places_mm[k] + error.segment<2>(static_cast<Eigen::Index>(2 * k));
    hole.centre_cov_mm2 = cov.block<2, 2>(static_cast<Eigen::Index>(2 * k), static_cast<Eigen::Index>(2 * k));
    face.holes.push_back(hole);
  }
  face.covariance_mm2 = cov;
  made.face = keep(face, place);
  return made;
}

}  // namespace fairhole::test

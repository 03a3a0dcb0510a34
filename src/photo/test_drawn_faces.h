// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Geometry>
#include <cmath>
#include <optional>
#include <random>
#include <vector>

#include "fairhole/photo/adjust.h"
#include "test_boards.h"

/// Faces with boards, cameras and bar readings drawn from the adjustment's own priors, and what would be
/// measured of the boards in their pictures.
namespace fairhole::photo::test {

inline constexpr double kEdgeSigma = 0.03,
                        kModelSigma = 0.02;  // the second is the adjustment's own allowance
inline constexpr double kBarSigma = 0.1, kLiftSigma = 0.1;
inline constexpr int kWidth = 4000, kHeight = 3000;

struct Draw {
  std::mt19937 random;
  double normal(double sigma) { return std::normal_distribution<double>(0.0, sigma)(random); }
  double uniform(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  }
};

struct Face {
  std::vector<LaidBoard> laid;
  std::vector<View> views;
  std::vector<Eigen::Vector2d> holes;
  PhotoOptions options;
  FocalHint focal;
};

/// Drawn from the priors, but for lenses that squeeze their own corners to less than half, which nobody
/// sells.
inline Lens draw_lens(Draw& draw) {
  constexpr double kCorner2 = 0.95;  // of this picture at the shortest focal length, squared
  Lens lens;
  do {
    lens.focal_px = 3000.0 * std::exp(draw.normal(0.03));
    lens.k1 = draw.normal(0.1);
    lens.k2 = draw.normal(0.05);
  } while (1.0 + 3.0 * lens.k1 * kCorner2 + 5.0 * lens.k2 * kCorner2 * kCorner2 < 0.5);
  lens.centre_px = {1999.5 + draw.normal(16.0), 1499.5 + draw.normal(16.0)};
  return lens;
}

/// Boards along a beam, one picture over each and between each two, holes on both sides.
inline Face draw_face(Draw& draw, int boards, bool oblique) {
  Face face;
  for (int b = 0; b < boards; ++b) {
    LaidBoard laid{.board = *make_board("A4", b)};
    laid.lift_mm = 0.1 + draw.normal(kLiftSigma);
    laid.scale = {1.0 + draw.normal(0.004), 1.0 + draw.normal(0.004)};
    if (b > 0) {
      laid.origin_mm = {600.0 * b + draw.uniform(-30.0, 30.0), draw.uniform(-30.0, 30.0)};
      laid.turn_rad = draw.uniform(-0.3, 0.3);
    }
    const auto& bars = laid.board.check_bars;
    face.options.bars.push_back({laid.board.name, bars[0].length_mm * laid.scale.x() + draw.normal(kBarSigma),
                                 bars[1].length_mm * laid.scale.y() + draw.normal(kBarSigma), kBarSigma});
    face.laid.push_back(laid);
  }
  face.focal = {3000.0, 0.03};
  const Lens lens = draw_lens(draw);
  for (int p = 0; p < 2 * boards - 1; ++p) {
    const Eigen::Vector2d at_mm{105.0 + 300.0 * p, 148.0 + draw.uniform(-20.0, 20.0)};
    const double tilt = oblique ? draw.uniform(0.3, 0.6) : draw.uniform(0.0, 0.12);
    const double from = draw.uniform(-3.1, 3.1), roll = draw.uniform(-0.2, 0.2);
    face.views.push_back(look_at(lens, at_mm, boards == 1 ? 620.0 : 950.0, tilt, from, roll));
  }
  for (int i = 0; i < 3 + 5 * boards; ++i)
    face.holes.emplace_back(-120.0 + 110.0 * i + draw.uniform(-20.0, 20.0), i % 2 == 0 ? -60.0 : 360.0);
  return face;
}

inline bool in_picture(const Eigen::Vector2d& p) {
  return p.x() > 5.0 && p.y() > 5.0 && p.x() < kWidth - 6.0 && p.y() < kHeight - 6.0;
}

inline std::optional<Eigen::Vector2d> seen_at(const View& view, const LaidBoard& laid,
                                              const Eigen::Vector2d& designed) {
  const Eigen::Vector2d w =
      laid.origin_mm + Eigen::Rotation2Dd(laid.turn_rad) * laid.scale.cwiseProduct(designed);
  const auto p = project(view, {w.x(), w.y(), laid.lift_mm});
  return p && in_picture(*p) && undistort(view.lens, *p) ? p : std::nullopt;
}

inline BoardSights draw_sights(Draw& draw, const Face& face, std::size_t photo) {
  BoardSights sights{
      .name = "picture", .width_px = kWidth, .height_px = kHeight, .focal = face.focal, .camera = "one"};
  const View& view = face.views[photo];
  for (std::size_t b = 0; b < face.laid.size(); ++b) {
    const LaidBoard& laid = face.laid[b];
    for (const PrintedEdge& edge : printed_edges(laid.board)) {
      if (edge.feature >= kMarkersPerBoard) continue;
      const auto a = seen_at(view, laid, edge.a_mm), c = seen_at(view, laid, edge.b_mm);
      if (!a || !c) continue;
      sights.corners.push_back(
          {static_cast<int>(b), edge.a_mm, *a + Eigen::Vector2d{draw.normal(1.0), draw.normal(1.0)}});
      const Eigen::Vector2d along = (*c - *a).normalized(), n(along.y(), -along.x());
      for (const double t : {0.25, 0.75}) {
        const Eigen::Vector2d designed = edge.a_mm + t * (edge.b_mm - edge.a_mm);
        const double error = draw.normal(std::hypot(kEdgeSigma, kModelSigma));
        sights.edges.push_back({static_cast<int>(b), edge.feature, designed,
                                *seen_at(view, laid, designed) + error * n, n, kEdgeSigma});
      }
    }
  }
  return sights;
}

}  // namespace fairhole::photo::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <span>
#include <vector>

#include "fairhole/photo/adjust.h"

/// The unknowns of the adjustment and its least-squares solution; the only place that knows Ceres.
namespace fairhole::photo {

/// ln focal, centre x, centre y, k1, k2, p1, p2, ln of the picture's stretch (across over up and down).
enum LensUnknown {
  kLnFocal,
  kCentreX,
  kCentreY,
  kRadial1,
  kRadial2,
  kTangent1,
  kTangent2,
  kLnStretch,
  kLensUnknowns
};
/// x, y, turn, lift, scale x, scale y.
enum BoardUnknown { kBoardX, kBoardY, kBoardTurn, kBoardLift, kScaleX, kScaleY, kBoardUnknowns };

struct Prior {
  double mean = 0.0, sigma = 0.0;
};

/// One lens, shared by the pictures of one camera, setting and size.
struct LensState {
  std::array<double, kLensUnknowns> value{};
  std::array<Prior, kLensUnknowns> prior{};
};
struct PhotoState {
  int lens = 0;
  std::array<double, 6> pose{};  // rotation vector and origin of camera_from_world
  double growth = 0.0;
  bool placed = false;
};
struct BoardState {
  std::array<double, kBoardUnknowns> value{0.0, 0.0, 0.0, 0.0, 1.0, 1.0};
  std::array<Prior, kBoardUnknowns> prior{};  // of lift and scales alone
  std::vector<Prior> bars_x, bars_y;          // measured over designed: ratio and its sigma
  bool placed = false;
};

struct Bundle {
  std::vector<LensState> lenses;
  std::vector<PhotoState> photos;
  std::vector<BoardState> boards;
  std::vector<Eigen::Vector2d> holes;
  int frame = 0;                 // the board that is held
  double model_sigma_px = 0.02;  // what the picture's noise does not explain, on top of an edge's own sigma
  double edge_factor = 1.0;      // on every edge's sigma
  bool tangential = false;
  bool stretch = false;  // free, to see whether there is one; holes know nothing of it
};

View view_of(const Bundle& bundle, int photo);
/// A board's designed point in the world.
Eigen::Vector3d world_of(const BoardState& board, const Eigen::Vector2d& board_mm);
/// Across the edge, px: where the bundle expects it less where it was seen.
double edge_misfit(const Bundle& bundle, int photo, const EdgeSight& edge);
/// 1-sigma of an edge as weighted.
double edge_sigma(const Bundle& bundle, const EdgeSight& edge);

/// Which sights take part: parallel to sights[photo].edges.
using EdgeUse = std::vector<std::vector<bool>>;

struct BundleInput {
  std::span<const BoardSights> sights;
  const EdgeUse& use;
  std::span<const HoleTie> holes = {};
};

/// Least squares from the bundle's values on; placed photos and boards alone. `robust`: Huber's loss beyond
/// 2.5 sigma. Returns the cost (half the weighted squares), or nothing when it does not settle.
std::optional<double> solve_bundle(const BundleInput& input, bool robust, int most_steps, Bundle& bundle);

/// Variances at the solution, a priori.
struct BundleCovariance {
  Eigen::MatrixXd holes_mm2;
  std::vector<double> ln_focal_sigma, ln_stretch_sigma;         // a lens
  std::vector<std::array<double, kBoardUnknowns>> board_sigma;  // a board
};
std::optional<BundleCovariance> bundle_covariance(const BundleInput& input, Bundle& bundle);

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/photo/board.h"
#include "fairhole/photo/camera.h"
#include "fairhole/photo/hole_image.h"
#include "fairhole/photo/picture.h"

/// All photographs of one face adjusted together: lenses, camera places, where the boards lie, the printed
/// scale, how high the print stands above the metal, and the holes themselves, which tie the photographs
/// together. World frame: the frame board's own, in true mm; z = 0 is the metal's face, z towards the camera.
///
/// Two steps: find_cameras() from the boards alone gives each picture its View, which the hole finder needs;
/// adjust_photos() with the holes seen in the pictures gives places and one covariance over all of them.
namespace fairhole::photo {

/// A spot where a printed edge was seen: it passes through `pixel`, square to `normal`. The spot's place
/// along the edge is not measured.
struct EdgeSight {
  int board = 0;
  int feature = 0;                                     ///< as in PrintedEdge
  Eigen::Vector2d board_mm = Eigen::Vector2d::Zero();  ///< on the edge as designed
  Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
  Eigen::Vector2d normal = Eigen::Vector2d::Zero();  ///< unit, from ink to paper
  double sigma_px = 0.0;                             ///< of the picture's noise alone
  double blur_px = 0.0;                              ///< the picture's, there: sigma of a blurred step
  bool overexposed = false;                          ///< the paper beside it is white without shades
};

/// A corner of a print, seen roughly: for the start alone.
struct RoughPoint {
  int board = 0;
  Eigen::Vector2d board_mm = Eigen::Vector2d::Zero();
  Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
};

/// What one picture shows of the boards.
struct BoardSights {
  std::string name;  ///< of the picture
  int width_px = 0, height_px = 0;
  std::optional<FocalHint> focal;
  std::string camera;
  std::vector<EdgeSight> edges = {};
  std::vector<RoughPoint> corners = {};
};

/// One reading of a board's two check bars on the print.
struct BarReading {
  std::string board;
  double x_mm = 0.0, y_mm = 0.0;
  double sigma_mm = 0.1;  ///< a steel rule read by eye
};

/// Height of the printed face above the metal whose holes are wanted; negative where it lies below.
struct Lift {
  double mm = 0.1;        ///< a sheet of paper lying on the metal
  double sigma_mm = 0.1;  ///< paper that does not lie quite flat; a thickness read from a rule
};

struct PhotoOptions {
  std::vector<BarReading> bars;
  std::map<std::string, Lift> lifts;  ///< by board name; Lift{} where a board is not named
  std::string frame;                  ///< a board's name; empty: the first board of the list that is seen
  std::optional<double> focal_px;     ///< stated by the user, within 1 %
  bool marks_on_sheet = false;        ///< a rubbing: what is wanted lies in the print's own plane
};

struct PhotoFit {
  View view;
  double focal_sigma_px = 0.0;
  double growth_px = 0.0;  ///< how far all ink seems grown (blur measured under another tone curve)
  double rms_px = 0.0;     ///< of the printed edges, across them
  int edges_used = 0, edges_left_out = 0;
};

struct PlacedBoard {
  bool seen = false;
  Eigen::Vector2d origin_mm = Eigen::Vector2d::Zero();  ///< of the sheet, in the world
  double turn_rad = 0.0;                                ///< counter-clockwise
  double lift_mm = 0.0, lift_sigma_mm = 0.0;
  Eigen::Vector2d scale = Eigen::Vector2d::Ones();  ///< printed over designed, x and y
  Eigen::Vector2d scale_sigma = Eigen::Vector2d::Zero();
};

/// One hole as seen in one or more pictures.
struct HoleTie {
  struct Seen {
    int photo = 0;
    Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
    Eigen::Matrix2d cov_px2 = Eigen::Matrix2d::Identity();
  };
  std::vector<Seen> seen;
};

struct PlacedHole {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  bool disagrees = false;        ///< its pictures do not agree on its place (chance below 1 in 1000)
  double disagreement_mm = 0.0;  ///< largest distance between what single pictures say
};

struct AdjustedPhotos {
  std::string frame;             ///< the frame board's name
  std::vector<PhotoFit> photos;  ///< one a picture
  std::vector<PlacedBoard> boards;
  std::vector<PlacedHole> holes;
  Eigen::MatrixXd covariance_mm2;  ///< over x, y of every hole in turn
  double rms_px = 0.0;             ///< of all printed edges
  int dof = 0;
  double edge_sigma_px = 0.0;         ///< what an edge spot is worth, as the fit itself shows
  std::vector<std::string> warnings;  ///< in a fitter's words
};

/// What adjust_photos() works on, and its first result.
struct Cameras {
  std::vector<BoardSights> sights;
  AdjustedPhotos adjusted = {};
};

/// Boards found in the pictures, their edges measured, the cameras adjusted; measured once more with the
/// lens known. Problems: kPhotoNoBoard, kPhotoMirrored, kPhotoWrongBoard, kPhotoBoardsAlike,
/// kPhotoHalfBoard, kPhotoBlurred, kPhotoApart, kPhotoFrame, kPhotoCheckName, kPhotoBarReading.
Result<Cameras> find_cameras(std::span<const Picture> pictures, std::span<const Board> boards,
                             const PhotoOptions& options = {});

/// The adjustment itself, of measured edges and holes. The covariance is a priori (noise of edges and holes,
/// bar readings, lifts), enlarged where the edges fit worse than that. Problems: as find_cameras().
Result<AdjustedPhotos> adjust_photos(std::span<const Board> boards, std::span<const BoardSights> sights,
                                     std::span<const HoleTie> holes, const PhotoOptions& options = {});

namespace codes {
inline constexpr Code kPhotoCheckName{350};    ///< an option names a board that is not there
inline constexpr Code kPhotoStretched{360};    ///< a picture scaled more one way than the other
inline constexpr Code kPhotoNoBoard{641};      ///< no marker in the picture
inline constexpr Code kPhotoBarReading{690};   ///< a check bar's reading far from its length
inline constexpr Code kPhotoMirrored{642};     ///< the print is mirrored
inline constexpr Code kPhotoWrongBoard{643};   ///< markers, but none of the boards given, or they do not fit
inline constexpr Code kPhotoBoardsAlike{644};  ///< one id in two places of a picture
inline constexpr Code kPhotoHalfBoard{645};    ///< too little of a board to go by
inline constexpr Code kPhotoBlurred{646};      ///< too blurred or too small to measure
inline constexpr Code kPhotoApart{647};        ///< pictures that share no board with the others
inline constexpr Code kPhotoFrame{648};        ///< the frame board is in no picture
inline constexpr Code kPhotoNotSettled{649};   ///< the adjustment finds no answer
}  // namespace codes

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/photo/adjust.h"
#include "fairhole/photo/find_holes.h"
#include "fairhole/photo/part_edges.h"

/// The whole way from pictures to holes: cameras from the boards, holes found and fitted in each picture,
/// everything adjusted together.
namespace fairhole::photo {

struct ReadOptions {
  PhotoOptions cameras;
  std::vector<double> expected_mm = {};        ///< diameters to expect; others are doubtful
  std::vector<Eigen::Vector2d> hints_mm = {};  ///< HoleSearch::hints_mm
};

/// One hole of the face, from all pictures that show it.
struct PhotoHole {
  HoleId id;  ///< "H1" ...: by x, then y
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  MarkKind kind = MarkKind::kHole;
  double bore_diameter_mm = 0.0, bore_sigma_mm = 0.0;  ///< mean of longest and shortest
  double rim_diameter_mm = 0.0;
  double oval_mm = 0.0, oval_axis_rad = 0.0;  ///< longest less shortest; direction of the longest
  bool doubtful = false;
  std::vector<std::string> reasons;
  std::vector<int> photos;  ///< indices of the pictures it was measured in

  bool sized() const { return kind != MarkKind::kPrick; }  ///< a pricked centre has no diameter
};

struct PhotoReading {
  std::vector<PhotoHole> holes;
  AdjustedPhotos adjusted;  ///< its holes and covariance in the order of `holes`
};

/// Problems: those of find_cameras().
Result<PhotoReading> read_photos(std::span<const Picture> pictures, std::span<const Board> boards,
                                 const ReadOptions& options = {});

/// A flatbed scan, without a board: what is wanted lies in the sheet's plane, and the scanner's dots to the
/// inch give the scale, in x and y each within 0.2 %. Frame: "scan", origin at the scan's lower left corner,
/// x right, y up. Rubbings' marks with `marks_on_sheet`, else bores.
PhotoReading read_scan(const Picture& picture, double dpi, const ReadOptions& options = {});

/// The holes that are not doubtful, with their covariance.
MeasuredFace measured_face(const PhotoReading& reading);

/// A straight edge of the part as one picture shows it, in the world frame.
struct SeenPartEdge {
  int photo = 0;
  PartEdge edge;
};

/// The part's straight edges about the sound holes of each picture (find_part_edges()). None for a scan.
std::vector<SeenPartEdge> find_edges(std::span<const Picture> pictures, std::span<const Board> boards,
                                     const PhotoReading& reading);

/// Sightings of one hole in several pictures, by their place on the face: nearer than a third of a diameter.
/// A picture gives each hole at most one.
std::vector<std::vector<HoleImage>> same_holes(const std::vector<HoleImage>& images);

/// Makes a hole doubtful where most of its sightings are, with their reasons: one picture that does not see
/// why is no proof.
void doubt_with_most(const std::vector<HoleImage>& group, PhotoHole& hole);

}  // namespace fairhole::photo

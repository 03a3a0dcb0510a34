// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <utility>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/drawing/drawing.h"
#include "fairhole/pattern/hole.h"

/// A photographed face laid flat, with what was found in it drawn over, so that a person sees at a glance
/// whether the program saw what he sees.
namespace fairhole {

struct SeenHole {
  HoleId id;  ///< empty for one that got no name
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  Eigen::Matrix2d cov_mm2 =
      Eigen::Matrix2d::Zero();  ///< within the photographs, the board's place left aside
  double diameter_mm = 0.0, rim_diameter_mm = 0.0;
  bool doubtful = false;
};

struct FacePicture {
  std::string title;                                 ///< "left-fore-bracket, foot"
  std::string source;                                ///< the files
  std::string jpeg;                                  ///< grey, laid flat
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero();  ///< what the JPEG covers, in the holes' frame
  Eigen::Vector2d high_mm = Eigen::Vector2d::Zero();
  std::vector<SeenHole> holes;
  std::vector<Eigen::Vector2d> outline_mm;                            ///< of the part as stated; may be empty
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> edges_mm;  ///< datum edges as found
};

/// A page `width_mm` wide: the picture to scale, rims, numbers, diameters, and ellipses that hold 95 in 100,
/// enlarged as stated below it.
drawing::Page face_picture_page(const FacePicture& picture, double width_mm);

/// The page as a picture of its own, as wide as the face itself where that is above 240 mm. Problems: those
/// of drawing::write_svg.
Result<std::string> face_picture_svg(const FacePicture& picture);

}  // namespace fairhole

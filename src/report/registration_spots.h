// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/geometry/statistics.h"
#include "fairhole/report/registration_picture.h"
#include "placement.h"

/// What the picture of a registration shows, before it is drawn: places and lengths true to size, in the
/// frame the sheet is seen in.
namespace fairhole::report {

struct Spot {
  enum class Kind { kMatched, kMissing, kExtra };
  Kind kind = Kind::kMatched;
  std::string label;
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();  ///< the drawing's place; the hole's own where it is extra
  Eigen::Vector2d residual_mm = Eigen::Vector2d::Zero();  ///< own place minus the drawing's
  Eigen::Vector2d bend_mm = Eigen::Vector2d::Zero();  ///< the part of it that accepted distortion explains
  Ellipse ellipse;                                    ///< of the drawing's place as posed, 95 %
};

/// Lines along and across the drawing's holes, and how far an accepted distortion bends them. Empty if none.
struct BentGrid {
  struct GridLine {
    std::vector<Eigen::Vector2d> places_mm;  ///< as posed
    std::vector<Eigen::Vector2d> bends_mm;   ///< at each of them
  };
  std::vector<GridLine> lines;

  double strain() const;  ///< largest stretch or shortening along any of them, per length
};

struct RivalOutline {
  std::vector<Eigen::Vector2d> corners_mm;
  Eigen::Vector2d first_hole_mm = Eigen::Vector2d::Zero();
  HoleId first_hole;
  double odds = 0.0;
};

struct RegistrationScene {
  std::vector<Spot> spots;
  BentGrid grid;
  std::vector<RivalOutline> rivals;  ///< the likeliest few

  Box around() const;
};

RegistrationScene registration_scene(const RegistrationPicture& picture);

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "placement.h"

/// Short names for what report draws again and again.
namespace fairhole::report {

inline constexpr drawing::Stroke kHeavy{drawing::kHeavyMm, drawing::Dash::kSolid, drawing::Ink::kInk};
inline constexpr drawing::Stroke kMedium{drawing::kMediumMm, drawing::Dash::kSolid, drawing::Ink::kInk};
inline constexpr drawing::Stroke kFine{drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kInk};
inline constexpr drawing::Stroke kFineOld{drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kOld};
inline constexpr drawing::Stroke kNewHeavy{drawing::kHeavyMm, drawing::Dash::kSolid, drawing::Ink::kNew};

drawing::Page blank_page(double width_mm, double height_mm);

void line(drawing::Drawing& on, const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm,
          const drawing::Stroke& stroke = kFine);
void rectangle(drawing::Drawing& on, const Box& box, const drawing::Stroke& stroke = kFine);
/// Blanks what lies under a box, so that words on top stay readable.
void blank(drawing::Drawing& on, const Box& box);
void circle(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm,
            const drawing::Stroke& stroke = kFine);
void dot(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm,
         drawing::Ink ink = drawing::Ink::kInk);
/// Fine double line: an old rim.
void old_rim(drawing::Drawing& on, const Eigen::Vector2d& centre_mm, double radius_mm, drawing::Dash dash);
/// Filled head of an arrow, its tip at `tip_mm`, pointing along `direction` (any length but 0).
void arrow_head(drawing::Drawing& on, const Eigen::Vector2d& tip_mm, const Eigen::Vector2d& direction,
                double length_mm, drawing::Ink ink = drawing::Ink::kInk);
/// A line of length `length_mm` with end ticks and the words above it: what an arrow of that length means.
void scale_bar(drawing::Drawing& on, const Eigen::Vector2d& left_mm, double length_mm,
               const std::string& words, double height_mm);

struct Words {
  double height_mm = 2.5;  ///< of the capitals
  bool bold = false;
  drawing::Align align = drawing::Align::kLeft;
  drawing::Text::Vertical vertical = drawing::Text::Vertical::kBaseline;
  double angle_rad = 0.0;
  drawing::Ink ink = drawing::Ink::kInk;
};
void write(drawing::Drawing& on, const Eigen::Vector2d& at_mm, const std::string& text, const Words& words);

/// The box that a level text fills, with room for descenders and accents.
Box text_box(const drawing::Text& text);

/// The text broken at blanks into lines no wider than `width_mm`; a word that is wider is broken inside.
std::vector<std::string> wrapped(const std::string& text, double width_mm, double height_mm,
                                 bool bold = false);

/// The text, cut short with "..." when it is wider than `width_mm`.
std::string fitted(const std::string& text, double width_mm, double height_mm, bool bold = false);

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <string>
#include <variant>
#include <vector>

/// The neutral drawing: marks on a sheet in millimetres, x right, y up. All formats are written from it, so
/// they cannot disagree. This module never hears the word hole.
namespace fairhole::drawing {

/// Colours by meaning (the look of the marking-off table); colour only repeats what line and word say.
enum class Ink {
  kInk,    ///< near-black: edges, figures
  kNew,    ///< engineer's blue: new work
  kWarn,   ///< red lead: metal that must go, trouble
  kOld,    ///< slate: old parts
  kPaper   ///< the ground itself, to blank out what lies under a label
};

enum class Dash { kSolid, kBroken, kCentre };  ///< kBroken: doubtful or hidden; kCentre: long dash, dot

/// Line widths in print: 0.5 heavy, 0.25 medium, 0.13 fine.
inline constexpr double kHeavyMm = 0.5;
inline constexpr double kMediumMm = 0.25;
inline constexpr double kFineMm = 0.13;

struct Stroke {
  double width_mm = kMediumMm;
  Dash dash = Dash::kSolid;
  Ink ink = Ink::kInk;
};

struct Line {
  Eigen::Vector2d a_mm, b_mm;
};
struct Circle {
  Eigen::Vector2d centre_mm;
  double radius_mm = 0.0;
  bool filled = false;  ///< filled with the stroke's ink and not stroked (dots)
};
/// Counter-clockwise from `start_rad` to `end_rad`, angles from x.
struct Arc {
  Eigen::Vector2d centre_mm;
  double radius_mm = 0.0;
  double start_rad = 0.0, end_rad = 0.0;
};
struct Ellipse {
  Eigen::Vector2d centre_mm;
  double major_mm = 0.0, minor_mm = 0.0;  ///< half axes
  double angle_rad = 0.0;
};
struct Polyline {
  std::vector<Eigen::Vector2d> points_mm;
  bool closed = false;
  bool filled = false;  ///< filled with the stroke's ink and not stroked
};
enum class Align { kLeft, kCentre, kRight };
/// One line of text; `at_mm` lies on the baseline (kBaseline) or at half the height of the capitals (kMiddle).
struct Text {
  enum class Vertical { kBaseline, kMiddle };
  Eigen::Vector2d at_mm;
  std::string text;        ///< UTF-8
  double height_mm = 2.5;  ///< of the capitals
  Align align = Align::kLeft;
  Vertical vertical = Vertical::kBaseline;
  double angle_rad = 0.0;
  bool bold = false;
};

using Shape = std::variant<Line, Circle, Arc, Ellipse, Polyline, Text>;

struct Mark {
  Shape shape;
  Stroke stroke;
  std::string layer;  ///< a layer's name; matters for DXF only, empty elsewhere
};

/// A drawing layer for the formats that have them. Plain words, no / " < > : ; ? * | = ' in the name.
struct Layer {
  std::string name;
  int colour_index = 7;  ///< colour number of the DXF layer table (group 62), 7 = black/white
};

struct Drawing {
  std::vector<Layer> layers;
  std::vector<Mark> marks;

  void add(Shape shape, Stroke stroke = {}, std::string layer = {});
};

/// A sheet of paper with its drawing; origin at the lower left corner.
struct Page {
  double width_mm = 210.0;
  double height_mm = 297.0;
  Drawing drawing;
};

/// Width of `text` set at `height_mm`, as the PDF and PNG writers will set it (embedded font metrics).
double text_width_mm(const std::string& text, double height_mm, bool bold = false);

}  // namespace fairhole::drawing

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
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
  kPaper,  ///< the ground itself, to blank out what lies under a label
  kBlack   ///< black without a tint: prints that a camera reads, where a printer must not set dots
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
  Eigen::Vector2d a_mm = Eigen::Vector2d::Zero(), b_mm = Eigen::Vector2d::Zero();
};
struct Circle {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  bool filled = false;  ///< filled with the stroke's ink and not stroked (dots)
};
/// Counter-clockwise from `start_rad` to `end_rad`, angles from x.
struct Arc {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double start_rad = 0.0, end_rad = 0.0;
};
struct Ellipse {
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double major_mm = 0.0, minor_mm = 0.0;  ///< half axes
  double angle_rad = 0.0;
  bool filled = false;
};
struct Polyline {
  std::vector<Eigen::Vector2d> points_mm = {};
  bool closed = false;
  bool filled = false;  ///< filled with the stroke's ink and not stroked
};
enum class Align { kLeft, kCentre, kRight };
/// One line of text; `at_mm` lies on the baseline (kBaseline) or at half the height of the capitals
/// (kMiddle). Any bytes may stand in it: what is no UTF-8 shows as U+FFFD, control characters (line ends too)
/// as spaces.
struct Text {
  enum class Vertical { kBaseline, kMiddle };
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
  std::string text = {};   ///< UTF-8
  double height_mm = 2.5;  ///< of the capitals
  Align align = Align::kLeft;
  Vertical vertical = Vertical::kBaseline;
  double angle_rad = 0.0;
  bool bold = false;
};

using Shape = std::variant<Line, Circle, Arc, Ellipse, Polyline, Text>;

struct Mark {
  Shape shape;
  Stroke stroke = {};
  std::string layer = {};  ///< a layer's name; matters for DXF only, empty elsewhere
};

/// A drawing layer for the formats that have them. Plain words, no / \ " < > : ; ? * | = ' ` in the name.
struct Layer {
  std::string name;
  int colour_index = 7;  ///< colour number of the DXF layer table (group 62), 7 = black/white
};

struct Drawing {
  std::vector<Layer> layers = {};
  std::vector<Mark> marks = {};

  void add(Shape shape, Stroke stroke = {}, std::string layer = {});
};

/// An upright rectangle, lower left and upper right corner.
struct Box {
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), high_mm = Eigen::Vector2d::Zero();
};

/// A JPEG stretched over a box, under all marks.
struct PastedPicture {
  Box box;
  std::string jpeg;
};

/// A sheet of paper with its drawing; origin at the lower left corner. What hangs over the `window`, if there
/// is one, is not shown; the `frame` (title strip, bars, marks for joining) is drawn last and never clipped.
struct Page {
  double width_mm = 210.0;
  double height_mm = 297.0;
  Drawing drawing = {};
  std::optional<Box> window = {};
  Drawing frame = {};
  std::vector<PastedPicture> pasted = {};  ///< SVG alone shows these
};

/// Height of the capitals of the font (DejaVu Sans, OS/2 table, sCapHeight 1493 of 2048 units), as a ratio of
/// its size.
inline constexpr double kCapitalRatio = 1493.0 / 2048.0;

/// Width of `text` set at `height_mm`, as the PDF and PNG writers will set it (embedded font metrics).
double text_width_mm(const std::string& text, double height_mm, bool bold = false);

/// The upright box a shape fills, its line's width not counted; a text from its descenders to its capitals.
Box bounds(const Shape& shape);
/// Of all marks together; both corners at the origin when there are none.
Box bounds(const Drawing& drawing);
/// Whether two boxes share more than an edge.
bool overlap(const Box& a, const Box& b);

}  // namespace fairhole::drawing

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tile_view.h"

#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>
#include <utility>

namespace fairhole::drawing {

using Eigen::Vector2d;
using std::numbers::pi;

TileView::TileView(const Tile& tile, const TileLayout& layout, const TileOptions& options)
    : mirrored_(options.mirrored),
      scale_(options.mirrored ? -options.scale_x : options.scale_x, options.scale_y) {
  window_.low_mm = {options.margin_mm + kLeftStripMm, options.margin_mm + kFootStripMm};
  window_.high_mm = {layout.paper.width_mm - options.margin_mm, layout.paper.height_mm - options.margin_mm};
  // The window's lower left corner shows the tile's, or its lower right corner when mirrored.
  const Vector2d corner(mirrored_ ? tile.x_mm + tile.width_mm : tile.x_mm, tile.y_mm);
  origin_ = window_.low_mm - scale_.cwiseProduct(corner);
}

Vector2d TileView::operator()(const Vector2d& drawing_mm) const {
  return origin_ + scale_.cwiseProduct(drawing_mm);
}

Shape TileView::operator()(const Shape& shape) const {
  return std::visit([this](const auto& s) { return carried(s); }, shape);
}

double TileView::turned(double angle_rad) const { return mirrored_ ? pi - angle_rad : angle_rad; }

Shape TileView::carried(const Line& s) const { return Line{(*this)(s.a_mm), (*this)(s.b_mm)}; }

Shape TileView::carried(const Circle& s) const {
  if (std::abs(scale_.x()) == scale_.y())
    return Circle{(*this)(s.centre_mm), s.radius_mm * scale_.y(), s.filled};
  const bool wide = std::abs(scale_.x()) > scale_.y();
  const double along_x = s.radius_mm * std::abs(scale_.x());
  const double along_y = s.radius_mm * scale_.y();
  return Ellipse{(*this)(s.centre_mm), std::max(along_x, along_y), std::min(along_x, along_y),
                 wide ? 0.0 : pi / 2, s.filled};
}

Shape TileView::carried(const Arc& s) const {
  if (std::abs(scale_.x()) == scale_.y()) {
    Arc arc{(*this)(s.centre_mm), s.radius_mm * scale_.y(), s.start_rad, s.end_rad};
    if (mirrored_) std::tie(arc.start_rad, arc.end_rad) = std::pair(turned(s.end_rad), turned(s.start_rad));
    return arc;
  }
  // No shape of ours is a piece of an ellipse: chords that stay within 0.001 mm.
  static constexpr double kSagittaMm = 0.001;
  double turn = std::fmod(s.end_rad - s.start_rad, 2.0 * pi);
  if (turn <= 0.0) turn += 2.0 * pi;
  const double piece = 2.0 * std::acos(std::max(0.0, 1.0 - kSagittaMm / s.radius_mm));
  const int count = std::max(4, static_cast<int>(std::ceil(turn / piece)));
  Polyline line;
  for (int i = 0; i <= count; ++i) {
    const double t = s.start_rad + turn * i / count;
    line.points_mm.push_back((*this)(s.centre_mm + s.radius_mm * Vector2d(std::cos(t), std::sin(t))));
  }
  return line;
}

/// The image of an ellipse is the image of the unit circle under (scale) (turn) (half axes): its half axes
/// are the singular values, their directions the left singular vectors.
Shape TileView::carried(const Ellipse& s) const {
  Eigen::Matrix2d axes;
  axes << std::cos(s.angle_rad) * s.major_mm, -std::sin(s.angle_rad) * s.minor_mm,
      std::sin(s.angle_rad) * s.major_mm, std::cos(s.angle_rad) * s.minor_mm;
  const Eigen::JacobiSVD<Eigen::Matrix2d> svd(scale_.asDiagonal() * axes, Eigen::ComputeFullU);
  const Vector2d major = svd.matrixU().col(0);
  return Ellipse{(*this)(s.centre_mm), svd.singularValues()(0), svd.singularValues()(1),
                 std::atan2(major.y(), major.x()), s.filled};
}

Shape TileView::carried(const Polyline& s) const {
  Polyline line = s;
  for (Vector2d& p : line.points_mm) p = (*this)(p);
  return line;
}

/// Mirrored text runs the other way over the same place, so that it still reads from the left.
Shape TileView::carried(const Text& s) const {
  Text text = s;
  text.at_mm = (*this)(s.at_mm);
  text.height_mm = s.height_mm * std::min(std::abs(scale_.x()), scale_.y());
  if (mirrored_) {
    text.angle_rad = -s.angle_rad;
    if (s.align == Align::kLeft) text.align = Align::kRight;
    if (s.align == Align::kRight) text.align = Align::kLeft;
  }
  return text;
}

}  // namespace fairhole::drawing

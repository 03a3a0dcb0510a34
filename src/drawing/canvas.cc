// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "canvas.h"

#include <cmath>
#include <numbers>
#include <string>

#include "check.h"
#include "font.h"
#include "text.h"

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;
using std::numbers::pi;

/// A surface in device units, y down. The transformation stays ours (cairo's is the identity): cairo then
/// writes plain coordinates and rounds each of them once.
class Canvas {
 public:
  Canvas(cairo_t* cairo, double height_mm, double units_per_mm)
      : cairo_(cairo), height_mm_(height_mm), units_(units_per_mm) {}

  void operator()(const Line& s) const {
    move_to(s.a_mm);
    line_to(s.b_mm);
    finish(false);
  }
  void operator()(const Circle& s) const {
    curve({s.centre_mm, s.radius_mm, s.radius_mm, 0.0}, 0.0, 2.0 * pi);
    cairo_close_path(cairo_);
    finish(s.filled);
  }
  void operator()(const Arc& s) const {
    double end_rad = s.end_rad;
    while (end_rad <= s.start_rad) end_rad += 2.0 * pi;
    curve({s.centre_mm, s.radius_mm, s.radius_mm, 0.0}, s.start_rad, end_rad);
    finish(false);
  }
  void operator()(const Ellipse& s) const {
    curve(s, 0.0, 2.0 * pi);
    cairo_close_path(cairo_);
    finish(s.filled);
  }
  void operator()(const Polyline& s) const {
    move_to(s.points_mm.front());
    for (std::size_t i = 1; i < s.points_mm.size(); ++i) line_to(s.points_mm[i]);
    if (s.closed || s.filled) cairo_close_path(cairo_);
    finish(s.filled);
  }
  void operator()(const Text& s) const {
    if (is_blank(s.text)) return;
    cairo_save(cairo_);
    cairo_translate(cairo_, device_x(s.at_mm), device_y(s.at_mm));
    cairo_rotate(cairo_, -s.angle_rad);
    select_font(cairo_, s.height_mm * units_, s.bold);
    const double width = text_width_mm(s.text, s.height_mm, s.bold);
    const double left = s.align == Align::kLeft ? 0.0 : (s.align == Align::kCentre ? -width / 2 : -width);
    const double foot = s.vertical == Text::Vertical::kMiddle ? s.height_mm / 2 : 0.0;
    cairo_move_to(cairo_, left * units_, foot * units_);
    cairo_show_text(cairo_, clean_text(s.text).c_str());
    cairo_restore(cairo_);
    cairo_new_path(cairo_);
  }

  void use(const Stroke& stroke) const {
    const std::uint32_t colour = rgb(stroke.ink);
    const auto part = [&](unsigned shift) { return static_cast<double>((colour >> shift) & 0xFFU) / 255.0; };
    cairo_set_source_rgb(cairo_, part(16), part(8), part(0));
    cairo_set_line_width(cairo_, stroke.width_mm * units_);
    std::vector<double> dashes;
    for (const double dash : dash_pattern_mm(stroke.dash)) dashes.push_back(dash * units_);
    cairo_set_dash(cairo_, dashes.data(), static_cast<int>(dashes.size()), 0.0);
  }

  void clip(const Box& window) const {
    const Vector2d size = window.high_mm - window.low_mm;
    cairo_rectangle(cairo_, device_x(window.low_mm), device_y(window.high_mm), size.x() * units_,
                    size.y() * units_);
    cairo_clip(cairo_);
  }

 private:
  double device_x(const Vector2d& p) const { return p.x() * units_; }
  double device_y(const Vector2d& p) const { return (height_mm_ - p.y()) * units_; }
  void move_to(const Vector2d& p) const { cairo_move_to(cairo_, device_x(p), device_y(p)); }
  void line_to(const Vector2d& p) const { cairo_line_to(cairo_, device_x(p), device_y(p)); }
  void finish(bool filled) const { filled ? cairo_fill(cairo_) : cairo_stroke(cairo_); }

  /// Part of an ellipse as cubic Bezier curves. A piece over the angle t with handles of 4/3 tan(t/4) is off
  /// a circle by at most r 2/27 sin^6(t/4) / cos^2(t/4): 4.3e-6 r for an eighth, 6.6e-8 r for a sixteenth.
  void curve(const Ellipse& e, double start_rad, double end_rad) const {
    static constexpr double kLargeMm = 100.0;  // an eighth stays within 0.0005 mm up to here
    const double piece = e.major_mm <= kLargeMm ? pi / 4 : pi / 8;
    const int count = std::max(1, static_cast<int>(std::ceil((end_rad - start_rad) / piece - 1e-9)));
    const double step = (end_rad - start_rad) / count;
    const double handle = 4.0 / 3.0 * std::tan(step / 4);
    const Vector2d major = e.major_mm * Vector2d(std::cos(e.angle_rad), std::sin(e.angle_rad));
    const Vector2d minor = e.minor_mm * Vector2d(-std::sin(e.angle_rad), std::cos(e.angle_rad));
    const auto at = [&](double t) -> Vector2d {
      return e.centre_mm + std::cos(t) * major + std::sin(t) * minor;
    };
    const auto slope = [&](double t) -> Vector2d { return std::cos(t) * minor - std::sin(t) * major; };
    move_to(at(start_rad));
    for (int i = 0; i < count; ++i) {
      const double t0 = start_rad + i * step;
      const double t1 = t0 + step;
      const Vector2d p1 = at(t0) + handle * slope(t0);
      const Vector2d p2 = at(t1) - handle * slope(t1);
      const Vector2d p3 = at(t1);
      cairo_curve_to(cairo_, device_x(p1), device_y(p1), device_x(p2), device_y(p2), device_x(p3),
                     device_y(p3));
    }
  }

  cairo_t* cairo_;
  double height_mm_;
  double units_;
};

void paint_marks(const Canvas& canvas, const Drawing& drawing) {
  for (const Mark& mark : drawing.marks) {
    canvas.use(mark.stroke);
    std::visit(canvas, mark.shape);
  }
}

}  // namespace

std::uint32_t rgb(Ink ink) {
  switch (ink) {
    case Ink::kNew:
      return kNewRgb;
    case Ink::kWarn:
      return kWarnRgb;
    case Ink::kOld:
      return kOldRgb;
    case Ink::kPaper:
      return kPaperRgb;
    case Ink::kBlack:
      return 0x000000;
    case Ink::kInk:
      break;
  }
  return kInkRgb;
}

std::span<const double> dash_pattern_mm(Dash dash) {
  static constexpr double kBroken[] = {2.0, 1.2};
  static constexpr double kCentre[] = {6.0, 1.2, 0.8, 1.2};
  if (dash == Dash::kBroken) return kBroken;
  if (dash == Dash::kCentre) return kCentre;
  return {};
}

void paint(cairo_t* cairo, const Page& page, double units_per_mm) {
  const Canvas canvas(cairo, page.height_mm, units_per_mm);
  cairo_save(cairo);
  if (page.window) canvas.clip(*page.window);
  paint_marks(canvas, page.drawing);
  cairo_restore(cairo);
  paint_marks(canvas, page.frame);
}

cairo_status_t append_bytes(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace fairhole::drawing

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "dxf_entities.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "check.h"
#include "dxf_tables.h"
#include "fairhole/base/angle.h"
#include "text.h"

namespace fairhole::drawing {
namespace {

using std::numbers::pi;

const char* line_type(Dash dash) {
  switch (dash) {
    case Dash::kBroken:
      return "DASHED";
    case Dash::kCentre:
      return "CENTER";
    case Dash::kSolid:
      break;
  }
  return "BYLAYER";
}

/// Group 370 takes only certain hundredths of a millimetre; ours are among them.
int line_weight(double width_mm) {
  if (width_mm >= (kHeavyMm + kMediumMm) / 2) return 50;
  return width_mm >= (kMediumMm + kFineMm) / 2 ? 25 : 13;
}

/// Writes the entities of one mark.
struct EntityWriter {
  DxfGroups& out;
  const Stroke& stroke;
  const std::string& layer;

  void start(const char* type, const char* subclass) const {
    if (out.r12()) {
      out.text(0, type);
    } else {
      out.object(type, out.new_handle(), dxf::kModelRecord);
      out.subclasses({"AcDbEntity"});
    }
    out.text(8, layer);
    if (stroke.dash != Dash::kSolid) out.text(6, line_type(stroke.dash));
    if (!out.r12()) out.integer(370, line_weight(stroke.width_mm));
    out.subclasses({subclass});
  }

  void operator()(const Line& s) const {
    start("LINE", "AcDbLine");
    out.point(10, s.a_mm);
    out.point(11, s.b_mm);
  }

  void operator()(const Circle& s) const {
    start("CIRCLE", "AcDbCircle");
    out.point(10, s.centre_mm);
    out.real(40, s.radius_mm);
  }

  void operator()(const Arc& s) const {
    start("ARC", "AcDbCircle");
    out.point(10, s.centre_mm);
    out.real(40, s.radius_mm);
    out.subclasses({"AcDbArc"});
    out.real(50, degrees_of(s.start_rad));
    out.real(51, degrees_of(s.end_rad));
  }

  void operator()(const Ellipse& s) const {
    if (out.r12()) return (*this)(as_polyline(s));
    start("ELLIPSE", "AcDbEllipse");
    out.point(10, s.centre_mm);
    out.point(11, s.major_mm * Eigen::Vector2d(std::cos(s.angle_rad), std::sin(s.angle_rad)));
    out.real(40, s.minor_mm / s.major_mm);
    out.real(41, 0.0);
    out.real(42, 2.0 * pi);
  }

  void operator()(const Polyline& s) const {
    if (out.r12()) return old_polyline(s);
    start("LWPOLYLINE", "AcDbPolyline");
    out.integer(90, static_cast<int>(s.points_mm.size()));
    out.integer(70, s.closed ? 1 : 0);
    out.real(43, 0.0);
    for (const auto& p : s.points_mm) {
      out.real(10, p.x());
      out.real(20, p.y());
    }
  }

  void operator()(const Text& s) const {
    start("TEXT", "AcDbText");
    out.point(10, s.at_mm);
    out.real(40, s.height_mm);
    out.text(1, dxf_text(s.text));
    if (s.angle_rad != 0.0) out.real(50, degrees_of(s.angle_rad));
    const int across = s.align == Align::kLeft ? 0 : (s.align == Align::kCentre ? 1 : 2);
    const int up = s.vertical == Text::Vertical::kMiddle ? 2 : 0;
    const bool anchored = across != 0 || up != 0;
    if (across != 0) out.integer(72, across);
    if (anchored) out.point(11, s.at_mm);
    out.subclasses({"AcDbText"});
    if (up != 0) out.integer(73, up);
  }

  void old_polyline(const Polyline& s) const {
    start("POLYLINE", "");
    out.integer(66, 1);
    out.point(10, Eigen::Vector2d::Zero());
    out.integer(70, s.closed ? 1 : 0);
    for (const auto& p : s.points_mm) {
      out.text(0, "VERTEX");
      out.text(8, layer);
      out.point(10, p);
    }
    out.text(0, "SEQEND");
    out.text(8, layer);
  }

  /// Chords whose middle lies at most a micrometre inside the curve: r (1 - cos(step/2)) with r = major.
  static Polyline as_polyline(const Ellipse& s) {
    static constexpr double kSagittaMm = 0.001;
    const double half_step = std::acos(std::max(0.0, 1.0 - kSagittaMm / s.major_mm));
    const int count = std::max(16, static_cast<int>(std::ceil(pi / half_step)));
    Polyline line{.points_mm = {}, .closed = true};
    const Eigen::Vector2d major = s.major_mm * Eigen::Vector2d(std::cos(s.angle_rad), std::sin(s.angle_rad));
    const Eigen::Vector2d minor = s.minor_mm * Eigen::Vector2d(-std::sin(s.angle_rad), std::cos(s.angle_rad));
    for (int i = 0; i < count; ++i) {
      const double t = 2.0 * pi * i / count;
      line.points_mm.emplace_back(s.centre_mm + std::cos(t) * major + std::sin(t) * minor);
    }
    return line;
  }
};

}  // namespace

void put_entity(DxfGroups& out, const Mark& mark, const std::string& layer) {
  if (mark.stroke.ink == Ink::kPaper) return;
  const auto* text = std::get_if<Text>(&mark.shape);
  if (text != nullptr && is_blank(text->text)) return;
  std::visit(EntityWriter{out, mark.stroke, layer}, mark.shape);
}

}  // namespace fairhole::drawing

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <string>

#include "canvas.h"
#include "check.h"
#include "fairhole/base/angle.h"
#include "fairhole/base/markup.h"
#include "fairhole/drawing/writers.h"
#include "text.h"

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;
using std::numbers::pi;

std::string n(double value) { return short_number(value); }

const char* ink_class(Ink ink) {
  switch (ink) {
    case Ink::kNew:
      return "new";
    case Ink::kWarn:
      return "warn";
    case Ink::kOld:
      return "old";
    case Ink::kPaper:
      return "paper";
    case Ink::kBlack:
      return "black";
    case Ink::kInk:
      break;
  }
  return "ink";
}

/// Writes the elements of one mark; y runs down in SVG.
struct ElementWriter {
  std::string& out;
  double height_mm;
  const Stroke& stroke;
  bool css_classes;

  double y(double up_mm) const { return height_mm - up_mm; }
  std::string at(const Vector2d& p) const { return fmt::format("{} {}", n(p.x()), n(y(p.y()))); }
  std::string colour() const { return fmt::format("#{:06X}", rgb(stroke.ink)); }

  /// Attributes of a line, or of a filled shape. With classes, the style sheet gives the colour:
  /// `.ink` sets `color`, and stroke or fill take `currentColor`.
  std::string look(bool filled) const {
    const std::string paint = css_classes ? "currentColor" : colour();
    const std::string name = css_classes ? fmt::format(" class=\"{}\"", ink_class(stroke.ink)) : "";
    if (filled) return fmt::format("{} fill=\"{}\"", name, paint);
    std::string dashes;
    for (const double dash : dash_pattern_mm(stroke.dash))
      dashes += fmt::format("{}{}", dashes.empty() ? "" : " ", n(dash));
    if (!dashes.empty()) dashes = fmt::format(" stroke-dasharray=\"{}\"", dashes);
    return fmt::format("{} fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{}", name, paint,
                       n(stroke.width_mm), dashes);
  }

  void operator()(const Line& s) const {
    out += fmt::format("<path d=\"M{} L{}\"{}/>\n", at(s.a_mm), at(s.b_mm), look(false));
  }
  void operator()(const Circle& s) const {
    out += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>\n", n(s.centre_mm.x()),
                       n(y(s.centre_mm.y())), n(s.radius_mm), look(s.filled));
  }
  void operator()(const Arc& s) const {
    double turn = std::fmod(s.end_rad - s.start_rad, 2.0 * pi);
    if (turn <= 0.0) turn += 2.0 * pi;
    const auto point = [&](double t) -> Vector2d {
      return s.centre_mm + s.radius_mm * Vector2d(std::cos(t), std::sin(t));
    };
    // Two halves: an arc of a whole turn has no one-piece form.
    const std::string r = n(s.radius_mm);
    std::string path = fmt::format("M{}", at(point(s.start_rad)));
    for (const double share : {0.5, 1.0}) {
      path += fmt::format(" A{} {} 0 0 0 {}", r, r, at(point(s.start_rad + share * turn)));
    }
    out += fmt::format("<path d=\"{}\"{}/>\n", path, look(false));
  }
  void operator()(const Ellipse& s) const {
    out += fmt::format("<ellipse rx=\"{}\" ry=\"{}\" transform=\"translate({}) rotate({})\"{}/>\n",
                       n(s.major_mm), n(s.minor_mm), at(s.centre_mm), n(-degrees_of(s.angle_rad)),
                       look(s.filled));
  }
  void operator()(const Polyline& s) const {
    std::string path;
    for (const Vector2d& p : s.points_mm) path += fmt::format("{}{}", path.empty() ? "M" : " L", at(p));
    if (s.closed) path += " Z";
    out += fmt::format("<path d=\"{}\"{}/>\n", path, look(s.filled));
  }
  void operator()(const Text& s) const {
    if (is_blank(s.text)) return;
    static constexpr const char* kAnchors[] = {"start", "middle", "end"};
    const double down = s.vertical == Text::Vertical::kMiddle ? s.height_mm / 2 : 0.0;
    const std::string turn =
        s.angle_rad == 0.0 ? "" : fmt::format(" rotate({})", n(-degrees_of(s.angle_rad)));
    out += fmt::format(
        "<text transform=\"translate({}){}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{}\"{}{}>{}</text>\n",
        at(s.at_mm), turn, n(down), n(s.height_mm / kCapitalRatio), kAnchors[static_cast<int>(s.align)],
        s.bold ? " font-weight=\"bold\"" : "", look(true), escape_markup(clean_text(s.text)));
  }
};

/// RFC 4648, section 4.
std::string base64(const std::string& bytes) {
  static constexpr const char* kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    unsigned group = 0;
    for (std::size_t k = 0; k < 3; ++k)
      group = group << 8U | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k)
      out += i + k > bytes.size() ? '=' : kLetters[group >> (18 - 6 * k) & 63U];
  }
  return out;
}

void put_pictures(std::string& out, const Page& page) {
  for (const PastedPicture& picture : page.pasted) {
    const Vector2d size = picture.box.high_mm - picture.box.low_mm;
    out += fmt::format(
        "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" "
        "href=\"data:image/jpeg;base64,{}\"/>\n",
        n(picture.box.low_mm.x()), n(page.height_mm - picture.box.high_mm.y()), n(size.x()), n(size.y()),
        base64(picture.jpeg));
  }
}

void put_marks(std::string& out, const Page& page, const Drawing& drawing, bool css_classes) {
  for (const Mark& mark : drawing.marks) {
    std::visit(ElementWriter{out, page.height_mm, mark.stroke, css_classes}, mark.shape);
  }
}

}  // namespace

Result<std::string> write_svg(const Page& page, bool css_classes) {
  if (auto problem = find_bad_mark(page)) return *problem;
  std::string out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" "
      "font-family=\"DejaVu Sans, Verdana, sans-serif\">\n",
      n(page.width_mm), n(page.height_mm));
  put_pictures(out, page);
  if (page.window) {
    // A nested svg clips to its own box: no id is needed that could clash with another picture's on one page.
    const Vector2d size = page.window->high_mm - page.window->low_mm;
    const double x = page.window->low_mm.x();
    const double top = page.height_mm - page.window->high_mm.y();
    out += fmt::format("<svg x=\"{0}\" y=\"{1}\" width=\"{2}\" height=\"{3}\" viewBox=\"{0} {1} {2} {3}\">\n",
                       n(x), n(top), n(size.x()), n(size.y()));
  }
  put_marks(out, page, page.drawing, css_classes);
  if (page.window) out += "</svg>\n";
  put_marks(out, page, page.frame, css_classes);
  return out + "</svg>\n";
}

}  // namespace fairhole::drawing

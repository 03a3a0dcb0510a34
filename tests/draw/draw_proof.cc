// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// fairhole_draw_proof FOLDER: draws the figures of docs/proof.md from lines on standard input, for
// tools/prove.
//   curve|NAME|CLAIMED|CAME TRUE|COUNT     a point of a calibration curve     -> calibration.svg
//   share|NAME|FOUND|LEAST|MOST            a share that should be 95 %        -> coverage.svg
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "fairhole/drawing/writers.h"

namespace {

using Eigen::Vector2d;
using fairhole::drawing::Align;
using fairhole::drawing::Circle;
using fairhole::drawing::Dash;
using fairhole::drawing::Drawing;
using fairhole::drawing::Ink;
using fairhole::drawing::kFineMm;
using fairhole::drawing::Line;
using fairhole::drawing::Page;
using fairhole::drawing::Polyline;
using fairhole::drawing::Text;

struct Point {
  double claimed, came_true, count;
};
struct Share {
  std::string name;
  double found, least, most;
};
struct Input {
  std::vector<std::string> order;
  std::map<std::string, std::vector<Point>> curves;
  std::vector<Share> shares;
};

Input read(std::istream& in) {
  Input input;
  for (std::string row; std::getline(in, row);) {
    std::istringstream cells(row);
    std::string kind, name, a, b, c;
    std::getline(cells, kind, '|'), std::getline(cells, name, '|');
    std::getline(cells, a, '|'), std::getline(cells, b, '|'), std::getline(cells, c, '|');
    if (kind == "share") {
      input.shares.push_back({name, std::stod(a), std::stod(b), std::stod(c)});
      continue;
    }
    if (!input.curves.contains(name)) input.order.push_back(name);
    input.curves[name].push_back({std::stod(a), std::stod(b), std::stod(c)});
  }
  return input;
}

void write_words(Drawing& to, const Vector2d& at, const std::string& words, Align align = Align::kLeft,
                 double height_mm = 1.9, Ink ink = Ink::kInk, double angle_rad = 0.0) {
  to.add(Text{.at_mm = at, .text = words, .height_mm = height_mm, .align = align, .angle_rad = angle_rad},
         {.ink = ink});
}

constexpr double kPanelMm = 46.0;

/// A square from (0, 0) to (1, 1), the claim to the right, what came true upwards; bars of two standard
/// errors.
void draw_panel(Drawing& to, const Vector2d& corner, const std::string& name,
                const std::vector<Point>& points) {
  const auto at = [&](double x, double y) -> Vector2d { return corner + kPanelMm * Vector2d(x, y); };
  to.add(Polyline{{at(0, 0), at(1, 0), at(1, 1), at(0, 1)}, true}, {.width_mm = kFineMm, .ink = Ink::kOld});
  to.add(Line{at(0, 0), at(1, 1)}, {.width_mm = kFineMm, .dash = Dash::kBroken, .ink = Ink::kOld});
  for (const double tick : {0.0, 0.5, 1.0}) {
    write_words(to, at(tick, 0) - Vector2d(0, 3.6), fmt::format("{}", tick), Align::kCentre, 1.7, Ink::kOld);
    write_words(to, at(0, tick) - Vector2d(1.2, 0.8), fmt::format("{}", tick), Align::kRight, 1.7, Ink::kOld);
  }
  write_words(to, at(0, 1) + Vector2d(0, 2.0), name);
  double all = 0.0;
  for (const Point& p : points) {
    const double half = 2.0 * std::sqrt(std::max(p.claimed * (1.0 - p.claimed), 0.0) / p.count);
    to.add(Line{at(p.claimed, std::max(0.0, p.came_true - half)),
                at(p.claimed, std::min(1.0, p.came_true + half))},
           {.width_mm = kFineMm, .ink = Ink::kNew});
    to.add(Circle{at(p.claimed, p.came_true), 0.75, true}, {.ink = Ink::kNew});
    all += p.count;
  }
  write_words(to, at(0.97, 0.05), fmt::format("{:.0f} claims", all), Align::kRight, 1.7, Ink::kOld);
}

Page calibration(const Input& input) {
  constexpr double kStepMm = kPanelMm + 16.0, kUpMm = kPanelMm + 16.0;
  constexpr std::size_t kColumns = 3;
  const std::size_t rows = (input.order.size() + kColumns - 1) / kColumns;
  Page page{.width_mm = 8.0 + kColumns * kStepMm, .height_mm = 4.0 + static_cast<double>(rows) * kUpMm};
  page.drawing.add(
      Polyline{
          {{0, 0}, {page.width_mm, 0}, {page.width_mm, page.height_mm}, {0, page.height_mm}}, true, true},
      {.ink = Ink::kPaper});
  for (std::size_t i = 0; i < input.order.size(); ++i) {
    const Vector2d corner(14.0 + kStepMm * static_cast<double>(i % kColumns),
                          page.height_mm - 8.0 - kPanelMm - kUpMm * static_cast<double>(i / kColumns));
    draw_panel(page.drawing, corner, input.order[i], input.curves.at(input.order[i]));
    if (i % kColumns == 0) {
      write_words(page.drawing, corner + Vector2d(-8.5, kPanelMm / 2), "came true", Align::kCentre, 1.9,
                  Ink::kInk, std::acos(0.0));
    }
    write_words(page.drawing, corner + Vector2d(kPanelMm / 2, -7.2), "odds claimed", Align::kCentre);
  }
  return page;
}

/// One row a share: what was allowed as a line between ends, what was found as a dot; broken at 95 %.
Page coverage(const Input& input) {
  constexpr double kRowMm = 5.0, kLabelMm = 112.0, kWideMm = 76.0, kLeast = 0.85;
  Page page{.width_mm = kLabelMm + kWideMm + 12.0,
            .height_mm = 12.0 + kRowMm * static_cast<double>(input.shares.size())};
  Drawing& to = page.drawing;
  to.add(
      Polyline{
          {{0, 0}, {page.width_mm, 0}, {page.width_mm, page.height_mm}, {0, page.height_mm}}, true, true},
      {.ink = Ink::kPaper});
  const double floor_mm = 7.0, top_mm = page.height_mm - 3.0;
  const auto x = [&](double share) {
    return kLabelMm + kWideMm * (std::clamp(share, kLeast, 1.0) - kLeast) / (1.0 - kLeast);
  };
  for (const double tick : {0.85, 0.90, 0.95, 1.0}) {
    to.add(Line{{x(tick), floor_mm}, {x(tick), floor_mm + 1.2}}, {.width_mm = kFineMm, .ink = Ink::kOld});
    write_words(to, {x(tick), 3.0}, fmt::format("{:.0f} %", 100.0 * tick), Align::kCentre, 1.7, Ink::kOld);
  }
  to.add(Line{{x(kLeast), floor_mm}, {x(1.0), floor_mm}}, {.width_mm = kFineMm, .ink = Ink::kOld});
  to.add(Line{{x(0.95), floor_mm}, {x(0.95), top_mm}},
         {.width_mm = kFineMm, .dash = Dash::kBroken, .ink = Ink::kOld});
  double y = top_mm - 0.5 * kRowMm;
  for (const Share& share : input.shares) {
    write_words(to, {kLabelMm - 3.0, y - 0.9}, share.name, Align::kRight, 1.8);
    to.add(Line{{x(share.least), y}, {x(share.most), y}}, {.width_mm = kFineMm});
    for (const double end : {share.least, share.most})
      to.add(Line{{x(end), y - 0.9}, {x(end), y + 0.9}}, {.width_mm = kFineMm});
    to.add(Circle{{x(share.found), y}, 0.9, true}, {.ink = Ink::kNew});
    y -= kRowMm;
  }
  return page;
}

bool save(const std::string& path, const Page& page) {
  const auto svg = fairhole::drawing::write_svg(page);
  return svg.ok() && static_cast<bool>(std::ofstream(path, std::ios::binary) << *svg);
}

}  // namespace

int main(int count, char** words) {
  if (count != 2) return 2;
  const Input input = read(std::cin);
  const std::string folder = words[1];
  return save(folder + "/calibration.svg", calibration(input)) &&
                 save(folder + "/coverage.svg", coverage(input))
             ? 0
             : 1;
}

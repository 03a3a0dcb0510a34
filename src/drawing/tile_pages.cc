// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <numbers>

#include "fairhole/drawing/tiles.h"
#include "tile_frame.h"
#include "tile_joints.h"
#include "tile_view.h"

namespace fairhole::drawing {
namespace {

using Eigen::Vector2d;

constexpr double kWordsMm = 1.8;  ///< height of the words at a cut line
constexpr double kTickMm = 2.3;   ///< length of its tick outside the window
constexpr Stroke kCut{.width_mm = kFineMm};
constexpr Stroke kLayTo{.width_mm = kFineMm, .dash = Dash::kBroken};

/// A cross on the line with a lozenge: half of it stays on the sheet that is cut, and meets the other sheet's
/// half.
void put_match_mark(Drawing& out, const Vector2d& at) {
  for (const Vector2d& arm : {Vector2d(kMatchArmMm, 0.0), Vector2d(0.0, kMatchArmMm)}) {
    out.add(Line{at - arm, at + arm}, kCut);
  }
  const double half = kMatchArmMm / 2;
  out.add(Polyline{.points_mm = {at + Vector2d(half, 0), at + Vector2d(0, half), at - Vector2d(half, 0),
                                 at - Vector2d(0, half)},
                   .closed = true},
          kCut);
}

/// A tick in the strip where the line would run on, and beside it in words what to do. `outward`: away from
/// the window; the words read along the strip.
void put_joint_words(Drawing& out, const Vector2d& at, const Vector2d& outward, bool over,
                     const std::string& other) {
  const Vector2d along(-outward.y(), outward.x());  // foot: to the right; left strip: downwards
  const bool foot = outward.y() < 0.0;
  const Vector2d reading = foot ? along : Vector2d(-along);
  const Vector2d start = at + kStripAirMm * outward;
  out.add(Line{start, start + kTickMm * outward}, over ? kCut : kLayTo);
  static constexpr double kAirMm = 0.8;
  // In the left strip letters stand with their heads outward: their baseline is the side near the window.
  const double baseline_mm = foot ? kWordsMm : 0.0;
  out.add(Text{
      .at_mm = start + baseline_mm * outward + (over ? kAirMm : -kAirMm) * reading,
      .text = over ? fmt::format("Cut here, lay over {}", other) : fmt::format("{} lies on to here", other),
      .height_mm = kWordsMm,
      .align = over ? Align::kLeft : Align::kRight,
      .angle_rad = foot ? 0.0 : std::numbers::pi / 2});
}

void put_joint(Drawing& out, const Joint& joint, bool over, const std::string& other, const TileView& view) {
  for (const auto& [a, b] : joint.pieces_mm) out.add(Line{view(a), view(b)}, over ? kCut : kLayTo);
  for (const Vector2d& mark : joint.marks_mm) put_match_mark(out, view(mark));
  const Vector2d on_line = view(joint.start_mm);
  const Vector2d corner = view.window().low_mm;
  if (joint.upright) {
    put_joint_words(out, {on_line.x(), corner.y()}, {0.0, -1.0}, over, other);
  } else {
    put_joint_words(out, {corner.x(), on_line.y()}, {-1.0, 0.0}, over, other);
  }
}

/// The marks that reach into the window.
Drawing carried(const Drawing& drawing, const TileView& view) {
  Drawing out;
  for (const Mark& mark : drawing.marks) {
    Shape shape = view(mark.shape);
    Box box = bounds(shape);
    const Vector2d half = Vector2d::Constant(mark.stroke.width_mm / 2);
    box.low_mm -= half;
    box.high_mm += half;
    if (overlap(box, view.window())) out.marks.push_back({std::move(shape), mark.stroke, mark.layer});
  }
  return out;
}

}  // namespace

std::vector<Page> tile_pages(const Drawing& drawing, const TileLayout& layout, const TileOptions& options,
                             const TileTitle& title, const std::vector<Circle>& keep_clear_mm) {
  const std::vector<Joint> joints = find_joints(layout, options, keep_clear_mm);
  const SheetFrame frame{drawing, layout, options, title};
  std::vector<Page> pages;
  for (std::size_t i = 0; i < layout.tiles.size(); ++i) {
    const TileView view(layout.tiles[i], layout, options);
    Page page{.width_mm = layout.paper.width_mm, .height_mm = layout.paper.height_mm};
    page.drawing = carried(drawing, view);
    page.window = view.window();
    frame.put(page.frame, layout.tiles[i], view);
    for (const Joint& joint : joints) {
      if (joint.over == i) put_joint(page.frame, joint, true, layout.tiles[joint.under].name, view);
      if (joint.under == i) put_joint(page.frame, joint, false, layout.tiles[joint.over].name, view);
    }
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace fairhole::drawing

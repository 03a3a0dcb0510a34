// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "moon.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "fairhole/geometry/statistics.h"
#include "pen.h"
#include "placement.h"
#include "words.h"

namespace fairhole::report {
namespace {

using std::numbers::pi;

constexpr double kHatchOutsideMm = 1.1;  ///< on paper
constexpr double kHatchTakenMm = 2.4;
constexpr double kLetterMm = 2.8;
constexpr double kWordsMm = 2.3;
constexpr double kFootMm = 9.0;  ///< below the picture, for the enlargement and its bar

double chosen_radius_mm(const StackPlan& stack) { return 0.5 * stack.finish_diameter_mm; }

bool left_open(const StackPlan& stack) {
  return stack.state == State::kLookAgain || stack.state == State::kUndecided;
}

/// Metal is cut in an old layer only where it is finished larger than it was found.
bool is_cut(const LayerPlan& layer) {
  return !layer.new_plate && layer.found_diameter_mm && layer.finish_diameter_mm > *layer.found_diameter_mm;
}

struct LayerPicture {
  const LayerPlan* layer = nullptr;
  Rim rim;          ///< enlarged, mm of the stack
  Ellipse ellipse;  ///< enlarged half axes
};

struct Picture {
  double k = 1.0;
  double radius_mm = 0.0;  ///< chosen circle
  double reach_mm = 0.0;   ///< farthest that anything drawn lies from the centre
  Box extent;              ///< of all circles
  std::vector<LayerPicture> layers;
  std::vector<double> seats_mm;  ///< radii of bushes' seats, enlarged
};

/// The outside of a layer's bush, about the chosen circle's centre.
std::optional<Rim> seat_of(const LayerPlan& layer) {
  if (!layer.bush_outside_mm) return std::nullopt;
  return Rim{Eigen::Vector2d::Zero(), 0.5 * *layer.bush_outside_mm, Eigen::Vector2d::Zero()};
}

Picture picture_of(const StackPlan& stack) {
  Picture picture{misfit_enlargement(stack), chosen_radius_mm(stack), chosen_radius_mm(stack), {}, {}, {}};
  picture.extent = Box{}.grown(picture.radius_mm);
  for (const LayerPlan& layer : stack.layers) {
    if (const auto seat = seat_of(layer)) {
      const double radius_mm = enlarged(*seat, picture.radius_mm, picture.k).radius_mm;
      picture.seats_mm.push_back(radius_mm);
      picture.extent = Box{}.grown(std::max(radius_mm, picture.extent.high_mm.maxCoeff()));
      picture.reach_mm = std::max(picture.reach_mm, radius_mm);
    }
  }
  for (const LayerPlan& layer : stack.layers) {
    const auto rim = old_rim_of(layer);
    if (!rim) continue;
    Ellipse ellipse = confidence_ellipse(layer.centre_cov_mm2);
    ellipse.major_mm *= picture.k;
    ellipse.minor_mm *= picture.k;
    picture.layers.push_back({&layer, enlarged(*rim, picture.radius_mm, picture.k), ellipse});
    const Rim& seen = picture.layers.back().rim;
    picture.reach_mm = std::max(
        picture.reach_mm, picture.radius_mm + overhang_mm(seen, Eigen::Vector2d::Zero(), picture.radius_mm));
    for (const double side : {-1.0, 1.0}) {
      const Eigen::Vector2d disc = seen.centre_mm + side * seen.half_axis_mm;
      picture.extent.low_mm =
          picture.extent.low_mm.cwiseMin(disc - Eigen::Vector2d::Constant(seen.radius_mm));
      picture.extent.high_mm =
          picture.extent.high_mm.cwiseMax(disc + Eigen::Vector2d::Constant(seen.radius_mm));
    }
  }
  return picture;
}

/// A rim shown smaller than this share of the chosen radius no longer looks like the hole it was.
constexpr double kLeastRim = 0.6;
/// Rims that reach farther than this many chosen radii would make the chosen circle a detail.
constexpr double kMostReach = 1.75;

/// Stack millimetres to paper.
struct Lens {
  Eigen::Vector2d centre_mm;
  double scale = 1.0;
  Eigen::Vector2d operator()(const Eigen::Vector2d& p_mm) const { return centre_mm + scale * p_mm; }
};

void draw_hatch(drawing::Drawing& on, const Region& region, const Picture& picture, const Lens& lens,
                double angle_rad, double paper_spacing_mm, const drawing::Stroke& stroke) {
  for (const HatchLine& stroke_line :
       hatch(region, Eigen::Vector2d::Zero(), picture.reach_mm, angle_rad, paper_spacing_mm / lens.scale)) {
    line(on, lens(stroke_line.a_mm), lens(stroke_line.b_mm), stroke);
  }
}

/// `outside`: the ink of old hole left outside, trouble or not.
void draw_crescents(drawing::Drawing& on, const Picture& picture, const Lens& lens, drawing::Ink outside) {
  std::vector<Rim> all;
  std::vector<Rim> cut;
  for (const LayerPicture& layer : picture.layers) {
    all.push_back(layer.rim);
    if (is_cut(*layer.layer)) cut.push_back(layer.rim);
  }
  const Rim circle{Eigen::Vector2d::Zero(), picture.radius_mm, Eigen::Vector2d::Zero()};
  draw_hatch(on, taken_away(cut, circle), picture, lens, 0.75 * pi, kHatchTakenMm, kFine);
  draw_hatch(on, left_outside(all, circle), picture, lens, 0.25 * pi, kHatchOutsideMm,
             {drawing::kMediumMm, drawing::Dash::kSolid, outside});
}

/// One outline of a rim, `by_mm` (paper) outside it.
void draw_outline(drawing::Drawing& on, const Rim& rim, const Lens& lens, double by_mm,
                  const drawing::Stroke& stroke) {
  const double radius = std::max(0.05, lens.scale * rim.radius_mm + by_mm);
  const double half_length = rim.half_axis_mm.norm();
  if (half_length <= 0.0) {
    circle(on, lens(rim.centre_mm), radius, stroke);
    return;
  }
  const Eigen::Vector2d axis = rim.half_axis_mm / half_length;
  const Eigen::Vector2d off(-axis.y() * radius, axis.x() * radius);
  const double turn = std::atan2(axis.y(), axis.x());
  const Eigen::Vector2d a = lens(rim.centre_mm + rim.half_axis_mm);
  const Eigen::Vector2d b = lens(rim.centre_mm - rim.half_axis_mm);
  on.add(drawing::Arc{a, radius, turn - 0.5 * pi, turn + 0.5 * pi}, stroke);
  on.add(drawing::Arc{b, radius, turn + 0.5 * pi, turn + 1.5 * pi}, stroke);
  line(on, a + off, b + off, stroke);
  line(on, a - off, b - off, stroke);
}

void draw_layer(drawing::Drawing& on, const LayerPicture& layer, const Lens& lens, bool words) {
  constexpr double kHalfGapMm = 0.3;
  const drawing::Stroke stroke{drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kOld};
  draw_outline(on, layer.rim, lens, words ? kHalfGapMm : 0.0, stroke);
  if (!words) return;
  draw_outline(on, layer.rim, lens, -kHalfGapMm, stroke);
  const Eigen::Vector2d centre = lens(layer.rim.centre_mm);
  constexpr double kCrossMm = 1.0;
  line(on, centre - Eigen::Vector2d(kCrossMm, 0), centre + Eigen::Vector2d(kCrossMm, 0), stroke);
  line(on, centre - Eigen::Vector2d(0, kCrossMm), centre + Eigen::Vector2d(0, kCrossMm), stroke);
  if (lens.scale * layer.ellipse.major_mm > 0.1) {
    on.add(drawing::Ellipse{centre, lens.scale * layer.ellipse.major_mm, lens.scale * layer.ellipse.minor_mm,
                            layer.ellipse.angle_rad},
           {drawing::kFineMm, drawing::Dash::kSolid, drawing::Ink::kInk});
  }
}

/// The first point from `from_mm` along `out` that lies in none of the circles.
Eigen::Vector2d beyond_all(const Picture& picture, const Eigen::Vector2d& from_mm,
                           const Eigen::Vector2d& out) {
  double clear = 0.0;
  const auto pass = [&](const Rim& rim) {
    if (const auto piece = chord(rim, {from_mm, out})) clear = std::max(clear, piece->second);
  };
  pass({Eigen::Vector2d::Zero(), picture.radius_mm, Eigen::Vector2d::Zero()});
  for (const double seat_mm : picture.seats_mm)
    pass({Eigen::Vector2d::Zero(), seat_mm, Eigen::Vector2d::Zero()});
  for (const LayerPicture& layer : picture.layers) pass(layer.rim);
  return from_mm + clear * out;
}

/// The layers' letters outside everything, near where each rim stands out farthest, spread so that none
/// meets.
void draw_letters(drawing::Drawing& on, const Picture& picture, const Letters& letters, const Lens& lens) {
  std::vector<std::pair<double, const LayerPicture*>> around;
  for (std::size_t i = 0; i < picture.layers.size(); ++i) {
    const Eigen::Vector2d& m = picture.layers[i].rim.centre_mm;
    constexpr double kStillMm = 1e-6;  // no direction of its own
    const double angle =
        m.norm() > kStillMm ? std::atan2(m.y(), m.x()) : 0.3 * pi + 0.5 * static_cast<double>(i);
    around.emplace_back(angle, &picture.layers[i]);
  }
  std::sort(around.begin(), around.end());
  std::vector<double> wanted;
  wanted.reserve(around.size());
  for (const auto& entry : around) wanted.push_back(entry.first);
  const auto places = spread(wanted, 0.35, -pi, pi);
  if (!places) return;
  for (std::size_t i = 0; i < around.size(); ++i) {
    const Rim& rim = around[i].second->rim;
    const Eigen::Vector2d out(std::cos((*places)[i]), std::sin((*places)[i]));
    const Eigen::Vector2d disc =
        rim.centre_mm + (rim.half_axis_mm.dot(out) > 0 ? 1.0 : -1.0) * rim.half_axis_mm;
    const Eigen::Vector2d at = lens(beyond_all(picture, disc + rim.radius_mm * out, out)) + 4.2 * out;
    line(on, lens(disc + rim.radius_mm * out), at - 2.4 * out, kFineOld);
    write(on, at, letters.at(around[i].second->layer->part),
          {.height_mm = kLetterMm,
           .bold = true,
           .align = drawing::Align::kCentre,
           .vertical = drawing::Text::Vertical::kMiddle});
  }
}

/// A round length that a bar of about `most_mm` shows at this enlargement.
double bar_length_mm(double paper_per_mm, double most_mm) {
  double length = 0.1;
  for (const double step : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0}) {
    if (step * paper_per_mm <= most_mm) length = step;
  }
  return length;
}

void draw_foot(drawing::Drawing& on, const Picture& picture, const Lens& lens, double width_mm) {
  write(on, {1.0, 2.4}, fmt::format("misfit x {}", picture.k), {.height_mm = kWordsMm, .bold = true});
  const double length = bar_length_mm(lens.scale * picture.k, 0.4 * width_mm);
  const double bar = length * lens.scale * picture.k;
  scale_bar(on, {width_mm - bar - 2.0, 2.4}, bar, fmt::format("{} mm", length), kWordsMm);
}

}  // namespace

Letters part_letters(const Plan& plan) {
  Letters letters;
  const auto name = [&letters](const std::string& part) {
    if (part.empty() || letters.contains(part)) return;
    std::string letter;
    for (std::size_t n = letters.size() + 1; n > 0; n = (n - 1) / 26) {
      letter.insert(letter.begin(), static_cast<char>('A' + (n - 1) % 26));
    }
    letters[part] = letter;
  };
  for (const SeatPlan& seat : plan.seats) name(seat.part);
  for (const StackPlan& stack : plan.stacks) {
    for (const LayerPlan& layer : stack.layers) name(layer.part);
  }
  return letters;
}

std::optional<Rim> old_rim_of(const LayerPlan& layer) {
  if (layer.new_plate || !layer.found_diameter_mm) return std::nullopt;
  const double half_ovality = 0.5 * layer.ovality_mm;
  const Eigen::Vector2d axis(std::cos(layer.ovality_axis_rad), std::sin(layer.ovality_axis_rad));
  // found is the mean of the longest and the shortest diameter: the shortest is that of the two discs.
  return Rim{layer.misfit_mm, 0.5 * (*layer.found_diameter_mm - half_ovality), half_ovality * axis};
}

Rim enlarged(const Rim& rim, double circle_radius_mm, double k) {
  return {k * rim.centre_mm, std::max(0.0, circle_radius_mm + k * (rim.radius_mm - circle_radius_mm)),
          k * rim.half_axis_mm};
}

double misfit_enlargement(const StackPlan& stack) {
  const double radius = chosen_radius_mm(stack);
  if (std::none_of(stack.layers.begin(), stack.layers.end(),
                   [](const LayerPlan& l) { return old_rim_of(l).has_value(); })) {
    return 1.0;
  }
  double k = 1.0;
  for (const double larger : {2.0, 5.0, 10.0, 20.0, 50.0, 100.0}) {
    for (const LayerPlan& layer : stack.layers) {
      for (const auto& rim : {old_rim_of(layer), seat_of(layer)}) {
        if (!rim) continue;
        const Rim seen = enlarged(*rim, radius, larger);
        const bool likeness =
            seen.radius_mm >= kLeastRim * radius &&
            seen.centre_mm.norm() + seen.half_axis_mm.norm() + seen.radius_mm <= kMostReach * radius;
        if (!likeness) return k;
      }
    }
    k = larger;
  }
  return k;
}

double worst_overhang_mm(const StackPlan& stack) {
  double worst = 0.0;
  for (const LayerPlan& layer : stack.layers) {
    if (const auto rim = old_rim_of(layer)) {
      const std::optional<Rim> seat = seat_of(layer);
      const double radius_mm = seat ? seat->radius_mm : chosen_radius_mm(stack);
      worst = std::max(worst, overhang_mm(*rim, Eigen::Vector2d::Zero(), radius_mm));
    }
  }
  return worst;
}

drawing::Page draw_moon(const StackPlan& stack, const Letters& letters, const MoonOptions& options) {
  const double foot = options.words ? kFootMm : 0.0;
  const double border = options.words ? 7.5 : 0.6;
  drawing::Page page = blank_page(options.size_mm, options.size_mm + foot);
  const Picture picture = picture_of(stack);
  if (picture.reach_mm <= 0.0) return page;
  const double half = 0.5 * options.size_mm;
  const double widest = std::max(picture.extent.width_mm(), picture.extent.height_mm());
  const double scale = 2.0 * (half - border) / widest;
  const Lens lens{Eigen::Vector2d(half, half + foot) - scale * picture.extent.centre_mm(), scale};
  const bool harmless =
      stack.method == Method::kClear || stack.method == Method::kBush || stack.method == Method::kPlug;
  const bool chosen = picture.radius_mm > 0.0;  // nothing is drilled where a stack is undecided or left out
  if (chosen)
    draw_crescents(page.drawing, picture, lens, harmless ? drawing::Ink::kOld : drawing::Ink::kWarn);
  for (const LayerPicture& layer : picture.layers) draw_layer(page.drawing, layer, lens, options.words);
  if (chosen) {
    circle(page.drawing, lens.centre_mm, lens.scale * picture.radius_mm,
           {options.words ? 0.7 : drawing::kHeavyMm,
            left_open(stack) ? drawing::Dash::kBroken : drawing::Dash::kSolid, drawing::Ink::kNew});
  }
  for (const double seat_mm : picture.seats_mm) {
    circle(page.drawing, lens.centre_mm, lens.scale * seat_mm,
           {drawing::kMediumMm, drawing::Dash::kBroken, drawing::Ink::kNew});
  }
  if (!options.words) return page;
  const Eigen::Vector2d cross(2.0, 0.0);
  line(page.drawing, lens.centre_mm - cross, lens.centre_mm + cross, kMedium);
  line(page.drawing, lens.centre_mm - cross.reverse(), lens.centre_mm + cross.reverse(), kMedium);
  if (stack.state == State::kPinned) dot(page.drawing, lens.centre_mm, 1.0);
  draw_letters(page.drawing, picture, letters, lens);
  if (!picture.layers.empty()) draw_foot(page.drawing, picture, lens, options.size_mm);
  return page;
}

}  // namespace fairhole::report

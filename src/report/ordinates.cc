// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "ordinates.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "pen.h"
#include "words.h"

namespace fairhole::report {
namespace {

constexpr double kDimensionLineMm = 3.5;  ///< from the plate's edge
constexpr double kJogMm = 5.0;  ///< the leader goes from the figure's own place to where it is written
constexpr double kWordGapMm = 0.8;
constexpr double kRankGapMm = 1.5;
constexpr double kArrowRoomMm = 2.2;
constexpr int kMostRanks = 4;
constexpr double kMarkMm = 1e-6;  ///< marks closer than this are one

double words_width_mm(const Ordinate& ordinate, double text_mm) {
  return drawing::text_width_mm(ordinate.figure, text_mm, true) +
         drawing::text_width_mm("  " + ordinate.holes, text_mm);
}

/// Depth of each rank: its widest words.
std::vector<double> rank_depths_mm(const std::vector<Ordinate>& ordinates, int ranks, double text_mm) {
  std::vector<double> depths(static_cast<std::size_t>(ranks), 0.0);
  for (std::size_t i = 0; i < ordinates.size(); ++i) {
    double& depth = depths[i % depths.size()];
    depth = std::max(depth, words_width_mm(ordinates[i], text_mm) + kRankGapMm);
  }
  return depths;
}

/// Paper point at `along` the edge and `out` mm away from the plate.
Eigen::Vector2d beside(const OrdinateFit& fit, int axis, double along_mm, double out_mm) {
  return axis == 0 ? Eigen::Vector2d(along_mm, fit.edge_mm - out_mm)
                   : Eigen::Vector2d(fit.edge_mm - out_mm, along_mm);
}

void write_words(drawing::Drawing& on, const Ordinate& ordinate, const Eigen::Vector2d& at_mm, int axis,
                 double text_mm) {
  // Both axes read outwards from the plate's edge towards the words' far end: right-aligned, turned for x.
  Words words{.height_mm = text_mm,
              .bold = true,
              .align = drawing::Align::kRight,
              .vertical = drawing::Text::Vertical::kMiddle,
              .angle_rad = axis == 0 ? 0.5 * std::numbers::pi : 0.0};
  write(on, at_mm, ordinate.figure, words);
  if (ordinate.holes.empty()) return;
  const double back =
      drawing::text_width_mm(ordinate.figure, text_mm, true) + drawing::text_width_mm("  ", text_mm);
  words.bold = false;
  const Eigen::Vector2d shift = axis == 0 ? Eigen::Vector2d(0.0, -back) : Eigen::Vector2d(-back, 0.0);
  write(on, at_mm + shift, ordinate.holes, words);
}

}  // namespace

std::vector<Ordinate> collect_ordinates(const PlateLayout& layout, int axis) {
  std::vector<const LaidHole*> holes;
  for (const LaidHole& hole : layout.holes) holes.push_back(&hole);
  std::stable_sort(holes.begin(), holes.end(), [&](const LaidHole* a, const LaidHole* b) {
    return std::pair(a->mark_mm[axis], a->id) < std::pair(b->mark_mm[axis], b->id);
  });
  std::vector<Ordinate> ordinates;
  for (const LaidHole* hole : holes) {
    const double mark = hole->mark_mm[axis];
    if (ordinates.empty() || mark - ordinates.back().mark_mm > kMarkMm) {
      ordinates.push_back({mark, mark_text(mark, layout.marks), hole->id});
    } else {
      ordinates.back().holes += " " + hole->id;
    }
  }
  return ordinates;
}

std::optional<OrdinateFit> fit_ordinates(const std::vector<Ordinate>& ordinates, const View& view, int axis,
                                         double text_mm, double edge_mm, double low_mm, double high_mm) {
  std::vector<double> wanted;
  wanted.reserve(ordinates.size());
  for (const Ordinate& ordinate : ordinates) {
    wanted.push_back(view.origin_mm[axis] + view.scale * ordinate.mark_mm);
  }
  for (int ranks = 1; ranks <= kMostRanks; ++ranks) {
    // Between two words of one rank pass the leaders of all deeper ranks, each with a little air.
    const double pitch = (1.45 * text_mm + 0.8 * (ranks - 1)) / ranks;
    const auto places = spread(wanted, pitch, low_mm + text_mm, high_mm - text_mm);
    if (!places) continue;
    double depth = kDimensionLineMm + kJogMm + kWordGapMm;
    for (const double rank : rank_depths_mm(ordinates, ranks, text_mm)) depth += rank;
    return OrdinateFit{ranks, edge_mm, depth, *places};
  }
  return std::nullopt;
}

void draw_ordinates(drawing::Drawing& on, const std::vector<Ordinate>& ordinates, const OrdinateFit& fit,
                    const View& view, int axis, double text_mm) {
  if (ordinates.empty()) return;
  const std::vector<double> depths = rank_depths_mm(ordinates, fit.ranks, text_mm);
  const double nought = view.origin_mm[axis];
  const auto place_of = [&](double mark_mm) { return nought + view.scale * mark_mm; };
  const double first = std::min(nought, place_of(ordinates.front().mark_mm));
  const double last = std::max(nought, place_of(ordinates.back().mark_mm));
  line(on, beside(fit, axis, first, kDimensionLineMm), beside(fit, axis, last, kDimensionLineMm));
  circle(on, beside(fit, axis, nought, kDimensionLineMm), 0.9, kMedium);
  line(on, beside(fit, axis, nought, 0.8), beside(fit, axis, nought, kDimensionLineMm + 1.2));
  double last_arrow = nought;
  const Eigen::Vector2d onward = Eigen::Vector2d::Unit(axis);
  for (std::size_t i = 0; i < ordinates.size(); ++i) {
    const double own = place_of(ordinates[i].mark_mm);
    line(on, beside(fit, axis, own, 0.8), beside(fit, axis, own, kDimensionLineMm + 0.8));
    if (std::abs(own - last_arrow) > kArrowRoomMm) {  // where figures crowd, the tick alone says it
      arrow_head(on, beside(fit, axis, own, kDimensionLineMm),
                 own > nought ? onward : Eigen::Vector2d(-onward), 1.6);
      last_arrow = own;
    }
    double out = kDimensionLineMm + kJogMm;
    line(on, beside(fit, axis, own, kDimensionLineMm + 0.8), beside(fit, axis, fit.places_mm[i], out));
    const std::size_t rank = i % depths.size();
    const double before = out;
    for (std::size_t r = 0; r < rank; ++r) out += depths[r];
    if (rank > 0)
      line(on, beside(fit, axis, fit.places_mm[i], before), beside(fit, axis, fit.places_mm[i], out));
    write_words(on, ordinates[i], beside(fit, axis, fit.places_mm[i], out + kWordGapMm), axis, text_mm);
  }
}

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_lines.h"

#include <Eigen/Cholesky>
#include <cmath>
#include <numbers>

#include "light_sample.h"

namespace fairhole::photo {
namespace {

constexpr double kReachBlurs = 2.0, kReachPx = 0.6;
constexpr double kSplitBlurs = 3.5, kSplitPx = 1.8;  // a chamfer that wide shows its own level

// Bounded sizes: a fit solves some ten thousand lines, none may allocate.
constexpr int kMostRows = kMostSamples + 1;
template <int MostColumns>
using Columns = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, kMostRows, MostColumns>;
using Samples = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostRows, 1>;
using Slopes = Eigen::Matrix<double, Eigen::Dynamic, kFitUnknowns, 0, kMostRows, kFitUnknowns>;
using Square3 = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, 3, 3>;
using Few3 = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, 3, 1>;

double step_up(double t) { return 0.5 * std::erfc(-t / std::numbers::sqrt2); }
double bell(double t) { return std::exp(-0.5 * t * t) / std::sqrt(2.0 * std::numbers::pi); }

bool read_light(const Picture& picture, const Probe& probe, double last_px, RimLine& line) {
  const int count = 1 + static_cast<int>((last_px - line.first_px) / kSampleStepPx);
  if (count < 4 || count > kMostSamples) return false;
  line.light.resize(count);
  for (int i = 0; i < count; ++i) {
    const Eigen::Vector2d at = probe.origin_px + (line.first_px + i * kSampleStepPx) * probe.outward;
    if (!picture.holds(at.x(), at.y(), kSampleMargin)) return false;
    line.light[i] = sample_light(picture, at.x(), at.y());
  }
  return true;
}

}  // namespace

double reach_px(double blur_px) { return kReachBlurs * blur_px + kReachPx; }

std::vector<RimLine> take_lines(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer,
                                double blur_px, const LineWindow& window, double angle) {
  const auto probe = probe_at(view, mouth, angle);
  if (!probe) return {};
  auto bore = crossing(view, mouth, Edge::kBore, *probe);
  const auto rim = chamfer ? crossing(view, mouth, Edge::kRim, *probe) : bore;
  if (!bore || !rim) return {};
  // Seen steeply the near side of the face hides its own chamfer.
  const bool two = chamfer && rim->along_px > bore->along_px;
  if (chamfer && !two) bore = rim;
  const double reach = reach_px(blur_px), width = rim->along_px - bore->along_px;

  std::vector<RimLine> lines;
  const auto add = [&](LineKind kind, int steps, const Crossing& first, const Crossing& second, double from,
                       double to) {
    RimLine line;
    line.kind = kind;
    line.angle = angle;
    line.first_px = from;
    line.steps = steps;
    line.at = {first, second};
    if (read_light(picture, *probe, to, line)) lines.push_back(std::move(line));
  };
  if (two && window.split && width > kSplitBlurs * blur_px + kSplitPx) {
    const double inner = std::min(reach, 0.7 * width);
    add(LineKind::kBore, 1, *bore, *bore, bore->along_px - reach, bore->along_px + inner);
    add(LineKind::kRim, 1, *rim, *rim, rim->along_px - inner, rim->along_px + reach);
  } else {
    add(LineKind::kBoth, two ? 2 : 1, *bore, *rim, bore->along_px - std::max(reach, window.inward_px),
        std::max(rim->along_px + reach, bore->along_px + window.outward_px));
  }
  return lines;
}

LineFit solve_line(const RimLine& line, double blur, const ChamferLevel& chamfer) {
  const Eigen::Index count = line.light.size();
  const auto steps = static_cast<std::size_t>(line.steps);
  const auto levels = static_cast<Eigen::Index>(steps + 1);
  std::array<double, 2> place{};
  // A blurred edge of radius R stands b^2 / 2R nearer its centre (Verbeek and van Vliet 1994).
  for (std::size_t k = 0; k < steps; ++k)
    place[k] = line.at[k].along_px - 0.5 * blur * blur * line.at[k].curvature_per_px;

  // One row more than samples: what is known of the chamfer's level.
  Columns<3> shape = Columns<3>::Zero(count + 1, levels);
  Columns<2> bells(count, static_cast<Eigen::Index>(steps)), offs(count, static_cast<Eigen::Index>(steps));
  for (Eigen::Index i = 0; i < count; ++i) {
    double above = 1.0;
    for (std::size_t k = 0; k < steps; ++k) {
      const auto column = static_cast<Eigen::Index>(k);
      offs(i, column) = (line.first_px + static_cast<double>(i) * kSampleStepPx - place[k]) / blur;
      bells(i, column) = bell(offs(i, column)) / blur;
      const double over = step_up(offs(i, column));
      shape(i, column) = above - over;
      above = over;
    }
    shape(i, levels - 1) = above;
  }
  Samples light = Samples::Zero(count + 1);
  light.head(count) = line.light;
  if (steps == 2) {
    shape(count, 1) = chamfer.noise / chamfer.spread;
    light[count] = shape(count, 1) * chamfer.expected;
  }
  const Eigen::LDLT<Square3> solver(Square3(shape.transpose().lazyProduct(shape)));
  const Few3 solved = solver.solve(Few3(shape.transpose().lazyProduct(light)));
  LineFit fit;
  fit.levels.head(levels) = solved;
  fit.misfit = light - shape.lazyProduct(solved);

  Slopes slope = Slopes::Zero(count + 1, static_cast<int>(kFitUnknowns));
  Samples together = Samples::Zero(count + 1);
  for (std::size_t k = 0; k < steps; ++k) {
    const auto column = static_cast<Eigen::Index>(k);
    const Samples by_place = -(solved[column + 1] - solved[column]) * bells.col(column);
    slope.topLeftCorner(count, kMouthUnknowns) += by_place.lazyProduct(line.at[k].by_unknown);
    slope.col(kLnBlur).head(count) += blur * by_place.cwiseProduct(offs.col(column));
    together.head(count) += by_place;
  }
  Samples expected = Samples::Zero(count + 1);
  if (steps == 2) expected[count] = shape(count, 1);
  fit.slope_by_expected =
      shape.lazyProduct(Few3(solver.solve(Few3(shape.transpose().lazyProduct(expected))))) - expected;
  using Shares = Eigen::Matrix<double, Eigen::Dynamic, kFitUnknowns, 0, 3, kFitUnknowns>;
  const Shares shares = solver.solve(Shares(shape.transpose().lazyProduct(slope)));
  fit.slope = slope - shape.lazyProduct(shares);
  together -= shape.lazyProduct(Few3(solver.solve(Few3(shape.transpose().lazyProduct(together)))));
  const double size = together.squaredNorm();
  fit.shift_px = size > 0.0 ? together.dot(fit.misfit) / size : 0.0;
  return fit;
}

}  // namespace fairhole::photo

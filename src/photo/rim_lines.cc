// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_lines.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "blurred_step.h"
#include "light_sample.h"

namespace fairhole::photo {
namespace {

constexpr double kReachBlurs = 2.0, kReachPx = 0.6;
constexpr double kSplitBlurs = 3.5, kSplitPx = 1.8;  // a chamfer that wide shows its own level
constexpr double kFarBlurs = 2.0;  // an edge nearer than that to a line's first sample shows in it

bool read_light(const Picture& picture, const Probe& probe, double last_px, RimLine& line) {
  line.samples = 1 + static_cast<int>((last_px - line.first_px) / kSampleStepPx);
  if (line.samples < 4 || line.samples > kMostSamples) return false;
  const auto place = [&](int i) {
    return Eigen::Vector2d(probe.origin_px + (line.first_px + i * kSampleStepPx) * probe.outward);
  };
  for (const Eigen::Vector2d& end : {place(0), place(line.samples - 1)})
    if (!picture.holds(end.x(), end.y(), kSampleMargin)) return false;
  for (int i = 0; i < line.samples; ++i) {
    const Eigen::Vector2d at = place(i);
    line.light[static_cast<std::size_t>(i)] = sample_light(picture, at.x(), at.y());
  }
  return true;
}

/// A line's samples in terms of its steps; `Steps` of them, from inside to outside.
template <int Steps>
struct Shapes {
  using Levels = Eigen::Matrix<double, Steps + 1, 1>;
  using Places = Eigen::Matrix<double, Steps + 1, 1>;  // of the steps, and ln of the blur

  std::array<double, kMostSteps> place{};
  double blur;
  Eigen::Matrix<double, Steps + 1, Steps + 1> normal;  // of the levels
  Levels right;
  std::array<std::array<BlurredStep, Steps>, kMostSamples> seen;

  Shapes(const RimLine& line, double blur_px) : blur(blur_px) {
    // A blurred edge of radius R stands b^2 / 2R nearer its centre (Verbeek and van Vliet 1994).
    for (std::size_t k = 0; k < Steps; ++k)
      place[k] = line.at[k].along_px - 0.5 * blur * blur * line.at[k].curvature_per_px;
    normal.setZero();
    right.setZero();
    for (int i = 0; i < line.samples; ++i) {
      const auto sample = static_cast<std::size_t>(i);
      for (std::size_t k = 0; k < Steps; ++k) seen[sample][k] = blurred_step(off(line, i, k));
      const Levels shape = shape_of(sample);
      normal.noalias() += shape * shape.transpose();
      right.noalias() += shape * line.light[sample];
    }
  }
  double off(const RimLine& line, int i, std::size_t k) const {
    return (line.first_px + i * kSampleStepPx - place[k]) / blur;
  }
  Levels shape_of(std::size_t sample) const {
    Levels shape;
    double above = 1.0;
    for (int k = 0; k < Steps; ++k) {
      const double over = seen[sample][static_cast<std::size_t>(k)].share;
      shape[k] = above - over;
      above = over;
    }
    shape[Steps] = above;
    return shape;
  }
};

/// The light on a line's levels that explains it best, kept near what other lines say of them.
template <int Steps>
struct TiedLevels {
  using Levels = typename Shapes<Steps>::Levels;
  using Square = Eigen::Matrix<double, Steps + 1, Steps + 1>;

  Levels weights, expected, levels;
  Square inverse;

  TiedLevels(const RimLine& line, const Shapes<Steps>& shapes, const LevelTies& ties) {
    Square normal = shapes.normal;
    Levels right = shapes.right;
    for (int k = 0; k <= Steps; ++k) {
      const LevelTie& tie = ties[static_cast<std::size_t>(line.level[static_cast<std::size_t>(k)])];
      weights[k] = tie.weight;
      expected[k] = tie.expected;
      normal(k, k) += tie.weight;
      right[k] += tie.weight * tie.expected;
    }
    inverse = normal.inverse();  // of 2 to 4 shares of one, each well seen or tied
    levels = inverse * right;
  }
};

/// Sums over a line's samples: the slopes by the places and by ln of the blur, and what is left unexplained.
template <int Steps>
struct SlopeSums {
  using Places = typename Shapes<Steps>::Places;
  using Square = Eigen::Matrix<double, Steps + 1, Steps + 1>;

  Square of_places = Square::Zero(), with_levels = Square::Zero();
  Places gradient = Places::Zero();
  double squares = 0.0, sum = 0.0, sum2 = 0.0;

  SlopeSums(const RimLine& line, const Shapes<Steps>& shapes, const typename Shapes<Steps>::Levels& levels) {
    for (int i = 0; i < line.samples; ++i) {
      const auto sample = static_cast<std::size_t>(i);
      const typename Shapes<Steps>::Levels shape = shapes.shape_of(sample);
      Places slope;
      slope[Steps] = 0.0;
      for (int k = 0; k < Steps; ++k) {
        const auto step = static_cast<std::size_t>(k);
        slope[k] = -(levels[k + 1] - levels[k]) * shapes.seen[sample][step].bell / shapes.blur;
        slope[Steps] += slope[k] * shapes.blur * shapes.off(line, i, step);
      }
      const double light = line.light[sample], misfit = light - shape.dot(levels);
      of_places.noalias() += slope * slope.transpose();
      with_levels.noalias() += slope * shape.transpose();
      gradient.noalias() += slope * misfit;
      squares += misfit * misfit;
      sum += light;
      sum2 += light * light;
    }
  }
};

template <int Steps>
LineFit solve(const RimLine& line, double blur, const LevelTies& ties) {
  using Square = Eigen::Matrix<double, Steps + 1, Steps + 1>;
  const Shapes<Steps> shapes(line, blur);
  const TiedLevels<Steps> tied(line, shapes, ties);
  const SlopeSums<Steps> sums(line, shapes, tied.levels);
  // The places, less what the levels take up of them.
  const Square taken = sums.with_levels * tied.inverse;  // places by levels
  const Square reduced = sums.of_places - taken * sums.with_levels.transpose();
  LineFit fit;
  fit.kind = line.kind;
  fit.angle = line.angle;
  fit.samples = line.samples;
  fit.steps = Steps;
  fit.level = line.level;
  fit.normal.setZero();
  fit.gradient.setZero();
  fit.cross.setZero();
  fit.tie_normal.setZero();
  fit.tie_gradient.setZero();
  fit.squares = sums.squares;
  // ln of the blur comes last whatever the number of steps.
  const auto row = [](int k) { return k < Steps ? k : kMostSteps; };
  double together = 0.0, together_normal = 0.0;
  for (int i = 0; i <= Steps; ++i) {
    const Level level = line.level[static_cast<std::size_t>(i)];
    fit.gradient[row(i)] = sums.gradient[i];
    fit.levels[static_cast<std::size_t>(level)] = tied.levels[i];
    fit.level_variances[static_cast<std::size_t>(level)] = tied.inverse(i, i);
    const double weight = tied.weights[i], pull = weight * (tied.levels[i] - tied.expected[i]);
    fit.tie_gradient[level] = pull;
    fit.squares += pull * (tied.levels[i] - tied.expected[i]);
    for (int j = 0; j <= Steps; ++j) {
      const Level other = line.level[static_cast<std::size_t>(j)];
      fit.normal(row(i), row(j)) = reduced(i, j);
      fit.cross(row(i), other) = taken(i, j) * tied.weights[j];
      fit.tie_normal(level, other) = (i == j ? weight : 0.0) - weight * tied.inverse(i, j) * tied.weights[j];
    }
    if (i == Steps) break;
    together += sums.gradient[i];
    for (int j = 0; j < Steps; ++j) together_normal += reduced(i, j);
    fit.place_by_unknown[static_cast<std::size_t>(i)] = line.at[static_cast<std::size_t>(i)].by_unknown;
  }
  fit.flat_squares = std::max(0.0, sums.sum2 - sums.sum * sums.sum / line.samples);
  fit.shift_px = together_normal > 0.0 ? together / together_normal : 0.0;
  return fit;
}

}  // namespace

double reach_px(double blur_px) { return kReachBlurs * blur_px + kReachPx; }

void take_lines(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer, double blur_px,
                const LineWindow& window, double angle, std::vector<RimLine>& lines) {
  lines.clear();
  const auto probe = probe_at(view, mouth, angle);
  if (!probe) return;
  auto bore = crossing(view, mouth, Edge::kBore, *probe);
  const auto rim = chamfer ? crossing(view, mouth, Edge::kRim, *probe) : bore;
  if (!bore || !rim) return;
  // Seen steeply the near side of the face hides its own chamfer.
  const bool two = chamfer && rim->along_px > bore->along_px;
  if (chamfer && !two) bore = rim;
  const double reach = reach_px(blur_px), width = rim->along_px - bore->along_px;

  // Where the far end's edge lies outside the near one it is hidden, and the ground reaches up to the mouth.
  const double seen_from = bore->along_px - (window.split ? reach : std::max(reach, window.inward_px));
  const auto far = mouth.far_end() ? crossing(view, mouth, Edge::kFar, *probe) : std::nullopt;
  const bool hidden = far && far->along_px >= bore->along_px;
  const bool shows = far && !hidden && far->along_px > seen_from - kFarBlurs * blur_px;

  const auto add = [&](LineKind kind, std::initializer_list<Level> levels,
                       std::initializer_list<const Crossing*> steps, double from, double to) {
    RimLine& line = lines.emplace_back();
    line.kind = kind;
    line.angle = angle;
    line.first_px = from;
    line.steps = 0;
    std::size_t next = 0;
    const auto lead_in = [&](Level level, const Crossing* step) {
      line.level[next] = level;
      if (step != nullptr) line.at[next] = *step;
      ++next;
    };
    const bool from_bore = *levels.begin() == kWall;
    if (from_bore && shows) lead_in(kGround, &*far);
    const Crossing* const* step = steps.begin();
    for (const Level level : levels) {
      lead_in(from_bore && hidden && level == kWall ? kGround : level, step != steps.end() ? *step : nullptr);
      if (step != steps.end()) ++step;
    }
    line.steps = static_cast<int>(next) - 1;
    if (!read_light(picture, *probe, to, line)) lines.pop_back();
  };
  const double from = shows && window.split ? std::min(seen_from, far->along_px - reach) : seen_from;
  if (two && window.split && width > kSplitBlurs * blur_px + kSplitPx) {
    const double inner = std::min(reach, 0.7 * width);
    add(LineKind::kBore, {kWall, kChamfer}, {&*bore}, from, bore->along_px + inner);
    add(LineKind::kRim, {kChamfer, kFace}, {&*rim}, rim->along_px - inner, rim->along_px + reach);
    return;
  }
  const double to = std::max(rim->along_px + reach, bore->along_px + window.outward_px);
  if (two)
    add(LineKind::kBoth, {kWall, kChamfer, kFace}, {&*bore, &*rim}, from, to);
  else
    add(LineKind::kBoth, {kWall, kFace}, {&*bore}, from, to);
}

LineFit solve_line(const RimLine& line, double blur_px, const LevelTies& ties) {
  switch (line.steps) {
    case 1:
      return solve<1>(line, blur_px, ties);
    case 2:
      return solve<2>(line, blur_px, ties);
    default:
      return solve<3>(line, blur_px, ties);
  }
}

}  // namespace fairhole::photo

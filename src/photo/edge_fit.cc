// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "edge_fit.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "blurred_step.h"

namespace fairhole::photo {
namespace {

constexpr double kLeastContrast = 0.04;  // of white; below it dirt and JPEG blocks take over
constexpr double kShortestPx = 8.0;      // of the part that is fitted
constexpr double kBorderPx = 3.0;        // a marker cut by the border is no marker
constexpr double kUsualBlurPx = 0.9;
constexpr double kLongestBandPx = 6.0;
constexpr double kFullLight = 0.9;   // an overexposed pixel has at least that, one of its colours apart
constexpr double kLensBlurPx = 0.5;  // no photograph is sharper
constexpr std::size_t kFewestSamples = 30;
constexpr double kSmallestBlurPx = 0.35;  // of a pixel's own width, 1/sqrt(12), and a little optics

struct Sample {
  double s = 0.0;         // along, -1..1 over the fitted part
  double distance = 0.0;  // from the guess, towards the light
  double light = 0.0;
};

/// The frame of a guess: p = a + t u + d n.
struct EdgeFrame {
  Eigen::Vector2d a, u, n;
  double length = 0.0, bow = 0.0;
  double first = 0.0, last = 0.0;  // fitted part, px from a

  double bend(double t) const { return 4.0 * bow * t * (length - t) / (length * length); }
  double s_at(double t) const { return (2.0 * t - first - last) / (last - first); }
  double t_at(double s) const { return 0.5 * (first + last + s * (last - first)); }
  Eigen::Vector2d at(double t, double d) const { return a + t * u + (d + bend(t)) * n; }
};

EdgeFrame frame_of(const EdgeGuess& guess, double end_px) {
  EdgeFrame frame;
  frame.a = guess.a_px;
  frame.length = (guess.b_px - guess.a_px).norm();
  frame.u = (guess.b_px - guess.a_px) / frame.length;
  frame.n = towards_light(guess);
  frame.bow = guess.bow_px;
  frame.first = end_px;
  frame.last = frame.length - end_px;
  return frame;
}

bool inside(const Picture& picture, const EdgeFrame& frame, double band) {
  for (const double t : {0.0, frame.length})
    for (const double d : {-band, band})
      if (const Eigen::Vector2d p = frame.at(t, d); !picture.holds(p.x(), p.y(), kBorderPx)) return false;
  return true;
}

/// Place of the steepest rise towards the light in a profile across the edge; absent without contrast.
std::optional<double> steepest(const Picture& picture, const EdgeFrame& frame, double t, double reach) {
  constexpr double kStep = 0.5;
  const int half = static_cast<int>(std::ceil(reach / kStep)) + 2;
  std::vector<double> light;
  for (int i = -half; i <= half; ++i) {
    const Eigen::Vector2d p = frame.at(t, kStep * i);
    if (!picture.holds(p.x(), p.y(), 1.0)) return std::nullopt;
    light.push_back(picture.between(p.x(), p.y()));
  }
  double best = 0.5 * kLeastContrast;
  std::optional<double> place;
  for (std::size_t i = 2; i + 2 < light.size(); ++i) {
    const double rise = light[i + 2] + light[i + 1] - light[i - 1] - light[i - 2];
    if (rise <= best) continue;
    best = rise;
    place = kStep * (static_cast<double>(i) - half);
  }
  return place;
}

struct Straight {
  double offset = 0.0, tilt = 0.0;  // distance = offset + tilt * s
};

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::ranges::nth_element(values, middle);
  return *middle;
}

/// A line through the steepest places that a few wild ones do not turn (Theil 1950, Sen 1968).
std::optional<Straight> rough_line(const Picture& picture, const EdgeFrame& frame, double reach) {
  constexpr int kPlaces = 11;
  std::vector<Eigen::Vector2d> places;
  for (int i = 0; i < kPlaces; ++i) {
    const double s = -1.0 + 2.0 * i / (kPlaces - 1);
    if (const auto d = steepest(picture, frame, frame.t_at(s), reach)) places.emplace_back(s, *d);
  }
  if (places.size() * 3 < static_cast<std::size_t>(kPlaces) * 2) return std::nullopt;
  std::vector<double> slopes, offsets;
  for (std::size_t i = 0; i < places.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      slopes.push_back((places[i].y() - places[j].y()) / (places[i].x() - places[j].x()));
  Straight line{0.0, median(slopes)};
  for (const Eigen::Vector2d& p : places) offsets.push_back(p.y() - line.tilt * p.x());
  line.offset = median(offsets);
  return line;
}

/// All pixels whose centres lie in the band about the rough line.
std::vector<Sample> band_samples(const Picture& picture, const EdgeFrame& frame, const Straight& about,
                                 double band) {
  Eigen::Array2d low = Eigen::Array2d::Constant(1e9), high = -low;
  const double wide = band + std::abs(about.tilt);
  for (const double t : {frame.first, 0.5 * frame.length, frame.last})
    for (const double d : {about.offset - wide, about.offset + wide}) {
      low = low.min(frame.at(t, d).array());
      high = high.max(frame.at(t, d).array());
    }
  std::vector<Sample> samples;
  const int x0 = std::max(0, static_cast<int>(std::floor(low.x()))),
            y0 = std::max(0, static_cast<int>(std::floor(low.y())));
  const int x1 = std::min(picture.width_px - 1, static_cast<int>(std::ceil(high.x())));
  const int y1 = std::min(picture.height_px - 1, static_cast<int>(std::ceil(high.y())));
  for (int y = y0; y <= y1; ++y)
    for (int x = x0; x <= x1; ++x) {
      const Eigen::Vector2d p = Eigen::Vector2d(x, y) - frame.a;
      const double t = p.dot(frame.u);
      if (t < frame.first || t > frame.last) continue;
      const double s = frame.s_at(t), d = p.dot(frame.n) - frame.bend(t);
      if (std::abs(d - about.offset - about.tilt * s) <= band) samples.push_back({s, d, picture.at(x, y)});
    }
  return samples;
}

enum Unknown { kOffset, kTilt, kBlur, kInk, kInkSlope, kPaper, kPaperSlope, kUnknowns };
using Unknowns = Eigen::Matrix<double, kUnknowns, 1>;
using Normals = Eigen::Matrix<double, kUnknowns, kUnknowns>;

struct Equations {
  Normals normal = Normals::Zero();
  Unknowns right = Unknowns::Zero();
  double squares = 0.0;
  std::size_t samples = 0;
};

/// How a pixel as white as white can be is understood: as it stands, or as paper lighter than the file can
/// say.
enum class Paper { kAsItIs, kLighterThanWhite };

Equations equations(const std::vector<Sample>& samples, const Unknowns& x, Paper as) {
  Equations out;
  const double blur = std::exp(x[kBlur]);
  for (const Sample& sample : samples) {
    const double z = (sample.distance - x[kOffset] - x[kTilt] * sample.s) / blur;
    const auto [share, rise] = blurred_step(z);
    const double ink = x[kInk] + x[kInkSlope] * sample.s, paper = x[kPaper] + x[kPaperSlope] * sample.s;
    const double steep = (paper - ink) * rise;
    Unknowns row;
    row << -steep / blur, -steep / blur * sample.s, -steep * z, 1.0 - share, (1.0 - share) * sample.s, share,
        share * sample.s;
    const double misfit = sample.light - ink - (paper - ink) * share;
    if (as == Paper::kLighterThanWhite && sample.light >= kFullLight && misfit < 0.0) continue;
    ++out.samples;
    out.normal.noalias() += row * row.transpose();
    out.right.noalias() += row * misfit;
    out.squares += misfit * misfit;
  }
  return out;
}

struct Solved {
  Unknowns x = Unknowns::Zero();
  Normals covariance = Normals::Zero();
  bool overexposed = false;
};

/// Levenberg and Marquardt; seven unknowns and a start within the blur: few steps.
std::optional<Solved> solve(const std::vector<Sample>& samples, Unknowns x, double still_px, Paper as) {
  double damping = 1e-4;
  Equations now = equations(samples, x, as);
  for (int step = 0; step < 25; ++step) {
    Normals damped = now.normal;
    damped.diagonal() *= 1.0 + damping;
    const Unknowns change = damped.ldlt().solve(now.right);
    if (!change.allFinite()) return std::nullopt;
    Unknowns next_x = x + change;
    next_x[kBlur] = std::clamp(next_x[kBlur], std::log(kSmallestBlurPx), std::log(10.0));
    const Equations next = equations(samples, next_x, as);
    if (next.squares > now.squares) {
      damping *= 10.0;
      if (damping > 1e6) break;
      continue;
    }
    const bool still = change.head<3>().lpNorm<1>() < still_px;  // offset, tilt, blur
    x = next_x;
    now = next;
    damping = std::max(damping * 0.1, 1e-9);
    if (still) break;
  }
  if (now.samples < kFewestSamples) return std::nullopt;
  const double noise2 = now.squares / static_cast<double>(now.samples - kUnknowns);
  const Eigen::LDLT<Normals> factor(now.normal);
  if (factor.info() != Eigen::Success || !factor.isPositive()) return std::nullopt;
  Solved solved{x, factor.solve(Normals::Identity()) * noise2, now.samples < samples.size()};
  if (!solved.covariance.allFinite()) return std::nullopt;
  return solved;
}

/// Only a lens leaves a slope from which to tell how light the paper is: beside the edges of a drawing turned
/// into pixels, or of a much reduced picture, white is white.
std::optional<Solved> solve(const std::vector<Sample>& samples, const Unknowns& x, double still_px) {
  if (std::ranges::any_of(samples, [](const Sample& s) { return s.light >= kFullLight; })) {
    std::optional<Solved> solved = solve(samples, x, still_px, Paper::kLighterThanWhite);
    if (solved.has_value() && std::exp(solved->x[kBlur]) > kLensBlurPx) return solved;
  }
  return solve(samples, x, still_px, Paper::kAsItIs);
}

Unknowns start(const std::vector<Sample>& samples, const Straight& about) {
  double ink = 0.0, paper = 0.0;
  std::size_t inks = 0, papers = 0;
  for (const Sample& sample : samples) {
    const double d = sample.distance - about.offset - about.tilt * sample.s;
    if (d < -1.0) {
      ink += sample.light;
      ++inks;
    } else if (d > 1.0) {
      paper += sample.light;
      ++papers;
    }
  }
  Unknowns x = Unknowns::Zero();
  x[kOffset] = about.offset;
  x[kTilt] = about.tilt;
  x[kBlur] = std::log(kUsualBlurPx);
  x[kInk] = inks > 0 ? ink / static_cast<double>(inks) : 0.0;
  x[kPaper] = papers > 0 ? paper / static_cast<double>(papers) : 1.0;
  return x;
}

/// The two points of the line whose errors do not correlate and stand evenly about its weighted middle.
EdgeFit two_points(const EdgeFrame& frame, const Solved& solved) {
  const Eigen::Matrix2d c = solved.covariance.topLeftCorner<2, 2>();
  const double middle = -c(0, 1) / c(1, 1);  // there offset and tilt do not correlate
  const double variance = c(0, 0) - c(0, 1) * c(0, 1) / c(1, 1);
  const double reach = std::sqrt(variance / c(1, 1));
  EdgeFit fit;
  const auto point = [&](double s) {
    return EdgeFit::At{frame.t_at(s) / frame.length, solved.x[kOffset] + solved.x[kTilt] * s,
                       std::sqrt(2.0 * variance)};
  };
  fit.first = point(middle - reach);
  fit.second = point(middle + reach);
  fit.blur_px = std::exp(solved.x[kBlur]);
  fit.contrast = solved.x[kPaper] - solved.x[kInk];
  fit.overexposed = solved.overexposed;
  return fit;
}

}  // namespace

Eigen::Vector2d towards_light(const EdgeGuess& guess) {
  const Eigen::Vector2d u = (guess.b_px - guess.a_px).normalized();
  return {u.y(), -u.x()};  // y runs down: the left hand as seen
}

std::optional<EdgeFit> fit_edge(const Picture& picture, const EdgeGuess& guess) {
  const double length = (guess.b_px - guess.a_px).norm();
  const double clear = 0.62 * guess.clear_px;  // the next print's blur keeps off
  const double reach = std::min(guess.search_px, 0.45 * guess.clear_px);
  EdgeFrame frame = frame_of(guess, std::max({0.1 * length, 2.5, 0.6 * reach}));
  if (frame.last - frame.first < kShortestPx || !inside(picture, frame, reach)) return std::nullopt;
  const auto rough = rough_line(picture, frame, reach);
  if (!rough) return std::nullopt;
  double band = std::min(clear, 3.5 * kUsualBlurPx);
  Straight about = *rough;
  std::optional<Solved> solved;
  for (int round = 0; round < 2; ++round) {
    const std::vector<Sample> samples = band_samples(picture, frame, about, band);
    if (samples.size() < kFewestSamples) return std::nullopt;
    // The first round finds the band, the second one the edge.
    solved = solve(samples, solved ? solved->x : start(samples, about), round == 0 ? 0.01 : 1e-4);
    if (!solved) return std::nullopt;
    about = {solved->x[kOffset], solved->x[kTilt]};
    const double blur = std::exp(solved->x[kBlur]);
    frame = frame_of(guess, std::max({0.1 * length, 2.5, 3.0 * blur}));
    if (frame.last - frame.first < kShortestPx) return std::nullopt;
    band = std::clamp(3.5 * blur, 2.5, kLongestBandPx);
    band = std::min(clear, band);
  }
  const double moved = std::abs(about.offset) + std::abs(about.tilt);
  if (solved->x[kPaper] - solved->x[kInk] < kLeastContrast || moved > reach + 1.5) return std::nullopt;
  return two_points(frame, *solved);
}

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kProbeSpacingPx = 1.0;  // along the rim
constexpr int kFewestProbes = 48;
constexpr double kTail = 6.0;  // degrees of freedom of the t distribution of a line's misfit
constexpr std::size_t kSectors = 24;
constexpr double kChamferLevelSd = 0.15;  // of the contrast, about its sector's level
constexpr double kSectorLevelSd = 0.3;    // of the contrast, about its neighbours
constexpr double kFirstNoise = 0.05;      // of the contrast
constexpr double kFirstLevelSd = 1.0;     // of the contrast, about half way
constexpr std::size_t kStartLines = 96;
constexpr double kOvalSd = 0.04;  // of the radius
constexpr double kBlurSd = 0.4;   // of ln(blur)
constexpr double kDepthSd = 0.2, kDepthSdMm = 0.05;
constexpr double kSureZ = 8.0;  // beyond that more says nothing more
constexpr double kFixedSd = 1e-5;
constexpr double kLargestStepPx = 1.0;
constexpr double kSettledPx = 3e-3;
constexpr double kLeastWidthMm = 0.01;
constexpr double kClearNoises = 4.0;
constexpr std::size_t kKinds = 3;

struct State {
  Mouth mouth;
  double ln_blur = 0.0;
  std::array<double, kSectors> chamfer{};  // light of the chamfer
  double noise = 0.0, contrast = 0.0;      // as last seen
};

/// Everything one pass over the rim finds.
struct Pass {
  std::vector<RimLine> lines;
  std::vector<LineFit> fits;
  std::vector<double> weights;         // of each line, 1 / variance
  std::array<double, kKinds> noise{};  // by kind of line
  double contrast = 0.0;
  FitMatrix normal = FitMatrix::Zero();  // the sectors' chamfer levels eliminated
  FitVector gradient = FitVector::Zero();
  /// Each sector's share before elimination: what its chamfer level has to do with the unknowns.
  struct Sector {
    FitVector cross = FitVector::Zero();
    double weight = 0.0, pull = 0.0;
    FitVector gradient = FitVector::Zero();
  };
  std::array<Sector, kSectors> sectors{};
};

std::size_t sector_of(double angle) {
  const double turn = angle / (2.0 * std::numbers::pi);
  return static_cast<std::size_t>((turn - std::floor(turn)) * kSectors) % kSectors;
}

/// Each kind of line has its own noise; a line worse than its kind counts less (Student's t).
void weigh(Pass& pass) {
  std::array<std::vector<double>, kKinds> variances;
  std::vector<double> steps;
  for (std::size_t k = 0; k < pass.lines.size(); ++k) {
    const LineFit& fit = pass.fits[k];
    variances[static_cast<std::size_t>(pass.lines[k].kind)].push_back(
        fit.misfit.squaredNorm() / static_cast<double>(std::max<Eigen::Index>(fit.misfit.size() - 3, 1)));
    if (pass.lines[k].kind != LineKind::kRim)
      steps.push_back(std::abs(fit.levels[pass.lines[k].steps] - fit.levels[0]));
  }
  for (std::size_t kind = 0; kind < kKinds; ++kind)
    pass.noise[kind] = std::sqrt(std::max(middle_of(variances[kind]), 1e-12));
  pass.contrast = middle_of(steps);
  for (std::size_t k = 0; k < pass.lines.size(); ++k) {
    const double noise = pass.noise[static_cast<std::size_t>(pass.lines[k].kind)];
    pass.weights.push_back((kTail + static_cast<double>(pass.fits[k].misfit.size())) /
                           (kTail * noise * noise + pass.fits[k].misfit.squaredNorm()));
  }
}

/// The priors as observations: normal matrix and gradient.
void add_priors(const State& state, const RimFitOptions& options, FitMatrix& normal, FitVector& gradient) {
  const auto add = [&](const FitVector& slope, double misfit, double sd) {
    normal += slope * slope.transpose() / (sd * sd);
    gradient += slope * misfit / (sd * sd);
  };
  const double oval_sd = kOvalSd * state.mouth.radius_mm;
  add(FitVector::Unit(kOvalC), -state.mouth.oval_c_mm, oval_sd);
  add(FitVector::Unit(kOvalS), -state.mouth.oval_s_mm, oval_sd);
  add(FitVector::Unit(kLnBlur), std::log(options.start_blur_px) - state.ln_blur, kBlurSd);
  if (options.chamfer && !options.flat) {
    FitVector slope = FitVector::Unit(kDepth);
    slope[kWidth] = -options.depth_per_width;
    add(slope, options.depth_per_width * state.mouth.width_mm - state.mouth.depth_mm,
        kDepthSdMm + kDepthSd * options.depth_per_width * state.mouth.width_mm);
  } else {
    if (!options.chamfer) add(FitVector::Unit(kWidth), 0.0, kFixedSd);
    add(FitVector::Unit(kDepth), -state.mouth.depth_mm, kFixedSd);
  }
}

/// The chamfer's level of a sector is an unknown like the others, loosely tied to its neighbours' mean.
void eliminate_levels(const State& state, Pass& pass) {
  const double sd = kSectorLevelSd * std::max(pass.contrast, 1e-6);
  for (std::size_t k = 0; k < kSectors; ++k) {
    Pass::Sector& sector = pass.sectors[k];
    const double neighbours =
        0.5 * (state.chamfer[(k + 1) % kSectors] + state.chamfer[(k + kSectors - 1) % kSectors]);
    sector.weight += 1.0 / (sd * sd);
    sector.pull += (neighbours - state.chamfer[k]) / (sd * sd);
    pass.normal -= sector.cross * sector.cross.transpose() / sector.weight;
    sector.gradient -= sector.cross * sector.pull / sector.weight;
    pass.gradient += sector.gradient;
  }
}

/// The first guess of the chamfer's light: what lines show of it by themselves, held loosely half way from
/// the bore to the face. A wrong guess leads the fit astray where the chamfer is narrow.
State start_state(const Picture& picture, const View& view, const Mouth& start,
                  const RimFitOptions& options) {
  State state{start, std::log(options.start_blur_px)};
  if (!options.chamfer) state.mouth.width_mm = 0.0;
  if (!options.chamfer || options.flat) state.mouth.depth_mm = 0.0;
  std::vector<double> steps;
  std::array<std::vector<double>, kSectors> levels;
  for (std::size_t k = 0; k < kStartLines; ++k) {
    const double angle = 2.0 * std::numbers::pi * (static_cast<double>(k) + 0.5) / kStartLines;
    for (const RimLine& line :
         take_lines(picture, view, state.mouth, options.chamfer, options.start_blur_px, {}, angle)) {
      const double inside = line.light[0], outside = line.light[line.light.size() - 1];
      const double step = std::abs(outside - inside);
      const LineFit fit = solve_line(line, options.start_blur_px,
                                     {0.5 * (inside + outside), kFirstLevelSd * step, kFirstNoise * step});
      levels[sector_of(angle)].push_back(line.kind == LineKind::kRim ? fit.levels[0] : fit.levels[1]);
      steps.push_back(step);
    }
  }
  for (std::size_t k = 0; k < kSectors; ++k) state.chamfer[k] = middle_of(levels[k]);
  state.contrast = std::max(middle_of(steps), 1e-4);
  state.noise = kFirstNoise * state.contrast;
  return state;
}

std::optional<Pass> run_pass(const Picture& picture, const View& view, const State& state,
                             const RimFitOptions& options) {
  Pass pass;
  const double girth_px =
      2.0 * std::numbers::pi * state.mouth.radius_mm * pixels_per_mm(view, state.mouth.centre_mm);
  const int count =
      std::clamp(static_cast<int>(girth_px / kProbeSpacingPx), kFewestProbes, options.most_lines);
  const double blur = std::exp(state.ln_blur);
  for (int k = 0; k < count; ++k)
    for (RimLine& line : take_lines(picture, view, state.mouth, options.chamfer, blur, {},
                                    2.0 * std::numbers::pi * (k + 0.5) / count))
      pass.lines.push_back(std::move(line));
  if (static_cast<int>(pass.lines.size()) < count / 2) return std::nullopt;
  for (const RimLine& line : pass.lines)
    pass.fits.push_back(solve_line(
        line, blur, {state.chamfer[sector_of(line.angle)], kChamferLevelSd * state.contrast, state.noise}));
  weigh(pass);
  for (std::size_t k = 0; k < pass.fits.size(); ++k) {
    const LineFit& fit = pass.fits[k];
    Pass::Sector& sector = pass.sectors[sector_of(pass.lines[k].angle)];
    pass.normal += pass.weights[k] * fit.slope.transpose() * fit.slope;
    sector.gradient += pass.weights[k] * fit.slope.transpose() * fit.misfit;
    sector.cross += pass.weights[k] * fit.slope.transpose() * fit.slope_by_expected;
    sector.weight += pass.weights[k] * fit.slope_by_expected.squaredNorm();
    sector.pull += pass.weights[k] * fit.slope_by_expected.dot(fit.misfit);
  }
  eliminate_levels(state, pass);
  return pass;
}

/// What the noise does to the unknowns: noise along the rim is correlated (texture, rust), so the scatter of
/// whole sectors' pulls stands for it ("sandwich", Huber 1967), shared evenly with its mean over the unknowns
/// because 24 sectors alone scatter too much.
FitMatrix covariance_of(const Pass& pass, const FitMatrix& normal) {
  const FitMatrix inverse = normal.inverse();
  FitMatrix scatter = FitMatrix::Zero();
  for (const Pass::Sector& sector : pass.sectors) scatter += sector.gradient * sector.gradient.transpose();
  scatter *= static_cast<double>(kSectors) / static_cast<double>(kSectors - kFitUnknowns);
  const double inflation = (inverse * scatter).trace() / (inverse * pass.normal).trace();
  const FitMatrix meat = 0.5 * (scatter + inflation * pass.normal) + (normal - pass.normal);
  return inverse * meat * inverse;
}

void describe(const Pass& pass, RimFit& fit) {
  std::vector<double> inside, ring, outside, shifts, rim_shifts;
  double clear = 0.0;
  for (std::size_t k = 0; k < pass.lines.size(); ++k) {
    const RimLine& line = pass.lines[k];
    const Eigen::Vector3d& levels = pass.fits[k].levels;
    if (line.kind != LineKind::kBore) outside.push_back(levels[line.steps]);
    if (line.kind == LineKind::kBore) ring.push_back(levels[1]);
    if (line.steps == 2) ring.push_back(levels[1]);
    if (line.kind != LineKind::kBore) rim_shifts.push_back(pass.fits[k].shift_px);
    if (line.kind == LineKind::kRim) continue;
    inside.push_back(levels[0]);
    shifts.push_back(pass.fits[k].shift_px);
    const double step = std::max(std::abs(levels[1] - levels[0]), std::abs(levels[line.steps] - levels[0]));
    clear += step > kClearNoises * pass.noise[static_cast<std::size_t>(line.kind)] &&
             std::abs(shifts.back()) < 1.0;
  }
  fit.inside = middle_of(inside);
  fit.ring = middle_of(ring);
  fit.outside = middle_of(outside);
  fit.torn_px = robust_sd(shifts);
  fit.rim_torn_px = robust_sd(rim_shifts);
  fit.clear_share = clear / static_cast<double>(std::max<std::size_t>(inside.size(), 1));
  fit.noise = std::max({pass.noise[0], pass.noise[1], pass.noise[2]});
}

}  // namespace

std::optional<RimFit> fit_rim(const Picture& picture, const View& view, const Mouth& start,
                              const RimFitOptions& options) {
  State state = start_state(picture, view, start, options);
  const double scale = pixels_per_mm(view, start.centre_mm);
  if (!(scale > 0.0)) return std::nullopt;
  RimFit fit;
  std::optional<Pass> pass = run_pass(picture, view, state, options);
  for (int step = 0; step < options.most_steps && pass && !fit.settled; ++step) {
    FitMatrix normal = pass->normal;
    FitVector gradient = pass->gradient;
    add_priors(state, options, normal, gradient);
    FitVector change = normal.ldlt().solve(gradient);
    if (!change.allFinite()) return std::nullopt;
    const double size_px = scale * change.head<kMouthUnknowns>().cwiseAbs().maxCoeff();
    change *= std::min(1.0, kLargestStepPx / std::max(size_px, 1e-12));
    state.mouth = state.mouth.plus(change.head<kMouthUnknowns>());
    state.ln_blur =
        std::clamp(state.ln_blur + std::clamp(change[kLnBlur], -0.3, 0.3), std::log(0.3), std::log(8.0));
    if (options.chamfer) state.mouth.width_mm = std::max(state.mouth.width_mm, kLeastWidthMm);
    if (state.mouth.radius_mm < 0.5 * start.radius_mm || state.mouth.radius_mm > 1.6 * start.radius_mm)
      return std::nullopt;
    for (std::size_t k = 0; k < kSectors; ++k)
      state.chamfer[k] +=
          (pass->sectors[k].pull - pass->sectors[k].cross.dot(change)) / pass->sectors[k].weight;
    state.contrast = std::max(pass->contrast, 1e-4);
    state.noise = pass->noise[0];
    pass = run_pass(picture, view, state, options);
    fit.settled = size_px < kSettledPx && step > 2;
  }
  if (!pass) return std::nullopt;
  FitMatrix normal = pass->normal;
  FitVector unused = FitVector::Zero();
  add_priors(state, options, normal, unused);
  fit.mouth = state.mouth;
  fit.blur_px = std::exp(state.ln_blur);
  fit.covariance = covariance_of(*pass, normal);
  describe(*pass, fit);
  return fit;
}

Account account_of(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer, double blur_px,
                   double inner_mm, double outer_mm) {
  constexpr int kLinesPerSector = 3, kLines = kLinesPerSector * kAccountSectors;
  const double scale = pixels_per_mm(view, mouth.centre_mm);
  const LineWindow window{(mouth.radius_mm - inner_mm) * scale, (outer_mm - mouth.radius_mm) * scale, false};
  Account account;
  for (int sector = 0; sector < kAccountSectors; ++sector) {
    double sum = 0.0;
    int count = 0;
    for (int k = 0; k < kLinesPerSector; ++k)
      for (const RimLine& line :
           take_lines(picture, view, mouth, chamfer, blur_px, window,
                      2.0 * std::numbers::pi * (sector * kLinesPerSector + k + 0.5) / kLines)) {
        const LineFit fit = solve_line(line, blur_px, {});
        const double flat = (line.light.array() - line.light.mean()).matrix().squaredNorm();
        sum += std::log((flat + 1e-9) / (fit.misfit.squaredNorm() + 1e-9));
        ++count;
      }
    account[static_cast<std::size_t>(sector)] =
        count > 0 ? sum / count : std::numeric_limits<double>::quiet_NaN();
  }
  return account;
}

double explained(const Account& account) {
  double sum = 0.0;
  int count = 0;
  for (const double value : account)
    if (std::isfinite(value)) {
      sum += value;
      ++count;
    }
  return count > kAccountSectors / 2 ? sum / count : 0.0;
}

double strangeness(const Mouth& mouth) {
  return std::abs(mouth.depth_mm - mouth.width_mm) / (kDepthSdMm + kDepthSd * mouth.width_mm);
}

namespace {

/// Variance of a mean over the sectors. What a far edge or a shadow adds to one sector it adds to the next as
/// well; so the sectors' covariances count, weighted as by Newey and West (1987), as many as their rule of
/// 1994 asks of 24 values. Never less than that of sectors of their own.
double variance_of_mean(const Account& off, double mean, int count) {
  constexpr std::size_t kLags = 2;
  const auto about_mean = [&](std::size_t k) {
    const double value = off[k % kAccountSectors];
    return std::isfinite(value) ? value - mean : 0.0;
  };
  double own = 0.0, shared = 0.0;
  for (std::size_t k = 0; k < off.size(); ++k) {
    own += about_mean(k) * about_mean(k);
    for (std::size_t lag = 1; lag <= kLags; ++lag)
      shared += 2.0 * (1.0 - static_cast<double>(lag) / (kLags + 1.0)) * about_mean(k) * about_mean(k + lag);
  }
  return (own + std::max(shared, 0.0)) / (count * (count - 1.0)) + 1e-12;
}

}  // namespace

double ln_odds(const Account& a, const Mouth& mouth_a, const Account& b, const Mouth& mouth_b) {
  Account off;
  double sum = 0.0;
  int count = 0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    off[k] = a[k] - b[k];
    if (!std::isfinite(off[k])) continue;
    sum += off[k];
    ++count;
  }
  double ln = 0.5 * (std::pow(strangeness(mouth_b), 2) - std::pow(strangeness(mouth_a), 2));
  if (count > 2) {
    const double mean = sum / count;
    const double z = std::clamp(mean / std::sqrt(variance_of_mean(off, mean, count)), -kSureZ, kSureZ);
    ln += std::log(std::erfc(-z / std::numbers::sqrt2) / std::erfc(z / std::numbers::sqrt2));
  }
  return ln;
}

}  // namespace fairhole::photo

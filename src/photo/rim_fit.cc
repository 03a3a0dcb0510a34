// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
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
constexpr double kFarSdMm = 0.1, kFarDepthSd = 0.3;  // a bore's far end: beside the axis; of its depth
constexpr double kFarWallSd = 0.3;                   // of the contrast, before the wall has been seen
constexpr double kSureZ = 8.0;                       // beyond that more says nothing more
constexpr double kFixedSd = 1e-5;
constexpr double kLargestStepPx = 1.0;
constexpr double kLeastWidthMm = 0.01;
constexpr double kClearNoises = 4.0;
constexpr std::size_t kKinds = 3;
constexpr std::size_t kUsualUnknowns = 8;  // of a mouth without a far end, and its blur

constexpr int kAll = kFitUnknowns + kLevels;
using AllMatrix = Eigen::Matrix<double, kAll, kAll>;
using AllVector = Eigen::Matrix<double, kAll, 1>;

struct State {
  Mouth mouth;
  double ln_blur = 0.0;
  std::array<double, kSectors> chamfer{};  // light of the chamfer
  LevelTies ties{};                        // of the other levels
  double noise = 0.0, contrast = 0.0;      // as last seen
  double far_depth_mm = 0.0;               // of the start
};

/// Everything one pass over the rim finds.
struct Pass {
  std::vector<LineFit> fits;
  std::vector<double> weights;         // of each line, 1 / variance
  std::array<double, kKinds> noise{};  // by kind of line
  double contrast = 0.0;
  /// The mouth, the blur and what the levels tied all round are expected to be; the sectors' chamfer levels
  /// eliminated.
  AllMatrix normal = AllMatrix::Zero();
  AllVector gradient = AllVector::Zero();
  /// Each sector's share before elimination: what its chamfer level has to do with the unknowns.
  struct Sector {
    AllVector cross = AllVector::Zero();
    double weight = 0.0, pull = 0.0;
    AllVector gradient = AllVector::Zero();
  };
  std::array<Sector, kSectors> sectors{};
};

std::size_t sector_of(double angle) {
  const double turn = angle / (2.0 * std::numbers::pi);
  return static_cast<std::size_t>((turn - std::floor(turn)) * kSectors) % kSectors;
}

LevelTies ties_at(const State& state, LineKind kind, double angle) {
  LevelTies ties = state.ties;
  if (kind == LineKind::kBoth) {
    const double spread = kChamferLevelSd * state.contrast;
    ties[kChamfer] = {state.chamfer[sector_of(angle)], state.noise * state.noise / (spread * spread)};
  }
  return ties;
}

double step_of(const LineFit& fit) {
  return std::abs(fit.levels[fit.level[static_cast<std::size_t>(fit.steps)]] - fit.levels[fit.level[0]]);
}

/// What of a line's misfit is not taken up by its own levels.
int dof_of(const LineFit& fit, const LevelTies& ties) {
  int dof = fit.samples;
  for (std::size_t k = 0; k <= static_cast<std::size_t>(fit.steps); ++k)
    dof -= ties[fit.level[k]].weight > 0.0 ? 0 : 1;
  return std::max(dof, 1);
}

/// Each kind of line has its own noise; a line worse than its kind counts less (Student's t).
void weigh(const State& state, Pass& pass) {
  std::array<std::vector<double>, kKinds> variances;
  std::vector<double> steps;
  std::vector<int> dofs;
  for (const LineFit& fit : pass.fits) {
    dofs.push_back(dof_of(fit, ties_at(state, fit.kind, fit.angle)));
    variances[static_cast<std::size_t>(fit.kind)].push_back(fit.squares / dofs.back());
    if (fit.kind != LineKind::kRim) steps.push_back(step_of(fit));
  }
  for (std::size_t kind = 0; kind < kKinds; ++kind)
    pass.noise[kind] = std::sqrt(std::max(middle_of(variances[kind]), 1e-12));
  pass.contrast = middle_of(steps);
  for (std::size_t k = 0; k < pass.fits.size(); ++k) {
    const double noise = pass.noise[static_cast<std::size_t>(pass.fits[k].kind)];
    pass.weights.push_back((kTail + dofs[k]) / (kTail * noise * noise + pass.fits[k].squares));
  }
}

/// The priors as observations: normal matrix and gradient.
void add_priors(const State& state, const RimFitOptions& options, AllMatrix& normal, AllVector& gradient) {
  const auto add = [&](const AllVector& slope, double misfit, double sd) {
    normal += slope * slope.transpose() / (sd * sd);
    gradient += slope * misfit / (sd * sd);
  };
  const double oval_sd = kOvalSd * state.mouth.radius_mm;
  add(AllVector::Unit(kOvalC), -state.mouth.oval_c_mm, oval_sd);
  add(AllVector::Unit(kOvalS), -state.mouth.oval_s_mm, oval_sd);
  add(AllVector::Unit(kLnBlur), std::log(options.start_blur_px) - state.ln_blur, kBlurSd);
  const bool far = state.mouth.far_end();
  add(AllVector::Unit(kFarX), -state.mouth.far_mm.x(), far ? kFarSdMm : kFixedSd);
  add(AllVector::Unit(kFarY), -state.mouth.far_mm.y(), far ? kFarSdMm : kFixedSd);
  add(AllVector::Unit(kFarDepth), state.far_depth_mm - state.mouth.far_depth_mm,
      far ? kFarDepthSd * state.far_depth_mm : kFixedSd);
  // Levels that nothing ties have no unknown of their own.
  for (int level = 0; level < kLevels; ++level)
    if (level == kChamfer || state.ties[static_cast<std::size_t>(level)].weight <= 0.0)
      add(AllVector::Unit(kFitUnknowns + level), 0.0, 1.0);
  if (options.chamfer && !options.flat) {
    AllVector slope = AllVector::Unit(kDepth);
    slope[kWidth] = -options.depth_per_width;
    add(slope, options.depth_per_width * state.mouth.width_mm - state.mouth.depth_mm,
        depth_sd_mm(options.depth_per_width * state.mouth.width_mm));
  } else {
    if (!options.chamfer) add(AllVector::Unit(kWidth), 0.0, kFixedSd);
    add(AllVector::Unit(kDepth), -state.mouth.depth_mm, kFixedSd);
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
    pass.normal.noalias() -= sector.cross * sector.cross.transpose() / sector.weight;
    sector.gradient -= sector.cross * (sector.pull / sector.weight);
    pass.gradient += sector.gradient;
  }
}

/// The first guess of the chamfer's light: what lines show of it by themselves, held loosely half way from
/// the bore to the face. A wrong guess leads the fit astray where the chamfer is narrow.
State start_state(const Picture& picture, const View& view, const Mouth& start,
                  const RimFitOptions& options) {
  State state{start, std::log(options.start_blur_px)};
  state.far_depth_mm = start.far_depth_mm;
  if (!options.chamfer) state.mouth.width_mm = 0.0;
  if (!options.chamfer || options.flat) state.mouth.depth_mm = 0.0;
  const double mouth_weight = start.far_end() ? std::pow(kFirstNoise / kFarWallSd, 2) : 0.0;
  std::vector<double> steps, darkest;
  std::array<std::vector<double>, kSectors> levels;
  std::vector<RimLine> lines;
  for (std::size_t k = 0; k < kStartLines; ++k) {
    const double angle = 2.0 * std::numbers::pi * (static_cast<double>(k) + 0.5) / kStartLines;
    take_lines(picture, view, state.mouth, options.chamfer, options.start_blur_px, {}, angle, lines);
    for (const RimLine& line : lines) {
      const double inside = line.light[0], outside = line.light[static_cast<std::size_t>(line.samples - 1)];
      const double step = std::abs(outside - inside);
      darkest.push_back(*std::min_element(line.light.begin(), line.light.begin() + line.samples));
      LevelTies ties{};
      ties[kWall] = {darkest.back(), mouth_weight};
      ties[kChamfer] = {0.5 * (inside + outside),
                        kFirstNoise * kFirstNoise / (kFirstLevelSd * kFirstLevelSd)};
      const LineFit fit = solve_line(line, options.start_blur_px, ties);
      const bool chamfer = std::count(fit.level.begin(), fit.level.begin() + fit.steps + 1, kChamfer) > 0;
      levels[sector_of(angle)].push_back(fit.levels[chamfer ? kChamfer : kFace]);
      steps.push_back(step);
    }
  }
  for (std::size_t k = 0; k < kSectors; ++k) state.chamfer[k] = middle_of(levels[k]);
  state.contrast = std::max(middle_of(steps), 1e-4);
  state.noise = kFirstNoise * state.contrast;
  if (start.far_end()) state.ties[kWall] = {middle_of(darkest), mouth_weight};
  return state;
}

/// A line's equations into those of the unknowns.
void add_line(const LineFit& fit, double weight, Pass& pass) {
  Eigen::Matrix<double, kMostSteps + 1, kFitUnknowns> slope;  // of the steps and the blur
  slope.setZero();
  for (int k = 0; k < fit.steps; ++k)
    slope.row(k).head<kMouthUnknowns>() = fit.place_by_unknown[static_cast<std::size_t>(k)];
  slope(kMostSteps, kLnBlur) = 1.0;
  const Eigen::Matrix<double, kFitUnknowns, kLevels> cross = weight * slope.transpose() * fit.cross;
  pass.normal.topLeftCorner<kFitUnknowns, kFitUnknowns>().noalias() +=
      slope.transpose() * (weight * fit.normal) * slope;
  Pass::Sector& sector = pass.sectors[sector_of(fit.angle)];
  sector.gradient.head<kFitUnknowns>().noalias() += slope.transpose() * (weight * fit.gradient);
  for (int level = 0; level < kLevels; ++level) {
    if (level == kChamfer) continue;
    pass.normal.block<kFitUnknowns, 1>(0, kFitUnknowns + level) += cross.col(level);
    pass.normal.block<1, kFitUnknowns>(kFitUnknowns + level, 0) += cross.col(level).transpose();
    sector.gradient[kFitUnknowns + level] += weight * fit.tie_gradient[level];
    sector.cross[kFitUnknowns + level] += weight * fit.tie_normal(level, kChamfer);
    for (int other = 0; other < kLevels; ++other)
      if (other != kChamfer)
        pass.normal(kFitUnknowns + level, kFitUnknowns + other) += weight * fit.tie_normal(level, other);
  }
  sector.cross.head<kFitUnknowns>() += cross.col(kChamfer);
  sector.weight += weight * fit.tie_normal(kChamfer, kChamfer);
  sector.pull += weight * fit.tie_gradient[kChamfer];
}

std::optional<Pass> run_pass(const Picture& picture, const View& view, const State& state,
                             const RimFitOptions& options) {
  Pass pass;
  const double girth_px =
      2.0 * std::numbers::pi * state.mouth.radius_mm * pixels_per_mm(view, state.mouth.centre_mm);
  const int count =
      std::clamp(static_cast<int>(girth_px / kProbeSpacingPx), kFewestProbes, options.most_lines);
  const double blur = std::exp(state.ln_blur);
  std::vector<RimLine> lines;
  for (int k = 0; k < count; ++k) {
    const double angle = 2.0 * std::numbers::pi * (k + 0.5) / count;
    take_lines(picture, view, state.mouth, options.chamfer, blur, {}, angle, lines);
    for (const RimLine& line : lines)
      pass.fits.push_back(solve_line(line, blur, ties_at(state, line.kind, angle)));
  }
  if (static_cast<int>(pass.fits.size()) < count / 2) return std::nullopt;
  weigh(state, pass);
  for (std::size_t k = 0; k < pass.fits.size(); ++k) add_line(pass.fits[k], pass.weights[k], pass);
  eliminate_levels(state, pass);
  return pass;
}

/// Ties the bore's level and the face's all round as closely as the lines agree on them: on a clean face this
/// doubles what a short line tells of its step, on a rusty one it asks nothing. Each level is expected to
/// scatter as the lines show (an expectation-maximisation step, Dempster, Laird and Rubin 1977), judged by
/// the worst tenth, so that a light crescent in a dark bore is not held to be dark.
void tie_levels(const Pass& pass, State& state) {
  constexpr double kWorstShare = 0.9, kWorstSd = 1.645;
  constexpr double kLeastSpread = 0.1;  // of the noise: closer adds nothing
  for (const Level level : {kGround, kWall, kFace}) {
    std::vector<double> values, variances;
    for (const LineFit& fit : pass.fits) {
      if (std::ranges::count(fit.level.begin(), fit.level.begin() + fit.steps + 1, level) == 0) continue;
      const double noise = pass.noise[static_cast<std::size_t>(fit.kind)];
      values.push_back(fit.levels[level]);
      variances.push_back(fit.level_variances[level] * noise * noise);
    }
    if (values.size() < kSectors) continue;
    const double middle = middle_of(values);
    std::vector<double> away;
    for (const double value : values) away.push_back(std::abs(value - middle));
    const auto worst =
        away.begin() + static_cast<std::ptrdiff_t>(kWorstShare * static_cast<double>(away.size() - 1));
    std::ranges::nth_element(away, worst);
    const double spread2 = std::pow(*worst / kWorstSd, 2) + middle_of(variances);
    LevelTie& tie = state.ties[level];
    if (tie.weight <= 0.0) tie.expected = middle;
    tie.weight = state.noise * state.noise / std::max(spread2, std::pow(kLeastSpread * state.noise, 2));
  }
}

/// What the noise does to the unknowns: noise along the rim is correlated (texture, rust), so the scatter of
/// whole sectors' pulls stands for it ("sandwich", Huber 1967), shared evenly with its mean over the unknowns
/// because 24 sectors alone scatter too much.
FitMatrix covariance_of(const Pass& pass, const AllMatrix& normal) {
  const AllMatrix inverse = normal.inverse();
  AllMatrix scatter = AllMatrix::Zero();
  for (const Pass::Sector& sector : pass.sectors) scatter += sector.gradient * sector.gradient.transpose();
  scatter *= static_cast<double>(kSectors) / static_cast<double>(kSectors - kUsualUnknowns);
  const double inflation = (inverse * scatter).trace() / (inverse * pass.normal).trace();
  const AllMatrix meat = 0.5 * (scatter + inflation * pass.normal) + (normal - pass.normal);
  return (inverse * meat * inverse).topLeftCorner<kFitUnknowns, kFitUnknowns>();
}

void describe(const Pass& pass, RimFit& fit) {
  std::vector<double> inside, ring, outside, shifts, rim_shifts;
  double clear = 0.0;
  for (const LineFit& line : pass.fits) {
    const auto last = static_cast<std::size_t>(line.steps);
    if (line.kind != LineKind::kBore) {
      outside.push_back(line.levels[line.level[last]]);
      rim_shifts.push_back(line.shift_px);
    }
    if (line.kind == LineKind::kBore || line.steps == 2) ring.push_back(line.levels[line.level[1]]);
    if (line.kind == LineKind::kRim) continue;
    inside.push_back(line.levels[line.level[0]]);
    shifts.push_back(line.shift_px);
    const double first_step = std::abs(line.levels[line.level[1]] - line.levels[line.level[0]]);
    clear += std::max(first_step, step_of(line)) >
                 kClearNoises * pass.noise[static_cast<std::size_t>(line.kind)] &&
             std::abs(line.shift_px) < 1.0;
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

double depth_sd_mm(double usual_mm) { return kDepthSdMm + kDepthSd * usual_mm; }

std::optional<RimFit> fit_rim(const Picture& picture, const View& view, const Mouth& start,
                              const RimFitOptions& options) {
  State state = start_state(picture, view, start, options);
  const double scale = pixels_per_mm(view, start.centre_mm);
  if (!(scale > 0.0)) return std::nullopt;
  RimFit fit;
  std::optional<Pass> pass = run_pass(picture, view, state, options);
  for (int step = 0; step < options.most_steps && pass && !fit.settled; ++step) {
    AllMatrix normal = pass->normal;
    AllVector gradient = pass->gradient;
    add_priors(state, options, normal, gradient);
    AllVector change = normal.ldlt().solve(gradient);
    if (!change.allFinite()) return std::nullopt;
    const double size_px = scale * change.head<kMouthUnknowns>().cwiseAbs().maxCoeff();
    change *= std::min(1.0, kLargestStepPx / std::max(size_px, 1e-12));
    state.mouth = state.mouth.plus(change.head<kMouthUnknowns>());
    state.ln_blur =
        std::clamp(state.ln_blur + std::clamp(change[kLnBlur], -0.3, 0.3), std::log(0.3), std::log(8.0));
    if (options.chamfer) state.mouth.width_mm = std::max(state.mouth.width_mm, kLeastWidthMm);
    if (state.mouth.far_end() && state.mouth.far_depth_mm < 2.0 * state.mouth.depth_mm) return std::nullopt;
    if (state.mouth.radius_mm < 0.5 * start.radius_mm || state.mouth.radius_mm > 1.6 * start.radius_mm)
      return std::nullopt;
    for (std::size_t k = 0; k < kSectors; ++k)
      state.chamfer[k] +=
          (pass->sectors[k].pull - pass->sectors[k].cross.dot(change)) / pass->sectors[k].weight;
    for (std::size_t level = 0; level < kLevels; ++level)
      state.ties[level].expected += change[kFitUnknowns + static_cast<int>(level)];
    state.contrast = std::max(pass->contrast, 1e-4);
    state.noise = pass->noise[0];
    tie_levels(*pass, state);
    pass = run_pass(picture, view, state, options);
    fit.settled = size_px < options.settled_px && step > 2;
  }
  if (!pass) return std::nullopt;
  AllMatrix normal = pass->normal;
  AllVector unused = AllVector::Zero();
  add_priors(state, options, normal, unused);
  fit.mouth = state.mouth;
  fit.blur_px = std::exp(state.ln_blur);
  fit.covariance = covariance_of(*pass, normal);
  describe(*pass, fit);
  return fit;
}

}  // namespace fairhole::photo

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_pass.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kProbeSpacingPx = 1.0;  // along the rim
constexpr int kFewestProbes = 48;
constexpr double kTail = 6.0;             // degrees of freedom of the t distribution of a line's misfit
constexpr double kChamferLevelSd = 0.15;  // of the contrast, about its sector's level
constexpr double kSectorLevelSd = 0.3;    // of the contrast, about its neighbours
constexpr double kFirstNoise = 0.05;      // of the contrast
constexpr double kFirstLevelSd = 1.0;     // of the contrast, about half way
constexpr std::size_t kStartLines = 96;
constexpr double kFarWallSd = 0.3;  // of the contrast, before the wall has been seen

std::size_t sector_of(double angle) {
  const double turn = angle / (2.0 * std::numbers::pi);
  return static_cast<std::size_t>((turn - std::floor(turn)) * kRimSectors) % kRimSectors;
}

LevelTies ties_at(const RimState& state, LineKind kind, double angle) {
  LevelTies ties = state.ties;
  if (kind == LineKind::kBoth) {
    const double spread = kChamferLevelSd * state.contrast;
    ties[kChamfer] = {state.chamfer[sector_of(angle)], state.noise * state.noise / (spread * spread)};
  }
  return ties;
}

/// What of a line's misfit is not taken up by its own levels.
int dof_of(const LineFit& fit, const LevelTies& ties) {
  int dof = fit.samples;
  for (std::size_t k = 0; k <= static_cast<std::size_t>(fit.steps); ++k)
    dof -= ties[fit.level[k]].weight > 0.0 ? 0 : 1;
  return std::max(dof, 1);
}

/// Each kind of line has its own noise; a line worse than its kind counts less (Student's t).
void weigh(const RimState& state, RimPass& pass) {
  std::array<std::vector<double>, kLineKinds> variances;
  std::vector<double> steps;
  std::vector<int> dofs;
  for (const LineFit& fit : pass.fits) {
    dofs.push_back(dof_of(fit, ties_at(state, fit.kind, fit.angle)));
    variances[static_cast<std::size_t>(fit.kind)].push_back(fit.squares / dofs.back());
    if (fit.kind != LineKind::kRim) steps.push_back(step_of(fit));
  }
  for (std::size_t kind = 0; kind < kLineKinds; ++kind)
    pass.noise[kind] = std::sqrt(std::max(middle_of(variances[kind]), 1e-12));
  pass.contrast = middle_of(steps);
  for (std::size_t k = 0; k < pass.fits.size(); ++k) {
    const double noise = pass.noise[static_cast<std::size_t>(pass.fits[k].kind)];
    pass.weights.push_back((kTail + dofs[k]) / (kTail * noise * noise + pass.fits[k].squares));
  }
}

/// The chamfer's level of a sector is an unknown like the others, loosely tied to its neighbours' mean.
void eliminate_levels(const RimState& state, RimPass& pass) {
  const double sd = kSectorLevelSd * std::max(pass.contrast, 1e-6);
  for (std::size_t k = 0; k < kRimSectors; ++k) {
    RimPass::Sector& sector = pass.sectors[k];
    const double neighbours =
        0.5 * (state.chamfer[(k + 1) % kRimSectors] + state.chamfer[(k + kRimSectors - 1) % kRimSectors]);
    sector.weight += 1.0 / (sd * sd);
    sector.pull += (neighbours - state.chamfer[k]) / (sd * sd);
    pass.normal.noalias() -= sector.cross * sector.cross.transpose() / sector.weight;
    sector.gradient -= sector.cross * (sector.pull / sector.weight);
    pass.gradient += sector.gradient;
  }
}

/// A line's equations into those of the unknowns.
void add_line(const LineFit& fit, double weight, RimPass& pass) {
  Eigen::Matrix<double, kMostSteps + 1, kFitUnknowns> slope;  // of the steps and the blur
  slope.setZero();
  for (int k = 0; k < fit.steps; ++k)
    slope.row(k).head<kMouthUnknowns>() = fit.place_by_unknown[static_cast<std::size_t>(k)];
  slope(kMostSteps, kLnBlur) = 1.0;
  const Eigen::Matrix<double, kFitUnknowns, kLevels> cross = weight * slope.transpose() * fit.cross;
  pass.normal.topLeftCorner<kFitUnknowns, kFitUnknowns>().noalias() +=
      slope.transpose() * (weight * fit.normal) * slope;
  RimPass::Sector& sector = pass.sectors[sector_of(fit.angle)];
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

}  // namespace

double step_of(const LineFit& fit) {
  return std::abs(fit.levels[fit.level[static_cast<std::size_t>(fit.steps)]] - fit.levels[fit.level[0]]);
}

/// The first guess of the chamfer's light: what lines show of it by themselves, held loosely half way from
/// the bore to the face. A wrong guess leads the fit astray where the chamfer is narrow.
RimState start_state(const Picture& picture, const View& view, const Mouth& start,
                     const RimFitOptions& options) {
  RimState state{start, std::log(options.start_blur_px)};
  state.far_depth_mm = start.far_depth_mm;
  if (!options.chamfer) state.mouth.width_mm = 0.0;
  if (!options.chamfer || options.flat) state.mouth.depth_mm = 0.0;
  const double mouth_weight = start.far_end() ? std::pow(kFirstNoise / kFarWallSd, 2) : 0.0;
  std::vector<double> steps, darkest;
  std::array<std::vector<double>, kRimSectors> levels;
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
  for (std::size_t k = 0; k < kRimSectors; ++k) state.chamfer[k] = middle_of(levels[k]);
  state.contrast = std::max(middle_of(steps), 1e-4);
  state.noise = kFirstNoise * state.contrast;
  if (start.far_end()) state.ties[kWall] = {middle_of(darkest), mouth_weight};
  return state;
}

std::optional<RimPass> run_pass(const Picture& picture, const View& view, const RimState& state,
                                const RimFitOptions& options) {
  RimPass pass;
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
void tie_levels(const RimPass& pass, RimState& state) {
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
    if (values.size() < kRimSectors) continue;
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

}  // namespace fairhole::photo

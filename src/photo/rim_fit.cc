// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "rim_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "rim_pass.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kOvalSd = 0.04;  // of the radius
constexpr double kBlurSd = 0.4;   // of ln(blur)
constexpr double kDepthSd = 0.2, kDepthSdMm = 0.05;
constexpr double kFarSdMm = 0.1, kFarDepthSd = 0.3;  // a bore's far end: beside the axis; of its depth
constexpr double kFixedSd = 1e-5;
constexpr double kLargestStepPx = 1.0;
constexpr double kLeastWidthMm = 0.01;
constexpr double kClearNoises = 4.0;
constexpr std::size_t kUsualUnknowns = 8;  // of a mouth without a far end, and its blur

/// The priors as observations: normal matrix and gradient.
void add_priors(const RimState& state, const RimFitOptions& options, AllMatrix& normal, AllVector& gradient) {
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

/// What the noise does to the unknowns: noise along the rim is correlated (texture, rust), so the scatter of
/// whole sectors' pulls stands for it ("sandwich", Huber 1967), shared evenly with its mean over the unknowns
/// because 24 sectors alone scatter too much.
FitMatrix covariance_of(const RimPass& pass, const AllMatrix& normal) {
  const AllMatrix inverse = normal.inverse();
  AllMatrix scatter = AllMatrix::Zero();
  for (const RimPass::Sector& sector : pass.sectors) scatter += sector.gradient * sector.gradient.transpose();
  scatter *= static_cast<double>(kRimSectors) / static_cast<double>(kRimSectors - kUsualUnknowns);
  const double inflation = (inverse * scatter).trace() / (inverse * pass.normal).trace();
  const AllMatrix meat = 0.5 * (scatter + inflation * pass.normal) + (normal - pass.normal);
  return (inverse * meat * inverse).topLeftCorner<kFitUnknowns, kFitUnknowns>();
}

void describe(const RimPass& pass, RimFit& fit) {
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
  RimState state = start_state(picture, view, start, options);
  const double scale = pixels_per_mm(view, start.centre_mm);
  if (!(scale > 0.0)) return std::nullopt;
  RimFit fit;
  std::optional<RimPass> pass = run_pass(picture, view, state, options);
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
    for (std::size_t k = 0; k < kRimSectors; ++k)
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

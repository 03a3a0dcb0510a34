// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_program.h"

#include <algorithm>
#include <cmath>

#include "seat_system.h"

namespace fairhole::detail {
namespace {

constexpr int kMostSteps = 80;
constexpr double kOfTheWay = 0.98;  // how far towards the boundary a step goes

/// Slack and multiplier of one cone or bound, with this step's scaling.
struct ConeState {
  Eigen::Vector3d s, z, lambda, fault, ds, dz, push;
  ConeScaling scaling;
};
struct BoundState {
  double s = 1.0, z = 1.0, fault = 0.0, ds = 0.0, dz = 0.0, push = 0.0;
};

class Search {
 public:
  Search(const SeatProgram& program, const std::vector<PartVector>& start);
  SeatPoint run(double gap, const SeatWatch& watch);

 private:
  void begin_slacks();
  void find_faults();
  double centring() const;
  void aim(double centring_part, double kept, bool corrected);
  void take(const SeatSystem& system, double kept);
  void refine(const SeatSystem& system, const SeatStep& right);
  double slack_step() const;
  double multiplier_step() const;
  double gap() const;
  double bound_view(const SeatBound& bound, const SeatStep& x) const {
    return bound.sign * x.parts[static_cast<std::size_t>(bound.part)][bound.entry];
  }
  SeatPoint point() const;
  bool step();

  const SeatProgram& program_;
  std::vector<ConeState> cones_;
  std::vector<BoundState> bounds_;
  SeatStep x_, x_fault_, dx_;
  bool has_worst_ = true;
};

Search::Search(const SeatProgram& program, const std::vector<PartVector>& start)
    : program_(program),
      cones_(program.cones.size()),
      bounds_(program.bounds.size()),
      x_(zero_step(program)),
      x_fault_(zero_step(program)),
      dx_(zero_step(program)) {
  x_.parts = start;
  std::vector<double> share(x_.centres.size(), 0.0);
  const SeatStep begin = x_;
  for (const SeatCone& cone : program.cones) {  // each centre amid its discs, near those with little room
    if (cone.stack < 0) continue;
    const auto s = static_cast<std::size_t>(cone.stack);
    const double near = 1.0 / (1.0 + cone.at[0] * cone.at[0]);
    x_.centres[s] += near * (seen_by(cone, begin) + cone.at).tail<2>();
    share[s] += near;
  }
  for (std::size_t s = 0; s < share.size(); ++s) {
    if (share[s] > 0.0) x_.centres[s] /= share[s];
  }
  begin_slacks();
}

// With the worst large enough the point keeps every cone, and even multipliers are dual feasible.
void Search::begin_slacks() {
  double gauged = 0.0;
  double needed = -std::numeric_limits<double>::infinity();
  double widest = 0.1;
  for (const SeatCone& cone : program_.cones) {
    if (cone.gauge <= 0.0) continue;
    gauged += cone.gauge;
    const Eigen::Vector3d v = seen_by(cone, x_) + cone.at;
    widest = std::max(widest, v.tail<2>().norm());
    needed = std::max(needed, (v.tail<2>().norm() - v[0]) / cone.gauge);
  }
  x_.worst = gauged > 0.0 ? needed + widest : 0.0;
  const double even = gauged > 0.0 ? 1.0 / gauged : 1.0;
  has_worst_ = gauged > 0.0;
  const double mu = even * widest;
  for (std::size_t i = 0; i < cones_.size(); ++i) {
    const SeatCone& cone = program_.cones[i];
    ConeState& state = cones_[i];
    state.s = seen_by(cone, x_) + cone.at;
    const double short_of = state.s.tail<2>().norm() * 1.001 + 1e-3 - state.s[0];
    if (short_of > 0.0) state.s[0] += short_of;  // a cone without gauge that does not hold yet
    state.z = Eigen::Vector3d(cone.gauge > 0.0 ? even : mu / state.s[0], 0.0, 0.0);
  }
  for (std::size_t i = 0; i < bounds_.size(); ++i) {
    bounds_[i].s = std::max(1e-3, bound_view(program_.bounds[i], x_) + program_.bounds[i].at);
    bounds_[i].z = mu / bounds_[i].s;
  }
}

double Search::gap() const {
  double sum = 0.0;
  for (const ConeState& c : cones_) sum += c.s.dot(c.z);
  for (const BoundState& b : bounds_) sum += b.s * b.z;
  return sum;
}

void Search::find_faults() {
  x_fault_ = zero_step(program_);
  if (has_worst_) x_fault_.worst = -1.0;
  for (std::size_t p = 0; p < program_.pulls.size(); ++p) {
    const SeatPull& pull = program_.pulls[p];
    x_fault_.parts[p] -= pull.strength.cwiseProduct(x_.parts[p] - pull.to);
  }
  for (std::size_t i = 0; i < cones_.size(); ++i) {
    const SeatCone& cone = program_.cones[i];
    cones_[i].fault = cones_[i].s - (seen_by(cone, x_) + cone.at);
    add_transposed(cone, cones_[i].z, x_fault_);
  }
  for (std::size_t i = 0; i < bounds_.size(); ++i) {
    const SeatBound& bound = program_.bounds[i];
    bounds_[i].fault = bounds_[i].s - (bound_view(bound, x_) + bound.at);
    x_fault_.parts[static_cast<std::size_t>(bound.part)][bound.entry] += bound.sign * bounds_[i].z;
  }
}

/// Where the products of slacks and multipliers are to go: to `centring_part`, as far as the first order, or
/// with the last direction's second order taken off.
void Search::aim(double centring_part, double kept, bool corrected) {
  for (ConeState& c : cones_) {
    Eigen::Vector3d wanted = -cone_product(c.lambda, c.lambda);
    wanted[0] += centring_part;
    if (corrected) wanted -= cone_product(c.scaling.inverse_times(c.ds), c.scaling.times(c.dz));
    c.push = c.scaling.inverse_times(cone_quotient(c.lambda, wanted)) +
             c.scaling.inverse_times(c.scaling.inverse_times(kept * c.fault));
  }
  for (BoundState& b : bounds_) {
    const double wanted = centring_part - b.s * b.z - (corrected ? b.ds * b.dz : 0.0);
    b.push = (wanted + kept * b.z * b.fault) / b.s;
  }
}

void Search::take(const SeatSystem& system, double kept) {
  SeatStep right = zero_step(program_);
  add_scaled(kept, x_fault_, right);
  for (std::size_t i = 0; i < cones_.size(); ++i) add_transposed(program_.cones[i], cones_[i].push, right);
  for (std::size_t i = 0; i < bounds_.size(); ++i) {
    const SeatBound& bound = program_.bounds[i];
    right.parts[static_cast<std::size_t>(bound.part)][bound.entry] += bound.sign * bounds_[i].push;
  }
  dx_ = system.solve(right);
  refine(system, right);
  for (std::size_t i = 0; i < cones_.size(); ++i) {
    ConeState& c = cones_[i];
    const Eigen::Vector3d seen = seen_by(program_.cones[i], dx_);
    c.ds = seen - kept * c.fault;
    c.dz = c.push - c.scaling.inverse_times(c.scaling.inverse_times(seen));
  }
  for (std::size_t i = 0; i < bounds_.size(); ++i) {
    BoundState& b = bounds_[i];
    const double seen = bound_view(program_.bounds[i], dx_);
    b.ds = seen - kept * b.fault;
    b.dz = b.push - b.z / b.s * seen;
  }
}

/// Rounding in the eliminated system grows as the gap closes; what it left undone is done again.
void Search::refine(const SeatSystem& system, const SeatStep& right) {
  constexpr int kRounds = 2;
  for (int round = 0; round < kRounds; ++round) {
    SeatStep left = right;
    for (std::size_t p = 0; p < program_.pulls.size(); ++p)
      left.parts[p] -= program_.pulls[p].strength.cwiseProduct(dx_.parts[p]);
    for (std::size_t i = 0; i < cones_.size(); ++i) {
      const ConeScaling& scaling = cones_[i].scaling;
      const Eigen::Vector3d seen = seen_by(program_.cones[i], dx_);
      add_transposed(program_.cones[i], -scaling.inverse_times(scaling.inverse_times(seen)), left);
    }
    for (std::size_t i = 0; i < bounds_.size(); ++i) {
      const SeatBound& bound = program_.bounds[i];
      left.parts[static_cast<std::size_t>(bound.part)][bound.entry] -=
          bound.sign * bounds_[i].z / bounds_[i].s * bound_view(bound, dx_);
    }
    add_scaled(1.0, system.solve(left), dx_);
  }
}

double Search::slack_step() const {
  double most = std::numeric_limits<double>::infinity();
  for (const ConeState& c : cones_) most = std::min(most, cone_step(c.s, c.ds));
  for (const BoundState& b : bounds_) {
    if (b.ds < 0.0) most = std::min(most, -b.s / b.ds);
  }
  return most;
}

double Search::multiplier_step() const {
  double most = std::numeric_limits<double>::infinity();
  for (const ConeState& c : cones_) most = std::min(most, cone_step(c.z, c.dz));
  for (const BoundState& b : bounds_) {
    if (b.dz < 0.0) most = std::min(most, -b.z / b.dz);
  }
  return most;
}

/// One predictor and corrector; false when it leads nowhere.
bool Search::step() {
  const double terms = static_cast<double>(cones_.size() + bounds_.size());
  std::vector<Eigen::Matrix3d> weights;
  std::vector<double> bound_weights;
  weights.reserve(cones_.size());
  for (ConeState& c : cones_) {
    c.scaling = ConeScaling(c.s, c.z);
    c.lambda = c.scaling.times(c.z);
    weights.push_back(c.scaling.inverse_square());
  }
  for (const BoundState& b : bounds_) bound_weights.push_back(b.z / b.s);
  find_faults();
  const SeatSystem system(program_, weights, bound_weights);
  aim(0.0, 1.0, false);
  take(system, 1.0);
  const double affine = std::min({1.0, slack_step(), multiplier_step()});
  const double centre = std::pow(1.0 - affine, 3);
  aim(centre * gap() / terms, 1.0 - centre, true);
  take(system, 1.0 - centre);
  double along_s = std::min(1.0, kOfTheWay * slack_step());
  double along_z = std::min(1.0, kOfTheWay * multiplier_step());
  if (!program_.pulls.empty()) along_s = along_z = std::min(along_s, along_z);  // a pull binds both to one
  if (!(std::isfinite(dx_.worst) && along_s > 1e-6 && along_z > 1e-6)) return false;
  add_scaled(along_s, dx_, x_);
  for (ConeState& c : cones_) c.s += along_s * c.ds, c.z += along_z * c.dz;
  for (BoundState& b : bounds_) b.s += along_s * b.ds, b.z += along_z * b.dz;
  for (const ConeState& c : cones_) {
    if (!(cone_determinant(c.s) > 0.0 && cone_determinant(c.z) > 0.0)) return false;
  }
  return true;
}

SeatPoint Search::point() const {
  constexpr double kKept = 1e-9;
  SeatPoint out;
  out.parts = x_.parts;
  out.centres = x_.centres;
  out.worst = x_.worst;
  out.gap = gap();
  out.feasible = true;
  for (const ConeState& c : cones_) {
    out.multipliers.push_back(c.z);
    out.feasible = out.feasible && c.fault.norm() < kKept;
  }
  return out;
}

SeatPoint Search::run(double wanted_gap, const SeatWatch& watch) {
  find_faults();
  SeatPoint best = point();
  for (int i = 0; i < kMostSteps; ++i) {
    if (!step()) break;
    find_faults();
    SeatPoint now = point();
    const bool stuck = i > 20 && now.gap > 0.9 * best.gap && now.gap < 1e-6;
    if (stuck) break;
    best = std::move(now);
    if (best.gap < wanted_gap || (watch && watch(best))) break;
  }
  return best;
}

}  // namespace

SeatPoint solve(const SeatProgram& program, const std::vector<PartVector>& start, double gap,
                const SeatWatch& watch) {
  return Search(program, start).run(gap, watch);
}

}  // namespace fairhole::detail

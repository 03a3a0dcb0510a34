// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "seat_system.h"

#include <Eigen/LU>

namespace fairhole::detail {
namespace {

Eigen::Index start_of(int part) { return 4 * static_cast<Eigen::Index>(part); }

}  // namespace

Eigen::Vector3d seen_by(const SeatCone& cone, const SeatStep& step) {
  Eigen::Vector3d out(cone.gauge * step.worst, 0.0, 0.0);
  for (const SeatSlope& part : cone.parts)
    out += part.slope * step.parts[static_cast<std::size_t>(part.part)];
  if (cone.stack >= 0) out.tail<2>() -= step.centres[static_cast<std::size_t>(cone.stack)];
  return out;
}

void add_transposed(const SeatCone& cone, const Eigen::Vector3d& v, SeatStep& step) {
  step.worst += cone.gauge * v[0];
  for (const SeatSlope& part : cone.parts)
    step.parts[static_cast<std::size_t>(part.part)] += part.slope.transpose() * v;
  if (cone.stack >= 0) step.centres[static_cast<std::size_t>(cone.stack)] -= v.tail<2>();
}

SeatStep zero_step(const SeatProgram& program) {
  SeatStep step;
  step.parts.assign(static_cast<std::size_t>(program.parts), PartVector::Zero());
  step.centres.assign(static_cast<std::size_t>(program.stacks), Eigen::Vector2d::Zero());
  return step;
}

void add_scaled(double factor, const SeatStep& step, SeatStep& sum) {
  sum.worst += factor * step.worst;
  for (std::size_t p = 0; p < sum.parts.size(); ++p) sum.parts[p] += factor * step.parts[p];
  for (std::size_t s = 0; s < sum.centres.size(); ++s) sum.centres[s] += factor * step.centres[s];
}

SeatSystem::SeatSystem(const SeatProgram& program, const std::vector<Eigen::Matrix3d>& weights,
                       const std::vector<double>& bound_weights)
    : program_(program), centres_(static_cast<std::size_t>(program.stacks)) {
  const Eigen::Index size = start_of(program.parts) + 1;
  dense_ = Eigen::MatrixXd::Zero(size, size);
  for (std::size_t i = 0; i < program.bounds.size(); ++i) {
    const Eigen::Index at = start_of(program.bounds[i].part) + program.bounds[i].entry;
    dense_(at, at) += bound_weights[i];
  }
  for (std::size_t p = 0; p < program.pulls.size(); ++p) {
    const Eigen::Index at = start_of(static_cast<int>(p));
    dense_.diagonal().segment<4>(at) += program.pulls[p].strength;
  }
  add_cones(weights);
  std::vector<char> touched;
  for (Eigen::Index i = 0; i < size; ++i) touched.push_back(dense_(i, i) > 0.0 ? 1 : 0);
  for (const Centre& centre : centres_) {
    if (centre.used) take_out(centre);
  }
  // Where seats are not unique the system is barely regular; what rounding leaves of it is held up. Entries
  // nobody bounds stay 0.
  for (Eigen::Index i = 0; i < size; ++i) {
    if (touched[static_cast<std::size_t>(i)] == 0) continue;
    dense_(i, i) = dense_(i, i) > 0.0 ? dense_(i, i) * (1.0 + 1e-14) : 1.0;
    used_.push_back(i);
  }
  factor_.compute(Eigen::MatrixXd(dense_(used_, used_)));
}

void SeatSystem::add_cones(const std::vector<Eigen::Matrix3d>& weights) {
  const Eigen::Index worst = dense_.rows() - 1;
  std::vector<Eigen::Matrix2d> own(centres_.size(), Eigen::Matrix2d::Zero());
  for (std::size_t i = 0; i < program_.cones.size(); ++i) {
    const SeatCone& cone = program_.cones[i];
    const Eigen::Matrix3d& weight = weights[i];
    dense_(worst, worst) += cone.gauge * cone.gauge * weight(0, 0);
    for (const SeatSlope& one : cone.parts) {
      const Eigen::Index at = start_of(one.part);
      const ConeSlope weighted = weight * one.slope;
      for (const SeatSlope& other : cone.parts) {
        if (other.part < one.part) continue;  // the lower half
        dense_.block<4, 4>(start_of(other.part), at) += other.slope.transpose() * weighted;
      }
      dense_.block<1, 4>(worst, at) += cone.gauge * weighted.row(0);
      if (cone.stack >= 0)
        couple(centres_[static_cast<std::size_t>(cone.stack)], one.part, -weighted.bottomRows<2>());
    }
    if (cone.stack < 0) continue;
    Centre& centre = centres_[static_cast<std::size_t>(cone.stack)];
    centre.used = true;
    centre.worst -= cone.gauge * weight.block<2, 1>(1, 0);
    own[static_cast<std::size_t>(cone.stack)] += weight.bottomRightCorner<2, 2>();
  }
  for (std::size_t s = 0; s < centres_.size(); ++s) {
    if (centres_[s].used) centres_[s].inverse = own[s].inverse();
  }
}

void SeatSystem::couple(Centre& centre, int part, const Eigen::Matrix<double, 2, 4>& block) {
  for (Coupling& known : centre.parts) {
    if (known.part != part) continue;
    known.block += block;
    return;
  }
  centre.parts.push_back({part, block});
}

void SeatSystem::take_out(const Centre& centre) {
  const Eigen::Index worst = dense_.rows() - 1;
  dense_(worst, worst) -= centre.worst.dot(centre.inverse * centre.worst);
  for (const Coupling& one : centre.parts) {
    const Eigen::Index at = start_of(one.part);
    const Eigen::Matrix<double, 2, 4> solved = centre.inverse * one.block;
    dense_.block<1, 4>(worst, at) -= centre.worst.transpose() * solved;
    for (const Coupling& other : centre.parts) {
      if (other.part < one.part) continue;  // the lower half
      dense_.block<4, 4>(start_of(other.part), at) -= other.block.transpose() * solved;
    }
  }
}

SeatStep SeatSystem::solve(const SeatStep& right) const {
  const Eigen::Index worst = dense_.rows() - 1;
  Eigen::VectorXd reduced(dense_.rows());
  for (std::size_t p = 0; p < right.parts.size(); ++p)
    reduced.segment<4>(start_of(static_cast<int>(p))) = right.parts[p];
  reduced[worst] = right.worst;
  for (std::size_t s = 0; s < centres_.size(); ++s) {
    const Centre& centre = centres_[s];
    if (!centre.used) continue;
    const Eigen::Vector2d solved = centre.inverse * right.centres[s];
    reduced[worst] -= centre.worst.dot(solved);
    for (const Coupling& one : centre.parts)
      reduced.segment<4>(start_of(one.part)) -= one.block.transpose() * solved;
  }
  const Eigen::VectorXd solved_used = factor_.solve(Eigen::VectorXd(reduced(used_)));
  Eigen::VectorXd x = Eigen::VectorXd::Zero(reduced.size());
  x(used_) = solved_used;
  SeatStep step = zero_step(program_);
  step.worst = x[worst];
  for (std::size_t p = 0; p < step.parts.size(); ++p)
    step.parts[p] = x.segment<4>(start_of(static_cast<int>(p)));
  for (std::size_t s = 0; s < centres_.size(); ++s) {
    const Centre& centre = centres_[s];
    if (!centre.used) continue;
    Eigen::Vector2d left = right.centres[s] - centre.worst * step.worst;
    for (const Coupling& one : centre.parts)
      left -= one.block * step.parts[static_cast<std::size_t>(one.part)];
    step.centres[s] = centre.inverse * left;
  }
  return step;
}

}  // namespace fairhole::detail

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
    : program_(program), centres_(static_cast<std::size_t>(program.stacks)), normals_(program.parts) {
  for (std::size_t i = 0; i < program.bounds.size(); ++i) {
    const SeatBound& bound = program.bounds[i];
    normals_.between(bound.part, bound.part)(bound.entry, bound.entry) += bound_weights[i];
  }
  for (std::size_t p = 0; p < program.pulls.size(); ++p) {
    const int part = static_cast<int>(p);
    normals_.between(part, part).diagonal() += program.pulls[p].strength;
  }
  add_cones(weights);
  normals_.note_used();
  for (const Centre& centre : centres_) {
    if (centre.used) take_out(centre);
  }
  normals_.factor();
}

void SeatSystem::add_cones(const std::vector<Eigen::Matrix3d>& weights) {
  std::vector<Eigen::Matrix2d> own(centres_.size(), Eigen::Matrix2d::Zero());
  for (std::size_t i = 0; i < program_.cones.size(); ++i) {
    const SeatCone& cone = program_.cones[i];
    const Eigen::Matrix3d& weight = weights[i];
    normals_.worst() += cone.gauge * cone.gauge * weight(0, 0);
    for (const SeatSlope& one : cone.parts) {
      const ConeSlope weighted = weight * one.slope;
      for (const SeatSlope& other : cone.parts) {
        if (other.part < one.part) continue;  // the lower half
        normals_.between(other.part, one.part) += other.slope.transpose() * weighted;
      }
      normals_.worst_and(one.part) += cone.gauge * weighted.row(0);
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
  normals_.worst() -= centre.worst.dot(centre.inverse * centre.worst);
  for (const Coupling& one : centre.parts) {
    const Eigen::Matrix<double, 2, 4> solved = centre.inverse * one.block;
    normals_.worst_and(one.part) -= centre.worst.transpose() * solved;
    for (const Coupling& other : centre.parts) {
      if (other.part < one.part) continue;  // the lower half
      normals_.between(other.part, one.part) -= other.block.transpose() * solved;
    }
  }
}

SeatStep SeatSystem::solve(const SeatStep& right) const {
  const Eigen::Index worst = start_of(program_.parts);
  Eigen::VectorXd reduced(worst + 1);
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
  const Eigen::VectorXd x = normals_.solve(reduced);
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

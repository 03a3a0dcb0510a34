// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fairing/assemble.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace fairhole {
namespace {

Eigen::MatrixXd in_plate(const JoinedFace& face, Angle tilt_sigma) {
  const auto count = static_cast<Eigen::Index>(face.measured.holes.size());
  const Eigen::Matrix2d turn = face.seated.seat.motion.linear();
  Eigen::MatrixXd cov = face.measured.full_covariance_mm2();
  for (Eigen::Index i = 0; i < count; ++i) {
    cov.middleRows<2>(2 * i) = turn * cov.middleRows<2>(2 * i).eval();
  }
  for (Eigen::Index i = 0; i < count; ++i) {
    cov.middleCols<2>(2 * i) = cov.middleCols<2>(2 * i).eval() * turn.transpose();
  }
  if (face.surface == Surface::kOuter) {
    const double tilt = tilt_sigma.radians() * face.thickness_mm;
    cov.diagonal().array() += tilt * tilt;
  }
  return cov;
}

void add_slips(const JoinedFace& face, Eigen::Index first_row, Assembly& assembly) {
  const Eigen::Matrix2d turn = face.seated.seat.motion.linear();
  for (const HiddenSlip& hidden : face.hidden) {
    AssemblySlip slip{first_row, hidden.per_mm, hidden.sizes};
    for (Eigen::Index k = 0; k < slip.per_mm.size(); k += 2)
      slip.per_mm.segment<2>(k) = turn * slip.per_mm.segment<2>(k).eval();
    assembly.slips.push_back(std::move(slip));
  }
}

double slip_probability(const JoinedFace& face, std::size_t index) {
  double sum = 0.0;
  for (const HiddenSlip& hidden : face.hidden) {
    const double moved = hidden.per_mm.segment<2>(2 * static_cast<Eigen::Index>(index)).norm();
    for (const HiddenSlip::Size& size : hidden.sizes)
      if (moved * std::abs(size.mm) > kSlipHarmsMm) sum += size.probability;
  }
  return sum;
}

double axis_in_plate(const Motion& seat, double axis_rad) {
  const Eigen::Vector2d axis = seat.linear() * Eigen::Vector2d(std::cos(axis_rad), std::sin(axis_rad));
  return std::atan2(axis.y(), axis.x());
}

OldLayer layer_of(const JoinedFace& face) {
  OldLayer layer;
  layer.part = face.seated.part;
  layer.face = face.seated.face;
  layer.joint = face.seated.joint;
  layer.on_marked_face = face.on_marked_face;
  layer.thickness_mm = face.thickness_mm;
  layer.may_be_opened = face.may_be_opened;
  layer.largest_mm = face.largest_mm;
  for (OldLayer::Bound bound : face.bounds) {
    bound.normal = face.seated.seat.motion.linear() * bound.normal;
    bound.offset_mm += bound.normal.dot(face.seated.seat.motion.shift_mm);
    layer.bounds.push_back(std::move(bound));
  }
  return layer;
}

OldLayer measured_layer(const JoinedFace& face, std::size_t index, int first_row) {
  const MeasuredHole& hole = face.measured.holes[index];
  OldLayer layer = layer_of(face);
  layer.hole = hole.id;
  layer.centre_mm = face.seated.seat * hole.centre_mm;
  layer.diameter_mm = hole.diameter_mm;
  layer.diameter_sigma_mm = hole.diameter_sigma_mm;
  layer.ovality_mm = hole.ovality_mm;
  layer.ovality_axis_rad = axis_in_plate(face.seated.seat.motion, hole.ovality_axis_rad);
  layer.form = hole.form;
  layer.fixed = face.fixed.contains(hole.id);
  layer.slip_probability = slip_probability(face, index);
  layer.covariance_index = first_row + static_cast<int>(index);
  return layer;
}

OldLayer unmeasured_layer(const JoinedFace& face, const HoleId& nominal, const Eigen::Vector2d& nominal_mm) {
  OldLayer layer = layer_of(face);
  layer.hole = nominal;
  layer.centre_mm = nominal_mm;
  layer.measured = face.absent.contains(nominal);
  layer.form = layer.measured ? HoleForm::kPlugged : HoleForm::kThrough;
  return layer;
}

std::size_t index_of(const MeasuredFace& face, const HoleId& id) {
  return static_cast<std::size_t>(std::find_if(face.holes.begin(), face.holes.end(),
                                               [&id](const MeasuredHole& h) { return h.id == id; }) -
                                  face.holes.begin());
}

}  // namespace

Result<Assembly> assemble(std::vector<PlateShape> plates, std::vector<Stack> stacks,
                          const std::vector<JoinedFace>& faces, const AssembleOptions& options) {
  Assembly assembly;
  assembly.plates = std::move(plates);
  assembly.stacks = std::move(stacks);
  Eigen::Index rows = 0;
  for (const JoinedFace& face : faces) rows += 2 * static_cast<Eigen::Index>(face.measured.holes.size());
  assembly.covariance_mm2 = Eigen::MatrixXd::Zero(rows, rows);

  Problems problems;
  int first = 0;
  for (const JoinedFace& face : faces) {
    assembly.seats.push_back(face.seated);
    const Eigen::MatrixXd cov = in_plate(face, options.tilt_sigma);
    const Eigen::Index row = 2 * Eigen::Index{first};
    assembly.covariance_mm2.block(row, row, cov.rows(), cov.cols()) = cov;
    add_slips(face, row, assembly);
    for (const auto& [nominal, stack_id] : face.stack_of) {
      const auto stack = std::find_if(
          assembly.stacks.begin(), assembly.stacks.end(),
          [&face, &id = stack_id](const Stack& s) { return s.id == id && s.plate == face.seated.plate; });
      if (stack == assembly.stacks.end()) {
        problems.push_back({codes::kAssembleNoStack, face.seated.joint,
                            fmt::format("hole {} belongs to stack {}, which is not there", nominal, stack_id),
                            "name one of the plate's stacks"});
        continue;
      }
      const auto match = std::find_if(face.registration.matches.begin(), face.registration.matches.end(),
                                      [&id = nominal](const Match& m) { return m.nominal == id; });
      stack->layers.push_back(match == face.registration.matches.end()
                                  ? unmeasured_layer(face, nominal, stack->nominal_mm)
                                  : measured_layer(face, index_of(face.measured, match->measured), first));
    }
    first += static_cast<int>(face.measured.holes.size());
  }
  if (!problems.empty()) return problems;
  return assembly;
}

}  // namespace fairhole

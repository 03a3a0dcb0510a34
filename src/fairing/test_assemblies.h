// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/core.h>

#include <algorithm>
#include <random>
#include <string>

#include "test_stacks.h"

/// Small whole jobs for the tests: a plate of 900 x 400 mm clasped between two angles.
namespace fairhole::test {

struct JobShape {
  int stacks = 4;
  double scatter_mm = 1.0;        ///< of old holes about the drawing
  double survey_sigma_mm = 0.15;  ///< independent part of each coordinate
  double common_sigma_mm = 0.1;   ///< shared by all coordinates of one face along x, and along y
  bool awkward_forms = false;
};

class JobMaker {
 public:
  JobMaker(unsigned seed, JobShape shape) : random_(seed), shape_(shape) {}

  Assembly make() {
    Assembly assembly;
    const double height = std::max(400.0, 200.0 + 100.0 * (shape_.stacks / 8));
    assembly.plates.push_back(
        {"left", {{0.0, 0.0}, {900.0, 0.0}, {900.0, height}, {0.0, height}}, {}, 12.0, true});
    for (const char* part : {"near", "far"}) {
      SeatedFace seat;
      seat.part = part, seat.face = "leg", seat.joint = std::string(part) + "-joint", seat.plate = "left";
      assembly.seats.push_back(seat);
    }
    int rows = 0;
    for (int i = 0; i < shape_.stacks; ++i) assembly.stacks.push_back(stack(i, rows));
    assembly.covariance_mm2 = covariance(assembly, rows);
    return assembly;
  }

  double normal() { return normal_(random_); }
  bool chance(double p) { return std::bernoulli_distribution(p)(random_); }
  int one_of(int count) { return std::uniform_int_distribution<int>(0, count - 1)(random_); }

 private:
  Stack stack(int index, int& rows) {
    Stack made = stack_of(one_of(3) == 0 ? rivet() : fitted_bolt(), {});
    made.id = fmt::format("S{}", index + 1);
    made.nominal_mm = {100.0 + 90.0 * (index % 8), 100.0 + 100.0 * (index / 8)};
    const int which = one_of(5);  // one part or the other, more often both
    if (which != 0) made.layers.push_back(layer("near", made, rows));
    if (which != 1) made.layers.push_back(layer("far", made, rows));
    return made;
  }

  OldLayer layer(const std::string& part, const Stack& stack, int& rows) {
    const double clearance = is_fitted(stack.fastener.kind) ? 0.0 : stack.fastener.clearance_mm;
    OldLayer made = old_hole(part, stack.nominal_mm.x() + shape_.scatter_mm * normal(),
                             stack.nominal_mm.y() + shape_.scatter_mm * normal(),
                             stack.fastener.diameter_mm + clearance + 0.2 * std::abs(normal()));
    made.hole = stack.id;
    made.diameter_sigma_mm = 0.05;
    if (chance(0.3)) {
      made.ovality_mm = std::abs(normal());
      made.ovality_axis_rad = normal();
    }
    if (shape_.awkward_forms) make_awkward(made);
    made.covariance_index = rows++;
    return made;
  }

  void make_awkward(OldLayer& made) {
    if (chance(0.3)) made.form = static_cast<HoleForm>(one_of(10));
    if (made.form == HoleForm::kSlotted) made.ovality_mm = 8.0;
    if (chance(0.1)) made.largest_mm = 24.0;
    if (chance(0.05)) made.may_be_opened = false;
    if (chance(0.05)) made.fixed = true;
    if (chance(0.3)) {
      const double room = 27.0 + 4.0 * normal();
      made.bounds.push_back(
          {Eigen::Vector2d::UnitY(), made.centre_mm.y() - room, chance(0.5), "heel fillet"});
    }
  }

  Eigen::MatrixXd covariance(const Assembly& assembly, int rows) const {
    Eigen::MatrixXd cov = Eigen::MatrixXd::Zero(2 * rows, 2 * rows);
    const double own = shape_.survey_sigma_mm * shape_.survey_sigma_mm;
    const double common = shape_.common_sigma_mm * shape_.common_sigma_mm;
    std::vector<const OldLayer*> layers;
    for (const Stack& entry : assembly.stacks) {
      for (const OldLayer& old : entry.layers) layers.push_back(&old);
    }
    for (const OldLayer* a : layers) {
      for (const OldLayer* b : layers) {
        if (a->part != b->part) continue;
        const double value = common + (a == b ? own : 0.0);
        cov.block<2, 2>(2 * a->covariance_index, 2 * b->covariance_index) =
            value * Eigen::Matrix2d::Identity();
      }
    }
    return cov;
  }

  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  JobShape shape_;
};

/// Everything carried to another place on the bench: the same job seen from another datum.
inline Assembly moved(Assembly assembly, const Motion& motion) {
  for (PlateShape& plate : assembly.plates) {
    for (Eigen::Vector2d& p : plate.outline_mm) p = motion * p;
  }
  for (Stack& stack : assembly.stacks) {
    stack.nominal_mm = motion * stack.nominal_mm;
    for (OldLayer& layer : stack.layers) {
      layer.centre_mm = motion * layer.centre_mm;
      layer.ovality_axis_rad += motion.turn.radians();
      for (OldLayer::Bound& bound : layer.bounds) {
        bound.normal = motion.linear() * bound.normal;
        bound.offset_mm += bound.normal.dot(motion.shift_mm);
      }
    }
  }
  for (Eigen::Index i = 0; i < assembly.covariance_mm2.rows(); i += 2) {
    assembly.covariance_mm2.middleRows<2>(i) =
        (motion.linear() * assembly.covariance_mm2.middleRows<2>(i)).eval();
  }
  for (Eigen::Index i = 0; i < assembly.covariance_mm2.cols(); i += 2) {
    assembly.covariance_mm2.middleCols<2>(i) =
        (assembly.covariance_mm2.middleCols<2>(i) * motion.linear().transpose()).eval();
  }
  return assembly;
}

}  // namespace fairhole::test

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "fairhole/fairing/odds.h"

namespace fairhole {
namespace {

struct Candidate {
  const Stack* stack;
  Eigen::Vector2d centre_mm;
};

std::vector<Candidate> holes_of(const Assembly& assembly, const std::string& joint,
                                const std::vector<bool>* fit) {
  std::vector<Candidate> found;
  for (std::size_t i = 0; i < assembly.stacks.size(); ++i) {
    if (fit != nullptr && !(*fit)[i]) continue;
    for (const OldLayer& layer : assembly.stacks[i].layers) {
      if (layer.joint == joint && layer.measured && layer.form != HoleForm::kPlugged) {
        found.push_back({&assembly.stacks[i], layer.centre_mm});
        break;
      }
    }
  }
  // Of pairs equally far apart the first by id is taken, in whatever order the job lists its holes.
  std::sort(found.begin(), found.end(),
            [](const Candidate& a, const Candidate& b) { return a.stack->id < b.stack->id; });
  return found;
}

LocatingPair farthest(const std::string& joint, const std::vector<Candidate>& holes) {
  constexpr double kTieMm = 1e-6;  // a row's two diagonals are equal but for rounding
  LocatingPair best{joint, {}, {}, Eigen::Vector2d::Zero(), Eigen::Vector2d::Zero()};
  if (holes.size() == 1) {
    best.stack_a = holes[0].stack->id;
    best.a_mm = best.b_mm = holes[0].centre_mm;
  }
  double longest = 0.0;
  for (std::size_t i = 0; i < holes.size(); ++i) {
    for (std::size_t j = i + 1; j < holes.size(); ++j) {
      const double distance = (holes[i].centre_mm - holes[j].centre_mm).norm();
      if (distance <= longest + kTieMm) continue;
      longest = distance;
      best = {joint, holes[i].stack->id, holes[j].stack->id, holes[i].centre_mm, holes[j].centre_mm};
    }
  }
  return best;
}

/// For each old hole the chance that some slip moves it at all, parts hung on their locating holes.
Eigen::VectorXd chance_of_slips(const Assembly& assembly, const Eigen::SparseMatrix<double>& hung) {
  constexpr double kStillMm = 1e-6;
  Eigen::VectorXd chance = Eigen::VectorXd::Zero(hung.rows() / 2);
  for (const AssemblySlip& slip : assembly.slips) {
    const double probability = HiddenSlip::total(slip.sizes);
    const Eigen::VectorXd moves = moves_of(slip, hung);
    for (Eigen::Index hole = 0; hole < chance.size(); ++hole)
      if (moves.segment<2>(2 * hole).norm() > kStillMm) chance[hole] += probability;
  }
  return chance;
}

}  // namespace

Eigen::Matrix2d setting_covariance(const LocatingPair& pair, const Eigen::Vector2d& point_mm,
                                   double sigma_mm) {
  if (pair.stack_a.empty()) return Eigen::Matrix2d::Zero();
  const double variance = sigma_mm * sigma_mm;
  if (pair.stack_b.empty()) return variance * Eigen::Matrix2d::Identity();
  const Eigen::Vector2d arm = point_mm - (pair.a_mm + pair.b_mm) / 2.0;
  const Eigen::Vector2d across(-arm.y(), arm.x());
  const double turn_variance = 2.0 * variance / (pair.b_mm - pair.a_mm).squaredNorm();
  return variance / 2.0 * Eigen::Matrix2d::Identity() + turn_variance * across * across.transpose();
}

std::vector<LocatingPair> choose_locating(const Assembly& assembly, const std::vector<bool>& fit) {
  std::vector<LocatingPair> pairs;
  for (const SeatedFace& seat : assembly.seats) {
    if (seat.joint.empty()) {  // a carrier: what lies on it is set by its holes
      pairs.emplace_back();
      continue;
    }
    std::vector<Candidate> holes = holes_of(assembly, seat.joint, &fit);
    if (holes.size() < 2) holes = holes_of(assembly, seat.joint, nullptr);
    pairs.push_back(farthest(seat.joint, holes));
  }
  return pairs;
}

std::vector<StackCase> stack_cases(const Assembly& assembly, const std::vector<LocatingPair>& locating,
                                   const FairingRules& rules) {
  const Eigen::SparseMatrix<double> hung = hanging(assembly, locating);
  const Eigen::MatrixXd survey = hung * assembly.covariance_mm2 * hung.transpose();
  const Eigen::VectorXd moved = chance_of_slips(assembly, hung);
  std::vector<StackCase> cases;
  for (const Stack& stack : assembly.stacks) {
    StackCase entry;
    entry.stack = &stack;
    for (const PlateShape& plate : assembly.plates) {
      if (plate.name == stack.plate) entry.plate = &plate;
    }
    for (const OldLayer& layer : stack.layers) {
      Eigen::Matrix2d cov = Eigen::Matrix2d::Zero();
      if (layer.covariance_index >= 0) {
        const Eigen::Index row = 2 * Eigen::Index{layer.covariance_index};
        cov = survey.block<2, 2>(row, row);
        entry.slip_probability += moved[layer.covariance_index];
      }
      for (const LocatingPair& pair : locating) {
        if (pair.joint == layer.joint)
          cov += setting_covariance(pair, layer.centre_mm, rules.setting_sigma_mm);
      }
      entry.layer_cov_mm2.push_back(cov);
    }
    cases.push_back(std::move(entry));
  }
  return cases;
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "fairhole/fairing/odds.h"

namespace fairhole {
namespace {

using Entries = std::vector<Eigen::Triplet<double>>;

/// First row of a layer in the covariance, -1 if it has none.
Eigen::Index row_of(const OldLayer& layer) {
  return layer.covariance_index < 0 ? -1 : 2 * Eigen::Index{layer.covariance_index};
}

Entries identity(const Assembly& assembly) {
  Entries entries;
  for (Eigen::Index i = 0; i < assembly.covariance_mm2.rows(); ++i) entries.emplace_back(i, i, 1.0);
  return entries;
}

Eigen::SparseMatrix<double> square(const Assembly& assembly, const Entries& entries) {
  Eigen::SparseMatrix<double> map(assembly.covariance_mm2.rows(), assembly.covariance_mm2.rows());
  map.setFromTriplets(entries.begin(), entries.end());
  return map;
}

/// Each hole on an old carrier relative to the carrier's own: where that stands in the carrier's frame does
/// not matter.
Eigen::SparseMatrix<double> relative_to_carriers(const Assembly& assembly) {
  Entries entries = identity(assembly);
  for (const Stack& stack : assembly.stacks) {
    if (stack.plate_is_new) continue;
    const auto own = std::find_if(stack.layers.begin(), stack.layers.end(),
                                  [](const OldLayer& layer) { return layer.joint.empty(); });
    if (own == stack.layers.end() || row_of(*own) < 0) continue;
    for (const OldLayer& layer : stack.layers) {
      if (row_of(layer) < 0) continue;
      for (int k = 0; k < 2; ++k) entries.emplace_back(row_of(layer) + k, row_of(*own) + k, -1.0);
    }
  }
  return square(assembly, entries);
}

struct JointRows {
  std::vector<const OldLayer*> layers;
  const OldLayer *a = nullptr, *b = nullptr;  // the locating holes, wherever the part now stands
};

JointRows rows_of(const Assembly& assembly, const LocatingPair& pair) {
  JointRows rows;
  for (const Stack& stack : assembly.stacks) {
    for (const OldLayer& layer : stack.layers) {
      if (layer.joint != pair.joint || row_of(layer) < 0) continue;
      rows.layers.push_back(&layer);
      if (stack.id == pair.stack_a) rows.a = &layer;
      if (stack.id == pair.stack_b) rows.b = &layer;
    }
  }
  return rows;
}

void subtract(Entries& entries, Eigen::Index row, Eigen::Index from, const Eigen::Matrix2d& by) {
  for (int i = 0; i < 2; ++i) {
    for (int j = 0; j < 2; ++j) entries.emplace_back(row + i, from + j, -by(i, j));
  }
}

/// The part goes back by the mean error of both holes, and turns back by their difference.
void hang(Entries& entries, const JointRows& rows) {
  const Eigen::Matrix2d one = Eigen::Matrix2d::Identity();
  for (const OldLayer* layer : rows.layers) {
    if (rows.b == nullptr) {
      subtract(entries, row_of(*layer), row_of(*rows.a), one);
      continue;
    }
    const Eigen::Vector2d along = rows.b->centre_mm - rows.a->centre_mm;
    const Eigen::Vector2d across(-along.y(), along.x());
    const Eigen::Vector2d arm = layer->centre_mm - (rows.a->centre_mm + rows.b->centre_mm) / 2.0;
    const Eigen::Matrix2d turn =
        Eigen::Vector2d(-arm.y(), arm.x()) * across.transpose() / along.squaredNorm();
    subtract(entries, row_of(*layer), row_of(*rows.a), one / 2.0 - turn);
    subtract(entries, row_of(*layer), row_of(*rows.b), one / 2.0 + turn);
  }
}

}  // namespace

Eigen::SparseMatrix<double> hanging(const Assembly& assembly, const std::vector<LocatingPair>& locating) {
  Entries entries = identity(assembly);
  for (const LocatingPair& pair : locating) {
    const bool stays =
        std::any_of(assembly.seats.begin(), assembly.seats.end(),
                    [&pair](const SeatedFace& seat) { return seat.joint == pair.joint && seat.stays; });
    const JointRows rows = rows_of(assembly, pair);
    if (!stays && rows.a != nullptr) hang(entries, rows);
  }
  return square(assembly, entries) * relative_to_carriers(assembly);
}

Eigen::VectorXd moves_of(const AssemblySlip& slip, const Eigen::SparseMatrix<double>& hung) {
  return hung.middleCols(slip.first_row, slip.per_mm.size()) * slip.per_mm;
}

}  // namespace fairhole

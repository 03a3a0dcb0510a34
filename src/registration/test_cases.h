// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Cholesky>
#include <numbers>
#include <random>
#include <string>

#include "fairhole/registration/registration.h"

/// Synthetic parts with known truth, shared by the tests and the benchmark of this module.
namespace fairhole::test {

inline Eigen::Vector2d normal_pair(std::mt19937_64& rng) {
  std::normal_distribution<double> normal;
  const double x = normal(rng);
  return {x, normal(rng)};
}

/// Rows of holes as on an angle leg: `count` at 76.2 mm, two gauge lines, second one staggered.
inline Pattern two_rows(int count) {
  Pattern pattern;
  for (int i = 0; i < count; ++i) {
    const bool upper = i % 2 == 1;
    pattern.push_back({"T" + std::to_string(i + 1), {38.1 + 38.1 * i, upper ? 69.85 : 31.75}, 20.6});
  }
  return pattern;
}

/// Holes strewn over a plate, none nearer than 40 mm to another.
inline Pattern strewn(int count, std::mt19937_64& rng) {
  const double side_mm = 100.0 * std::sqrt(static_cast<double>(count));
  std::uniform_real_distribution<double> place(0.0, side_mm);
  Pattern pattern;
  while (static_cast<int>(pattern.size()) < count) {
    const double x_mm = place(rng);
    const Eigen::Vector2d p_mm(x_mm, place(rng));
    bool free = true;
    for (const NominalHole& hole : pattern) free = free && (hole.centre_mm - p_mm).norm() > 40.0;
    if (free) pattern.push_back({"N" + std::to_string(pattern.size() + 1), p_mm, 20.6});
  }
  return pattern;
}

/// Holes measured without any error, M1, M2, ...
inline MeasuredFace exact_face(const std::vector<Eigen::Vector2d>& centres_mm) {
  MeasuredFace face;
  for (const Eigen::Vector2d& p_mm : centres_mm) {
    MeasuredHole hole;
    hole.id = "M" + std::to_string(face.holes.size() + 1);
    hole.centre_mm = p_mm;  // zero covariance
    face.holes.push_back(hole);
  }
  return face;
}

/// A covariance that hangs together as a survey's does: own error, and a common shift.
inline Eigen::MatrixXd survey_covariance(int holes, double own_mm, double common_mm) {
  Eigen::MatrixXd cov = own_mm * own_mm * Eigen::MatrixXd::Identity(2 * holes, 2 * holes);
  for (int i = 0; i < holes; ++i) {
    for (int j = 0; j < holes; ++j)
      cov.block<2, 2>(2 * i, 2 * j) += common_mm * common_mm * Eigen::Matrix2d::Identity();
  }
  return cov;
}

/// The pattern as a part shows it: posed, scattered, measured with errors of `cov`. Hole i is named M(i+1).
inline MeasuredFace measured_part(const Pattern& pattern, const Motion& face_from_pattern, double scatter_mm,
                                  const Eigen::MatrixXd& cov, std::mt19937_64& rng) {
  std::normal_distribution<double> normal;
  Eigen::VectorXd z(cov.rows());
  for (double& v : z) v = normal(rng);
  const Eigen::VectorXd error = Eigen::LLT<Eigen::MatrixXd>(cov).matrixL() * z;
  MeasuredFace face;
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    MeasuredHole hole;
    hole.id = "M" + std::to_string(i + 1);
    const auto row = static_cast<Eigen::Index>(2 * i);
    hole.centre_mm =
        face_from_pattern * pattern[i].centre_mm + scatter_mm * normal_pair(rng) + error.segment<2>(row);
    hole.centre_cov_mm2 = cov.block<2, 2>(row, row);
    hole.diameter_mm = 20.8;
    face.holes.push_back(hole);
  }
  face.covariance_mm2 = cov;
  return face;
}

/// A face without some of its holes, covariance and all.
inline MeasuredFace keep(const MeasuredFace& face, const std::vector<int>& kept) {
  MeasuredFace out;
  out.covariance_mm2.resize(static_cast<Eigen::Index>(2 * kept.size()),
                            static_cast<Eigen::Index>(2 * kept.size()));
  for (std::size_t i = 0; i < kept.size(); ++i) {
    out.holes.push_back(face.holes[static_cast<std::size_t>(kept[i])]);
    for (std::size_t j = 0; j < kept.size(); ++j) {
      out.covariance_mm2.block<2, 2>(static_cast<Eigen::Index>(2 * i), static_cast<Eigen::Index>(2 * j)) =
          face.covariance_mm2.block<2, 2>(2 * kept[i], 2 * kept[j]);
    }
  }
  return out;
}

/// A stated hand and a place that is itself drawn from its sigmas.
inline RegistrationKnown drawn_prior(const Motion& truth, const Eigen::Vector3d& sigma,
                                     const Eigen::Vector2d& about_mm, std::mt19937_64& rng) {
  std::normal_distribution<double> normal;
  PosePrior prior{{truth}, sigma, about_mm};
  prior.pose.motion.turn = truth.turn + Angle::radians(sigma.z() * normal(rng));
  const Eigen::Vector2d off_mm = normal_pair(rng).cwiseProduct(sigma.head<2>());
  prior.pose.motion.shift_mm += truth * about_mm + off_mm - prior.pose.motion * about_mm;
  return {prior, truth.mirrored, {}};
}

/// Hand and place as stated.
inline RegistrationKnown at_place(const Motion& pose, const Eigen::Vector3d& sigma,
                                  const Eigen::Vector2d& about_mm) {
  return {PosePrior{{pose}, sigma, about_mm}, pose.mirrored, {}};
}

}  // namespace fairhole::test

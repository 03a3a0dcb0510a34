// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "tie_adjustment.h"

#include <Eigen/Cholesky>
#include <cmath>

namespace fairhole {
namespace {

constexpr double kSameSigmaMm = 0.01;  // two instruments' idea of one hole's centre
constexpr Eigen::Index kRowsOfTie = 2;
constexpr int kMostTieRounds = 20;
constexpr double kStillMm = 1e-9;

Eigen::Index hole_count(const MeasuredFace& face) { return static_cast<Eigen::Index>(face.holes.size()); }

}  // namespace

TieAdjustment::TieAdjustment(const MeasuredFace& fixed, const LooseFace& loose, const Motion& start,
                             const Eigen::MatrixXd& loose_cov)
    : loose_(loose), nf_(2 * hole_count(fixed)), nl_(2 * hole_count(loose.measured)) {
  const Eigen::Index n = nf_ + nl_ + kPoseUnknowns;
  prior_ = Eigen::VectorXd::Zero(n);
  covariance_ = Eigen::MatrixXd::Zero(n, n);
  put(fixed, 0);
  put(loose.measured, nf_);
  covariance_.topLeftCorner(nf_, nf_) = fixed.full_covariance_mm2();
  covariance_.block(nf_, nf_, nl_, nl_) = loose_cov;
  prior_.tail<3>() << loose.face_from_loose.shift_mm, loose.face_from_loose.turn.radians();
  covariance_.bottomRightCorner<3, 3>().diagonal() << std::pow(loose.shift_sigma_mm, 2),
      std::pow(loose.shift_sigma_mm, 2), std::pow(loose.turn_sigma_rad, 2);
  state_ = prior_;
  const double turn = std::remainder(start.turn.radians() - prior_[n - 1], 2.0 * M_PI);
  state_.tail<3>() << start.shift_mm, prior_[n - 1] + turn;
}

void TieAdjustment::solve(const std::vector<Tie>& ties) {
  rows_ = kRowsOfTie * static_cast<Eigen::Index>(ties.size());
  for (int round = 0; round < kMostTieRounds; ++round) {
    linearise(ties);
    const Eigen::VectorXd next = rows_ == 0 ? prior_ : Eigen::VectorXd(prior_ - gain() * misfit_);
    const double moved = (next - state_).cwiseAbs().maxCoeff();
    state_ = next;
    if (moved < kStillMm) break;
  }
  linearise(ties);
}

Motion TieAdjustment::place() const {
  return {state_.segment<2>(nf_ + nl_), Angle::radians(state_[nf_ + nl_ + 2]),
          loose_.face_from_loose.mirrored};
}

Eigen::Vector2d TieAdjustment::fixed_hole(std::size_t i) const {
  return state_.segment<2>(2 * static_cast<Eigen::Index>(i));
}
Eigen::Vector2d TieAdjustment::loose_hole(std::size_t i) const {
  return state_.segment<2>(nf_ + 2 * static_cast<Eigen::Index>(i));
}

Eigen::MatrixXd TieAdjustment::face_covariance(const std::vector<std::size_t>& fixed,
                                               const std::vector<std::size_t>& loose) const {
  const Eigen::Index n = 2 * static_cast<Eigen::Index>(fixed.size() + loose.size());
  Eigen::MatrixXd select = Eigen::MatrixXd::Zero(n, prior_.size());
  Eigen::Index row = 0;
  for (const std::size_t i : fixed) {
    select.block<2, 2>(row, 2 * static_cast<Eigen::Index>(i)).setIdentity();
    row += 2;
  }
  for (const std::size_t i : loose) {
    select.block<2, 2>(row, nf_ + 2 * static_cast<Eigen::Index>(i)) = place().linear();
    select.block<2, 3>(row, nf_ + nl_) = by_place(loose_hole(i));
    row += 2;
  }
  Eigen::MatrixXd after = covariance_;
  if (rows_ > 0) after -= gain() * slope_ * covariance_;
  const Eigen::MatrixXd out = select * after * select.transpose();
  return 0.5 * (out + out.transpose());
}

void TieAdjustment::put(const MeasuredFace& face, Eigen::Index from) {
  for (std::size_t i = 0; i < face.holes.size(); ++i)
    prior_.segment<2>(from + 2 * static_cast<Eigen::Index>(i)) = face.holes[i].centre_mm;
}

/// Derivative of a loose point on the face by x, y, turn.
Eigen::Matrix<double, 2, 3> TieAdjustment::by_place(const Eigen::Vector2d& loose_mm) const {
  const Eigen::Vector2d arm = place().linear() * loose_mm;
  Eigen::Matrix<double, 2, 3> slope;
  slope << 1.0, 0.0, -arm.y(), 0.0, 1.0, arm.x();
  return slope;
}

/// Misfit of the conditions at the prior, by their slope at the present state.
void TieAdjustment::linearise(const std::vector<Tie>& ties) {
  Eigen::VectorXd value = Eigen::VectorXd::Zero(rows_), noise = value;
  slope_ = Eigen::MatrixXd::Zero(rows_, prior_.size());
  const Eigen::Index at_place = nf_ + nl_;
  Eigen::Index row = 0;
  for (const Tie& tie : ties) {
    if (tie.edge == nullptr) {
      const Eigen::Vector2d seen = loose_hole(tie.loose);
      value.segment<2>(row) = fixed_hole(tie.fixed) - place() * seen;
      slope_.block<2, 2>(row, 2 * static_cast<Eigen::Index>(tie.fixed)).setIdentity();
      slope_.block<2, 2>(row, nf_ + 2 * static_cast<Eigen::Index>(tie.loose)) = -place().linear();
      slope_.block<2, 3>(row, at_place) = -by_place(seen);
      noise.segment<2>(row).setConstant(kSameSigmaMm * kSameSigmaMm);
    } else {
      const EdgeTie& edge = *tie.edge;
      const Eigen::Vector2d middle = 0.5 * (edge.a_mm + edge.b_mm),
                            along = (edge.b_mm - edge.a_mm).normalized();
      value[row] = edge.across.dot(place() * middle - edge.on_mm);
      slope_.block<1, 3>(row, at_place) = edge.across.transpose() * by_place(middle);
      value[row + 1] = edge.across.dot(place().linear() * along);
      slope_(row + 1, at_place + 2) = (edge.across.transpose() * by_place(along))[2];
      noise.segment<2>(row) << std::pow(edge.offset_sigma_mm, 2), std::pow(edge.turn_sigma_rad, 2);
    }
    row += kRowsOfTie;
  }
  misfit_ = value + slope_ * (prior_ - state_);
  Eigen::MatrixXd spread = slope_ * covariance_ * slope_.transpose();
  spread.diagonal() += noise;
  weight_ = spread.ldlt().solve(Eigen::MatrixXd::Identity(rows_, rows_));
}

}  // namespace fairhole

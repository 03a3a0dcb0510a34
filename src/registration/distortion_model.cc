// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "distortion_model.h"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>

namespace fairhole {
namespace {

constexpr double kNoSpreadMm = 1.0;  ///< drawn rows nearer than this are one row

std::size_t index(DistortionTerm term) { return static_cast<std::size_t>(term); }

/// The drawing's axes as the pose lays them on the face, named and signed by the datum: columns along, away.
Eigen::Matrix2d part_axes(const Eigen::Matrix2d& pose, const PartDatum& datum) {
  const Eigen::Matrix2d rows = pose * rotation(datum.rows);
  const Eigen::Vector2d towards = rows.transpose() * datum.along_face;
  const bool along_rows = std::abs(towards.x()) >= std::abs(towards.y());
  Eigen::Matrix2d axes;
  axes << rows.col(along_rows ? 0 : 1), rows.col(along_rows ? 1 : 0);
  if (axes.col(0).dot(datum.along_face) < 0.0) axes.col(0) *= -1.0;
  if (axes.col(1).dot(datum.away_face) < 0.0) axes.col(1) *= -1.0;
  return axes;
}

/// d image / d (image x, image y, turn, terms...) and measured minus image.
struct BentLinear {
  Eigen::MatrixXd design;
  Eigen::VectorXd misfit_mm;
};

BentLinear linearise(const DistortionProblem& problem, const Terms& terms, const DistortedPose& pose) {
  const auto n = static_cast<Eigen::Index>(problem.part_mm.size());
  const auto columns = static_cast<Eigen::Index>(3 + terms.size());
  BentLinear linear{Eigen::MatrixXd(2 * n, columns), Eigen::VectorXd(2 * n)};
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Vector2d& q = problem.part_mm[static_cast<std::size_t>(i)];
    Eigen::Vector2d shifted = q;
    for (std::size_t k = 0; k < terms.size(); ++k) {
      const Eigen::Vector2d shift = term_shift(terms[k], q, pose.length_mm, pose.width_mm);
      shifted += pose.coefficient[index(terms[k])] * shift;
      linear.design.block<2, 1>(2 * i, static_cast<Eigen::Index>(3 + k)) = pose.face_from_part * shift;
    }
    const Eigen::Vector2d arm = pose.face_from_part * shifted;
    linear.design.block<2, 2>(2 * i, 0).setIdentity();
    linear.design.block<2, 1>(2 * i, 2) = Eigen::Vector2d(-arm.y(), arm.x());
    linear.misfit_mm.segment<2>(2 * i) =
        problem.measured_mm[static_cast<std::size_t>(i)] - pose.image_mm - arm;
  }
  return linear;
}

/// Root mean square of the readings' errors once the best rigid motion is taken off.
double shape_sigma_mm(const Eigen::MatrixXd& rigid, const Eigen::MatrixXd& covariance_mm2) {
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(rigid);
  const Eigen::MatrixXd q = qr.householderQ() * Eigen::MatrixXd::Identity(rigid.rows(), rigid.cols());
  const double left = covariance_mm2.trace() - (q.transpose() * covariance_mm2 * q).trace();
  const auto dof = static_cast<double>(std::max<Eigen::Index>(1, rigid.rows() - rigid.cols()));
  return std::sqrt(std::max(0.0, left) / dof);
}

}  // namespace

Eigen::Vector2d term_shift(DistortionTerm term, const Eigen::Vector2d& q_mm, double length_mm,
                           double width_mm) {
  switch (term) {
    case DistortionTerm::kScale:
      return q_mm;
    case DistortionTerm::kShear:
      return {-q_mm.y(), 0.0};
    case DistortionTerm::kAspect:
      return {0.0, q_mm.y()};
    case DistortionTerm::kBow:
      return {0.0, 1.0 - 4.0 * q_mm.x() * q_mm.x() / (length_mm * length_mm)};
    case DistortionTerm::kTwist:
      return {0.0, q_mm.x() * q_mm.y() / width_mm};
  }
  return Eigen::Vector2d::Zero();
}

Eigen::Vector2d DistortedPose::operator()(const Eigen::Vector2d& nominal_mm, double exaggerated) const {
  const Eigen::Vector2d q = part_from_pattern * (nominal_mm - middle_mm);
  Eigen::Vector2d shifted = q;
  for (std::size_t k = 0; k < kDistortionTerms; ++k) {
    if (coefficient[k] == 0.0) continue;  // an undetermined term may have no length or width to divide by
    shifted +=
        exaggerated * coefficient[k] * term_shift(static_cast<DistortionTerm>(k), q, length_mm, width_mm);
  }
  return image_mm + face_from_part * shifted;
}

DistortionProblem distortion_problem(const MatchedPoints& points, const Motion& start,
                                     const PartDatum& datum) {
  DistortionProblem problem{{}, points.measured_mm, PrincipalCovariance(points.covariance_mm2), {}, {}, 0.0};
  DistortedPose& pose = problem.start;
  for (const Eigen::Vector2d& p : points.nominal_mm)
    pose.middle_mm += p / static_cast<double>(points.nominal_mm.size());
  pose.image_mm = start * pose.middle_mm;
  pose.face_from_part = part_axes(start.linear(), datum);
  pose.part_from_pattern = pose.face_from_part.transpose() * start.linear();
  Eigen::Vector2d low = Eigen::Vector2d::Zero(), high = low;
  for (const Eigen::Vector2d& p : points.nominal_mm) {
    problem.part_mm.emplace_back(pose.part_from_pattern * (p - pose.middle_mm));
    low = low.cwiseMin(problem.part_mm.back());
    high = high.cwiseMax(problem.part_mm.back());
  }
  problem.extent_mm = high - low;
  pose.length_mm = datum.length_mm.value_or(problem.extent_mm.x());
  pose.width_mm = problem.extent_mm.y();
  problem.shape_sigma_mm = shape_sigma_mm(linearise(problem, {}, pose).design, points.covariance_mm2);
  return problem;
}

std::optional<NotDetermined> not_determined(const DistortionProblem& problem, const Terms& others,
                                            DistortionTerm term) {
  constexpr double kNoNews = 1e-6;  // share of the column that nothing else does; rounding is far smaller
  const bool needs_width =
      term == DistortionTerm::kShear || term == DistortionTerm::kAspect || term == DistortionTerm::kTwist;
  const bool needs_length = term == DistortionTerm::kBow || term == DistortionTerm::kTwist;
  if (needs_width && problem.extent_mm.y() < kNoSpreadMm) return NotDetermined::kOneRow;
  if (needs_length && problem.extent_mm.x() < kNoSpreadMm) return NotDetermined::kNoLength;
  if (2 * problem.part_mm.size() <= 3 + others.size() + 1) return NotDetermined::kTooFewHoles;
  Terms terms = others;
  terms.push_back(term);
  const Eigen::MatrixXd design = linearise(problem, terms, problem.start).design;
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(design);
  const auto last = design.cols() - 1;
  if (std::abs(qr.matrixQR()(last, last)) <= kNoNews * design.col(last).norm())
    return NotDetermined::kSameAsPose;
  return std::nullopt;
}

Eigen::Index ModelFit::row(DistortionTerm term) const {
  return 3 + (std::find(terms.begin(), terms.end(), term) - terms.begin());
}

double ModelFit::f(DistortionTerm term) const {
  const double b = pose.coefficient[index(term)];
  return b * b / (fit.sigma_nought2() * fit.cofactor(row(term), row(term)));
}

ModelFit fit_model(const DistortionProblem& problem, const Terms& terms) {
  constexpr int kMostSteps = 20;
  constexpr double kStill = 1e-10;  // rad; over a metre a ten-millionth of a mm
  ModelFit model{terms, problem.start, {}};
  const BentLinear first = linearise(problem, terms, model.pose);
  double scatter_mm2 = first.misfit_mm.squaredNorm() / static_cast<double>(first.misfit_mm.size());
  for (int step = 0; step < kMostSteps; ++step) {
    const BentLinear linear = linearise(problem, terms, model.pose);
    model.fit = fit_with_scatter(linear.design, linear.misfit_mm, problem.readings, scatter_mm2);
    scatter_mm2 = model.fit.scatter_mm2;
    model.pose.image_mm += model.fit.b.head<2>();
    model.pose.face_from_part = rotation(Angle::radians(model.fit.b(2))) * model.pose.face_from_part;
    for (std::size_t k = 0; k < terms.size(); ++k)
      model.pose.coefficient[index(terms[k])] += model.fit.b(static_cast<Eigen::Index>(3 + k));
    if (std::abs(model.fit.b(2)) < kStill) break;
  }
  return model;
}

}  // namespace fairhole

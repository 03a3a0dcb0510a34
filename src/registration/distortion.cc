// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/distortion.h"

#include <algorithm>
#include <cmath>

#include "distortion_model.h"
#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

constexpr std::array kAllTerms = {DistortionTerm::kScale, DistortionTerm::kShear, DistortionTerm::kAspect,
                                  DistortionTerm::kBow, DistortionTerm::kTwist};

/// Nothing smaller is ever called a distortion: exact data differ from themselves by rounding.
constexpr double kLeastSizeMm = 0.001;

bool contains(const Terms& terms, DistortionTerm term) {
  return std::find(terms.begin(), terms.end(), term) != terms.end();
}

Terms with(Terms terms, DistortionTerm term) {
  terms.push_back(term);
  return terms;
}

bool is_angle(DistortionTerm term) {
  return term == DistortionTerm::kShear || term == DistortionTerm::kTwist;
}

/// A coefficient of the model in the term's public unit.
double public_value(DistortionTerm term, double coefficient) {
  if (is_angle(term)) return Angle::radians(std::atan(coefficient)).degrees();
  return term == DistortionTerm::kBow ? coefficient : 1.0 + coefficient;
}

/// d public_value / d coefficient.
double public_unit(DistortionTerm term, double coefficient) {
  return is_angle(term) ? Angle::radians(1.0 / (1.0 + coefficient * coefficient)).degrees() : 1.0;
}

/// What the effect is seen over: the lengths stretch shows on the longer side, want of square on the shorter,
/// which is as far as a square's blade reaches over these holes.
double seen_over_mm(DistortionTerm term, const DistortionProblem& problem) {
  const Eigen::Vector2d over(problem.start.length_mm, problem.start.width_mm);
  switch (term) {
    case DistortionTerm::kScale:
      return over.maxCoeff();
    case DistortionTerm::kShear:
      return over.minCoeff();
    case DistortionTerm::kAspect:
      return over.y();
    case DistortionTerm::kBow:
    case DistortionTerm::kTwist:
      break;
  }
  return over.x();
}

TermEstimate estimate_of(DistortionTerm term, const ModelFit& model, const DistortionProblem& problem,
                         double size_sigmas) {
  const double b = model.pose.coefficient[static_cast<std::size_t>(term)];
  const auto row = model.row(term);
  const double sigma = std::sqrt(model.fit.sigma_nought2() * model.fit.cofactor(row, row));
  const double reach = student_t_quantile(0.975, model.fit.dof) * sigma;
  TermEstimate estimate;
  estimate.value = public_value(term, b);
  estimate.sigma = sigma * public_unit(term, b);
  estimate.low = public_value(term, b - reach);
  estimate.high = public_value(term, b + reach);
  estimate.f = model.f(term);
  estimate.dof = model.fit.dof;
  estimate.p = f_upper_tail(estimate.f, 1.0, model.fit.dof);
  estimate.over_mm = seen_over_mm(term, problem);
  // A bow is a length already; the others grow with the length they are seen over.
  const double arm_mm = term == DistortionTerm::kBow ? 1.0 : estimate.over_mm;
  estimate.size_mm = std::abs(b) * arm_mm;
  estimate.limit_mm = std::max({size_sigmas * arm_mm * std::sqrt(model.fit.reading_variance(row)),
                                problem.shape_sigma_mm, kLeastSizeMm});
  return estimate;
}

using Findings = std::array<TermFinding, kDistortionTerms>;

/// Forward selection, best first, with what each step makes needless put out again for good.
class Selection {
 public:
  Selection(const DistortionProblem& problem, const DistortionFinder& finder)
      : problem_(problem), finder_(finder), rigid_(fit_model(problem, {})), model_(rigid_) {}

  void run() {
    for (findings_ = tried(); const auto next = best(); findings_ = tried()) {
      model_ = fit_model(problem_, with(model_.terms, *next));
      drop_needless();
    }
  }
  const ModelFit& rigid() const { return rigid_; }
  const ModelFit& model() const { return model_; }
  const Findings& findings() const { return findings_; }

 private:
  /// Every term: as it stands in the model, or as it would beside it.
  Findings tried() const {
    Findings findings;
    for (const DistortionTerm term : kAllTerms) {
      TermFinding& finding = findings[static_cast<std::size_t>(term)];
      finding.accepted = contains(model_.terms, term);
      if (!finding.accepted) finding.why = not_determined(problem_, model_.terms, term);
      if (finding.why) continue;
      const ModelFit& fit = finding.accepted ? model_ : fit_model(problem_, with(model_.terms, term));
      finding.estimate = estimate_of(term, fit, problem_, finder_.size_sigmas);
      finding.significant = finding.estimate->p < finder_.level;
    }
    return findings;
  }

  std::optional<DistortionTerm> best() const {
    std::optional<DistortionTerm> best;
    const TermEstimate* first = nullptr;
    for (const DistortionTerm term : kAllTerms) {
      const TermFinding& finding = findings_[static_cast<std::size_t>(term)];
      if (finding.accepted || contains(dropped_, term) || !finding.significant) continue;
      const TermEstimate& e = *finding.estimate;
      if (e.size_mm <= e.limit_mm) continue;
      // F decides where p is too small to be held in a double.
      if (first != nullptr && (e.p > first->p || (e.p == first->p && e.f <= first->f))) continue;
      best = term;
      first = &e;
    }
    return best;
  }

  void drop_needless() {
    Terms kept;
    for (const DistortionTerm term : model_.terms) {
      const double p = f_upper_tail(model_.f(term), 1.0, model_.fit.dof);
      (p < finder_.level ? kept : dropped_).push_back(term);
    }
    if (kept.size() != model_.terms.size()) model_ = fit_model(problem_, kept);
  }

  const DistortionProblem& problem_;
  const DistortionFinder& finder_;
  const ModelFit rigid_;
  ModelFit model_;
  Terms dropped_;
  Findings findings_;
};

std::vector<ResidualArrow> arrows_of(const MatchedPoints& points, const DistortedPose& rigid,
                                     const DistortedPose& final_pose) {
  std::vector<ResidualArrow> arrows;
  for (std::size_t i = 0; i < points.nominal_mm.size(); ++i) {
    const Eigen::Vector2d posed_mm = rigid(points.nominal_mm[i]);
    arrows.push_back({posed_mm, points.measured_mm[i] - posed_mm,
                      points.measured_mm[i] - final_pose(points.nominal_mm[i])});
  }
  return arrows;
}

/// Two holes apart, or there is no pose to speak of.
bool has_pose(const MatchedPoints& points) {
  return std::any_of(points.nominal_mm.begin(), points.nominal_mm.end(),
                     [&](const Eigen::Vector2d& p) { return (p - points.nominal_mm.front()).norm() >= 1.0; });
}

}  // namespace

const char* distortion_name(DistortionTerm term) {
  constexpr std::array<const char*, kDistortionTerms> kNames = {"scale", "shear", "aspect", "bow", "twist"};
  return kNames[static_cast<std::size_t>(term)];
}

MatchedPoints matched_points(const Registration& registration, const Pattern& pattern,
                             const MeasuredFace& face) {
  MatchedPoints points;
  std::vector<Eigen::Index> rows;
  for (const Match& match : registration.matches) {
    const auto nominal = std::find_if(pattern.begin(), pattern.end(),
                                      [&](const NominalHole& hole) { return hole.id == match.nominal; });
    const auto measured = std::find_if(face.holes.begin(), face.holes.end(),
                                       [&](const MeasuredHole& hole) { return hole.id == match.measured; });
    if (nominal == pattern.end() || measured == face.holes.end()) continue;
    points.nominal_mm.push_back(nominal->centre_mm);
    points.measured_mm.push_back(measured->centre_mm);
    const Eigen::Index row = 2 * (measured - face.holes.begin());
    rows.insert(rows.end(), {row, row + 1});
  }
  points.covariance_mm2 = face.full_covariance_mm2()(rows, rows);
  return points;
}

Distortion DistortionFinder::operator()(const MatchedPoints& points, const FaceFromPattern& start,
                                        const PartDatum& datum) const {
  Distortion out;
  if (!has_pose(points)) {
    for (TermFinding& finding : out.terms) finding.why = NotDetermined::kTooFewHoles;
    return out;
  }
  const DistortionProblem problem = distortion_problem(points, start.motion, datum);
  Selection selection(problem, *this);
  selection.run();
  const ModelFit& rigid = selection.rigid();
  const ModelFit& model = selection.model();
  out.terms = selection.findings();
  out.accepted = model.terms;
  out.pose = model.pose;
  out.arrows = arrows_of(points, rigid.pose, model.pose);
  out.rigid_scatter_mm = std::sqrt(rigid.fit.scatter_mm2);
  out.scatter_mm = std::sqrt(model.fit.scatter_mm2);
  out.dof = model.fit.dof;
  return out;
}

}  // namespace fairhole

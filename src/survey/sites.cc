// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "sites.h"

#include <algorithm>
#include <cmath>

namespace fairhole::survey_detail {
namespace {

constexpr double kMostMisfitMm = 50.0;  // a reading further out than this is a blunder and counts no more
constexpr double kUndecidedMm = 3.0;    // sums of misfits closer than this do not decide
constexpr double kSameSiteMm = 2.0;     // sites closer than this are one
constexpr std::size_t kMostLoci = 10;   // more add work, not certainty
constexpr double kLeastSine = 1e-3;     // lines closer to parallel do not cross

using Points = std::vector<Eigen::Vector2d>;

double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

/// Where a line meets a circle, or comes nearest to it.
void line_and_circle(const Locus& line, const Locus& circle, Points& out) {
  const double along = line.direction.dot(circle.point - line.point);
  const Eigen::Vector2d foot = line.point + along * line.direction;
  const double half2 = circle.radius * circle.radius - (foot - circle.point).squaredNorm();
  const double half = half2 > 0.0 ? std::sqrt(half2) : 0.0;
  out.push_back(foot + half * line.direction);
  out.push_back(foot - half * line.direction);
}

/// Where two circles meet, or the point between them when they just do not.
void two_circles(const Locus& a, const Locus& b, Points& out) {
  const Eigen::Vector2d d = b.point - a.point;
  const double length = d.norm();
  if (length < kSameSiteMm) return;
  const Eigen::Vector2d u = d / length;
  double along = (length * length + a.radius * a.radius - b.radius * b.radius) / (2.0 * length);
  along = std::clamp(along, -a.radius, a.radius);
  const double half = std::sqrt(std::max(0.0, a.radius * a.radius - along * along));
  const Eigen::Vector2d foot = a.point + along * u;
  const Eigen::Vector2d left(-u.y(), u.x());
  out.push_back(foot + half * left);
  out.push_back(foot - half * left);
}

void crossings(const Locus& a, const Locus& b, Points& out) {
  const bool a_line = a.shape == Locus::Shape::kLine;
  const bool b_line = b.shape == Locus::Shape::kLine;
  if (a_line && b_line) {
    const double sine = cross(a.direction, b.direction);
    if (std::abs(sine) < kLeastSine) return;
    out.push_back(a.point + a.direction * (cross(b.point - a.point, b.direction) / sine));
  } else if (a_line) {
    line_and_circle(a, b, out);
  } else if (b_line) {
    line_and_circle(b, a, out);
  } else {
    two_circles(a, b, out);
  }
}

double misfit(const Eigen::Vector2d& p, const std::vector<Locus>& loci) {
  double sum = 0.0;
  for (const Locus& locus : loci) sum += std::min(locus.distance(p), kMostMisfitMm);
  return sum;
}

/// Whether p is to be preferred to q when the loci do not decide.
bool preferred(const Eigen::Vector2d& p, const Eigen::Vector2d& q, const Preference& preference) {
  if (preference.near) return (p - *preference.near).norm() < (q - *preference.near).norm();
  if (preference.datum_quadrant) {
    const bool p_on = p.minCoeff() > 0.0;
    const bool q_on = q.minCoeff() > 0.0;
    if (p_on != q_on) return p_on;
  }
  if (std::abs(p.y() - q.y()) > kSameSiteMm) return p.y() > q.y();
  return p.x() > q.x();
}

}  // namespace

double Locus::distance(const Eigen::Vector2d& p) const {
  if (shape == Shape::kLine) return std::abs(cross(direction, p - point));
  return std::abs((p - point).norm() - radius);
}

std::optional<Site> find_site(const std::vector<Locus>& all, const Preference& preference) {
  const std::vector<Locus> loci(all.begin(),
                                all.begin() + static_cast<std::ptrdiff_t>(std::min(all.size(), kMostLoci)));
  Points sites;
  for (std::size_t i = 0; i < loci.size(); ++i) {
    for (std::size_t j = i + 1; j < loci.size(); ++j) crossings(loci[i], loci[j], sites);
  }
  if (sites.empty()) return std::nullopt;
  std::vector<double> misfits;
  for (const auto& p : sites) misfits.push_back(misfit(p, loci));
  const auto best =
      static_cast<std::size_t>(std::min_element(misfits.begin(), misfits.end()) - misfits.begin());
  Site out{sites[best], std::nullopt};
  double rival_misfit = misfits[best] + kUndecidedMm;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if ((sites[i] - sites[best]).norm() < kSameSiteMm || misfits[i] > rival_misfit) continue;
    rival_misfit = misfits[i];
    out.rival = sites[i];
  }
  if (out.rival && preferred(*out.rival, out.best, preference)) std::swap(*out.rival, out.best);
  return out;
}

}  // namespace fairhole::survey_detail

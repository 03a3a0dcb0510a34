// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/find_marks.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "candidates.h"
#include "find_pricks.h"
#include "light_sample.h"
#include "mouth_account.h"
#include "rim_fit.h"
#include "ring_search.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr double kLeastMarkCover = 0.7;
constexpr double kInk = 0.86;         // of the paper's light: darker than that is marked
constexpr double kLineWidthMm = 0.3;  // a pencil's line, to start from
constexpr double kBesideMm = 0.9;     // from the edge: beyond a pencil line, within a rub's dark border
constexpr double kRoundShare = 0.1;   // oval over diameter: more is no hole's mark
constexpr double kMarkClear = 0.6, kPoorMarkClear = 0.75;
constexpr double kPlainNoises = 8.0, kRaggedMm = 0.25;  // of a mark with a ragged edge
constexpr double kLineMarginPx = 4.0;
// What the hand adds over the edge's own noise; of a rub the crayon's bridging of the edge.
constexpr double kHandMm = 0.03, kDiscMm = 0.08, kPencilMm = 0.2, kRubMm = 0.5;

double light_about(const Picture& picture, const View& view, const Eigen::Vector2d& centre,
                   double radius_mm) {
  std::vector<double> values;
  for (int k = 0; k < 64; ++k) {
    const double angle = 2.0 * std::numbers::pi * k / 64;
    const auto pixel = project(
        view, {centre.x() + radius_mm * std::cos(angle), centre.y() + radius_mm * std::sin(angle), 0.0});
    if (pixel && picture.holds(pixel->x(), pixel->y(), kSampleMargin))
      values.push_back(sample_coarsely(picture, pixel->x(), pixel->y()));
  }
  return middle_of(values);
}

/// What kind of mark has its edge at `radius_mm`; absent where nothing is dark.
std::optional<MarkKind> kind_of(const Picture& picture, const View& view, const Eigen::Vector2d& centre,
                                double radius_mm) {
  const double inside = light_about(picture, view, centre, 0.7 * radius_mm);
  const double just_in = light_about(picture, view, centre, radius_mm - kBesideMm);
  const double just_out = light_about(picture, view, centre, radius_mm + kBesideMm);
  const double line = std::min(light_about(picture, view, centre, radius_mm),
                               std::min(light_about(picture, view, centre, radius_mm - 0.25 * kBesideMm),
                                        light_about(picture, view, centre, radius_mm + 0.25 * kBesideMm)));
  const double paper = std::max({inside, just_out, light_about(picture, view, centre, 1.5 * radius_mm)});
  if (just_in < kInk * paper && just_out > kInk * paper && inside < kInk * paper) return MarkKind::kDisc;
  if (just_in > kInk * paper && just_out < kInk * paper) return MarkKind::kRub;
  if (just_in > kInk * paper && just_out > kInk * paper && line < kInk * paper) return MarkKind::kRing;
  return std::nullopt;
}

struct FittedMark {
  RimFit fit;
  MarkKind kind = MarkKind::kDisc;
  double cover = 0.0;
};

Mouth mouth_at(const Ring& ring, double radius_mm, double width_mm) {
  return {ring.centre_mm, radius_mm, ring.oval_c_mm, ring.oval_s_mm, width_mm, 0.0};
}

std::optional<FittedMark> fit_mark(const Picture& picture, const View& view, const Candidate& candidate) {
  const RayEdges rays = shoot_rays(picture, view, candidate.centre_mm, candidate.radius_mm);
  const std::vector<Ring> rings = find_rings(rays);
  if (rings.empty() || rings[0].cover < kLeastMarkCover) return std::nullopt;
  const Ring& ring = rings[0];
  const auto kind = kind_of(picture, view, ring.centre_mm, ring.radius_mm);
  if (!kind) return std::nullopt;
  if (*kind != MarkKind::kRing) {
    const auto fit = fit_rim(picture, view, mouth_at(ring, ring.radius_mm, 0.0), {.chamfer = false});
    return fit ? std::optional(FittedMark{*fit, *kind, ring.cover}) : std::nullopt;
  }
  // The ring found may be the line's inner or its outer edge.
  const double margin = kLineMarginPx * rays.px_mm + kLineWidthMm;
  std::optional<FittedMark> best;
  double most = 0.0;
  for (const double inner : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    const auto fit = fit_rim(
        picture, view, mouth_at(ring, ring.radius_mm - inner * kLineWidthMm, kLineWidthMm), {.flat = true});
    if (!fit) continue;
    const double good = explained(account_of(picture, view, fit->mouth, true, fit->blur_px,
                                             ring.radius_mm - margin, ring.radius_mm + margin));
    if (best && good <= most) continue;
    most = good;
    best = FittedMark{*fit, *kind, ring.cover};
  }
  return best;
}

/// Shading leaves a ragged edge on a mark that is plain to see: dark beside light, and its raggedness is in
/// the covariance.
bool plain_but_ragged(const RimFit& fit, double px_per_mm) {
  return std::abs(fit.outside - fit.inside) > kPlainNoises * fit.noise && fit.torn_px < kRaggedMm * px_per_mm;
}

HoleImage mark_image(const View& view, const FittedMark& mark, int photo) {
  const Mouth& mouth = mark.fit.mouth;
  const FitMatrix& cov = mark.fit.covariance;
  HoleImage hole;
  hole.photo = photo;
  hole.kind = mark.kind;
  hole.face_mm = mouth.centre_mm;
  const auto seen = *project_with_slope(view, {mouth.centre_mm.x(), mouth.centre_mm.y(), 0.0});
  hole.pixel = seen.pixel;
  const Eigen::Matrix2d to_px = seen.slope.leftCols<2>();
  hole.pixel_cov_px2 = to_px * (cov.topLeftCorner<2, 2>() + kHandMm * kHandMm * Eigen::Matrix2d::Identity()) *
                       to_px.transpose();
  // A pencil runs round inside the hole: its line's outer border is the hole's edge.
  const double line = mark.kind == MarkKind::kRing ? mouth.width_mm : 0.0;
  hole.bore_diameter_mm = hole.rim_diameter_mm = 2.0 * (mouth.radius_mm + line);
  const double hand = mark.kind == MarkKind::kRub    ? kRubMm
                      : mark.kind == MarkKind::kRing ? kPencilMm
                                                     : kDiscMm;
  hole.bore_sigma_mm = hole.rim_sigma_mm = std::hypot(2.0 * std::sqrt(cov(kRadius, kRadius)), hand);
  hole.oval_mm = 4.0 * std::hypot(mouth.oval_c_mm, mouth.oval_s_mm);
  hole.oval_axis_rad = 0.5 * std::atan2(mouth.oval_s_mm, mouth.oval_c_mm);
  if (mark.fit.clear_share < kPoorMarkClear &&
      !plain_but_ragged(mark.fit, pixels_per_mm(view, mouth.centre_mm))) {
    hole.doubtful = true;
    hole.reasons.emplace_back("the mark is faint or broken over much of its edge");
  }
  return hole;
}

/// A centre without a rim: it says nothing of a diameter.
HoleImage prick_image(const View& view, const Prick& prick, int photo) {
  HoleImage hole;
  hole.photo = photo;
  hole.kind = MarkKind::kPrick;
  hole.face_mm = prick.centre_mm;
  const auto seen = *project_with_slope(view, {prick.centre_mm.x(), prick.centre_mm.y(), 0.0});
  hole.pixel = seen.pixel;
  const Eigen::Matrix2d to_px = seen.slope.leftCols<2>();
  hole.pixel_cov_px2 =
      to_px * (prick.cov_mm2 + kHandMm * kHandMm * Eigen::Matrix2d::Identity()) * to_px.transpose();
  if (!prick.cross) {
    hole.doubtful = true;
    hole.reasons.emplace_back("a dot: a pricked centre, or dirt on the sheet?");
  }
  return hole;
}

}  // namespace

std::vector<HoleImage> find_marks(const Picture& picture, const View& view, const HoleSearch& search) {
  std::vector<FittedMark> marks;
  std::vector<Candidate> candidates = find_candidates(picture, view, 0.5 * search.least_diameter_mm,
                                                      0.5 * search.largest_diameter_mm, search.masked_px);
  for (const Candidate& candidate : candidates_at_hints(search)) candidates.push_back(candidate);
  for (const Candidate& candidate : candidates) {
    const auto inside_one = [&](const Eigen::Vector2d& centre, double radius) {
      return std::any_of(marks.begin(), marks.end(), [&](const FittedMark& other) {
        return (other.fit.mouth.centre_mm - centre).norm() <
               0.8 * std::max(other.fit.mouth.radius_mm, radius);
      });
    };
    if (inside_one(candidate.centre_mm, candidate.radius_mm)) continue;
    const auto mark = fit_mark(picture, view, candidate);
    if (!mark || mark->fit.clear_share < kMarkClear) continue;
    const Mouth& mouth = mark->fit.mouth;
    if (4.0 * std::hypot(mouth.oval_c_mm, mouth.oval_s_mm) > kRoundShare * 2.0 * mouth.radius_mm) continue;
    if (2.0 * mouth.radius_mm < search.least_diameter_mm || inside_one(mouth.centre_mm, mouth.radius_mm))
      continue;
    marks.push_back(*mark);
  }
  std::vector<HoleImage> holes;
  for (const FittedMark& mark : marks) holes.push_back(mark_image(view, mark, search.photo));
  for (const Prick& prick : find_pricks(picture, view, search.masked_px)) {
    const bool of_a_mark = std::any_of(marks.begin(), marks.end(), [&](const FittedMark& mark) {
      return (mark.fit.mouth.centre_mm - prick.centre_mm).norm() < 1.2 * mark.fit.mouth.radius_mm;
    });
    if (!of_a_mark) holes.push_back(prick_image(view, prick, search.photo));
  }
  std::sort(holes.begin(), holes.end(), [](const HoleImage& a, const HoleImage& b) {
    return std::pair(a.face_mm.x(), a.face_mm.y()) < std::pair(b.face_mm.x(), b.face_mm.y());
  });
  return holes;
}

}  // namespace fairhole::photo

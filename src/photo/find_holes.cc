// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/find_holes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <optional>

#include "hole_verdict.h"
#include "rim_model.h"
#include "shape_doubt.h"

namespace fairhole::photo {
namespace {

constexpr double kSamePlace = 0.35;      // of the radius: candidates nearer than this are looked at once ...
constexpr double kSameSize = 1.25;       // ... if their radii do not differ by more
constexpr double kNested = 1.45;         // a circle within another that much larger stands for itself
constexpr double kExpectedShare = 0.12;  // a diameter within this of an expected one is expected
constexpr double kExpectedMm = 1.0;
constexpr double kSettledQuality = 0.7;
constexpr std::size_t kBatch = 8;
constexpr double kRimDoubt = 2.0;  // a rim is that much less well defined than the bore's edge
constexpr double kRivalClear = 0.75;

struct Found {
  MeasuredMouth mouth;
  Verdict verdict;
};

double quality(const MeasuredMouth& m) { return m.bore_cover * m.fit.clear_share - 0.1 * m.fit.torn_px; }

bool one_place(const Eigen::Vector2d& a, double ra, const Eigen::Vector2d& b, double rb) {
  return (a - b).norm() < kSamePlace * std::max(ra, rb) && std::max(ra, rb) < kSameSize * std::min(ra, rb);
}

/// Candidates of the search, thinned out, and those of the hints in every size that may be expected.
std::vector<Candidate> candidates_of(const Picture& picture, const View& view, const HoleSearch& search) {
  std::vector<Candidate> out;
  const auto add = [&](const Candidate& candidate) {
    const bool known = std::any_of(out.begin(), out.end(), [&](const Candidate& other) {
      return (other.centre_mm - candidate.centre_mm).norm() < 0.12 * candidate.radius_mm &&
             std::abs(other.radius_mm - candidate.radius_mm) < 0.12 * candidate.radius_mm;
    });
    if (!known) out.push_back(candidate);
  };
  for (const Candidate& candidate : find_candidates(picture, view, 0.5 * search.least_diameter_mm,
                                                    0.5 * search.largest_diameter_mm, search.masked_px))
    add(candidate);
  for (const Candidate& candidate : candidates_at_hints(search)) add(candidate);
  return out;
}

/// Batch by batch, each in parallel, so that what one batch settled need not be looked at again.
std::vector<MeasuredMouth> measure_all(const Picture& picture, const View& view,
                                       const std::vector<Candidate>& candidates) {
  std::vector<MeasuredMouth> measured;
  const auto settled = [&](const Candidate& candidate) {
    return std::any_of(measured.begin(), measured.end(), [&](const MeasuredMouth& m) {
      return quality(m) > kSettledQuality && one_place(candidate.centre_mm, candidate.radius_mm,
                                                       m.fit.mouth.centre_mm, m.fit.mouth.radius_mm);
    });
  };
  for (std::size_t next = 0; next < candidates.size();) {
    std::vector<Candidate> batch;
    for (; next < candidates.size() && batch.size() < kBatch; ++next) {
      const Candidate& candidate = candidates[next];
      const bool twin = std::any_of(batch.begin(), batch.end(), [&](const Candidate& other) {
        return one_place(candidate.centre_mm, candidate.radius_mm, other.centre_mm, other.radius_mm);
      });
      if (twin) break;  // wait for the outcome of its like
      if (!settled(candidate)) batch.push_back(candidate);
    }
    std::vector<std::optional<MeasuredMouth>> results(batch.size());
    cv::parallel_for_({0, static_cast<int>(batch.size())}, [&](const cv::Range& range) {
      for (int k = range.start; k < range.end; ++k)
        results[static_cast<std::size_t>(k)] =
            measure_mouth(picture, view, batch[static_cast<std::size_t>(k)]);
    });
    for (auto& result : results)
      if (result) measured.push_back(*std::move(result));
  }
  return measured;
}

/// Of circles that show the same mouth the best; what lies inside a hole's bore belongs to it.
std::vector<MeasuredMouth> one_each(const Picture& picture, const View& view,
                                    std::vector<MeasuredMouth> all) {
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return quality(a) > quality(b); });
  std::vector<MeasuredMouth> kept;
  for (const MeasuredMouth& m : all) {
    const Mouth& mine = m.fit.mouth;
    const auto rival = std::find_if(kept.begin(), kept.end(), [&](const MeasuredMouth& other) {
      const Mouth& theirs = other.fit.mouth;
      const double large = std::max(mine.radius_mm, theirs.radius_mm),
                   small = std::min(mine.radius_mm, theirs.radius_mm);
      return (mine.centre_mm - theirs.centre_mm).norm() < 0.8 * large && large < kNested * small;
    });
    if (rival == kept.end())
      kept.push_back(m);
    else if (m.fit.clear_share > kRivalClear &&
             one_place(mine.centre_mm, mine.radius_mm, rival->fit.mouth.centre_mm,
                       rival->fit.mouth.radius_mm) &&
             ln_odds(picture, view, m.fit, rival->fit) > 0.0)
      *rival = m;
  }
  return kept;
}

HoleImage image_of(const View& view, const MeasuredMouth& m, const Verdict& verdict, int photo) {
  const Mouth& mouth = m.fit.mouth;
  const FitMatrix cov = m.fit.covariance + m.rival_covariance;
  HoleImage hole;
  hole.photo = photo;
  hole.face_mm = mouth.centre_mm;
  hole.pixel = *project(view, {mouth.centre_mm.x(), mouth.centre_mm.y(), 0.0});
  const Eigen::Matrix2d to_px = face_jacobian(view, mouth.centre_mm);
  const ShapeDoubt doubt = shape_doubt(view, m.fit);
  hole.pixel_cov_px2 = to_px * (cov.topLeftCorner<2, 2>() + doubt.centre_cov_mm2) * to_px.transpose();
  hole.bore_diameter_mm = 2.0 * mouth.radius_mm;
  hole.bore_sigma_mm = std::hypot(2.0 * std::sqrt(cov(kRadius, kRadius)), doubt.diameter_mm);
  hole.rim_diameter_mm = 2.0 * (mouth.radius_mm + mouth.width_mm);
  const double rim_variance = cov(kRadius, kRadius) + cov(kWidth, kWidth) + 2.0 * cov(kRadius, kWidth);
  hole.rim_sigma_mm = std::hypot(2.0 * std::sqrt(std::max(0.0, rim_variance)), kRimDoubt * doubt.diameter_mm);
  hole.oval_mm = 4.0 * std::hypot(mouth.oval_c_mm, mouth.oval_s_mm);
  hole.oval_axis_rad = 0.5 * std::atan2(mouth.oval_s_mm, mouth.oval_c_mm);
  hole.reasons = verdict.doubts;
  hole.doubtful = !verdict.doubts.empty();
  return hole;
}

bool expected(const HoleImage& hole, const std::vector<double>& diameters) {
  return diameters.empty() || std::any_of(diameters.begin(), diameters.end(), [&](double d) {
           return std::abs(hole.bore_diameter_mm - d) < std::max(kExpectedMm, kExpectedShare * d);
         });
}

}  // namespace

std::vector<HoleImage> find_holes(const Picture& picture, const View& view, const HoleSearch& search) {
  std::vector<MeasuredMouth> mouths =
      one_each(picture, view, measure_all(picture, view, candidates_of(picture, view, search)));
  std::erase_if(mouths, [&](const MeasuredMouth& m) {
    const Mouth& mouth = m.fit.mouth;
    const double rim_mm = 2.0 * (mouth.radius_mm + mouth.width_mm);
    return 2.0 * mouth.radius_mm < search.least_diameter_mm || rim_mm > 1.05 * search.largest_diameter_mm;
  });
  cv::parallel_for_({0, static_cast<int>(mouths.size())}, [&](const cv::Range& range) {
    for (int k = range.start; k < range.end; ++k) {
      MeasuredMouth& m = mouths[static_cast<std::size_t>(k)];
      m.evidence = gather_evidence(picture, view, m.fit, m.rays);
    }
  });
  std::vector<HoleImage> holes;
  for (const MeasuredMouth& m : mouths) {
    const Mouth& mouth = m.fit.mouth;
    const Verdict verdict = judge(m, pixels_per_mm(view, mouth.centre_mm));
    if (!verdict.report) continue;
    HoleImage hole = image_of(view, m, verdict, search.photo);
    if (!expected(hole, search.expected_mm)) {
      hole.doubtful = true;
      hole.reasons.emplace_back("its diameter is none of those expected");
    }
    holes.push_back(std::move(hole));
  }
  std::sort(holes.begin(), holes.end(), [](const HoleImage& a, const HoleImage& b) {
    return std::pair(a.face_mm.x(), a.face_mm.y()) < std::pair(b.face_mm.x(), b.face_mm.y());
  });
  return holes;
}

}  // namespace fairhole::photo

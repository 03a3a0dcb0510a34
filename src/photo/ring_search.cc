// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "ring_search.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "light_sample.h"
#include "rim_model.h"
#include "robust.h"

namespace fairhole::photo {
namespace {

constexpr int kFewestRays = 64, kMostRays = 144;
constexpr double kRayStepPx = 0.6;
constexpr double kSlopeBlurPx = 1.1;
constexpr std::size_t kEdgesPerRay = 6;
constexpr double kNearPx = 1.2;  // an edge this near a ring belongs to it
constexpr double kSamePx = 1.6;  // rings nearer than this are one
constexpr std::size_t kMostRings = 8;
constexpr double kLeastRingCover = 0.3;
constexpr double kInnerShare = 0.45, kOuterShare = 1.35;  // of the rough radius

/// A derivative of a Gaussian, to be laid over the samples of a ray.
class SlopeKernel {
 public:
  static constexpr std::size_t kHalf = 5;
  SlopeKernel() {
    double moment = 0.0;
    for (std::size_t k = 0; k < weights_.size(); ++k) {
      const double along = (static_cast<double>(k) - static_cast<double>(kHalf)) * kRayStepPx;
      const double t = along / kSlopeBlurPx;
      weights_[k] = t * std::exp(-0.5 * t * t);
      moment += weights_[k] * along;
    }
    for (double& weight : weights_) weight /= moment;
  }
  std::vector<double> slopes_of(const std::vector<double>& values) const {
    std::vector<double> slopes(values.size(), 0.0);
    for (std::size_t k = kHalf; k + kHalf < values.size(); ++k) {
      double sum = 0.0;
      for (std::size_t i = 0; i < weights_.size(); ++i) sum += weights_[i] * values[k - kHalf + i];
      slopes[k] = sum;
    }
    return slopes;
  }

 private:
  std::array<double, 2 * kHalf + 1> weights_;
};

/// Square roots of light from `start` on in equal steps on the face, as far as the picture reaches. The
/// places between every eighth are taken on the straight line: a lens bends so short a one by far less than a
/// step.
std::vector<double> tones_along(const Picture& picture, const View& view, const Eigen::Vector2d& start,
                                const Eigen::Vector2d& step, std::size_t count) {
  constexpr std::size_t kStraight = 8;
  std::vector<double> tones;
  tones.reserve(count);
  const auto pixel_at = [&](std::size_t k) {
    const Eigen::Vector2d at = start + static_cast<double>(k) * step;
    return project(view, {at.x(), at.y(), 0.0});
  };
  auto here = pixel_at(0);
  for (std::size_t k = 0; k < count && here; k += kStraight) {
    const auto next = pixel_at(k + kStraight);
    if (!next) break;
    const Eigen::Vector2d move = (*next - *here) / static_cast<double>(kStraight);
    Eigen::Vector2d pixel = *here;
    for (std::size_t i = k; i < std::min(k + kStraight, count); ++i, pixel += move) {
      if (!picture.holds(pixel.x(), pixel.y(), kSampleMargin)) return tones;
      tones.push_back(std::sqrt(std::max(sample_coarsely(picture, pixel.x(), pixel.y()), 0.0)));
    }
    here = next;
  }
  return tones;
}

struct Vote {
  double score = 0.0;
  Eigen::Vector2d centre;
  double radius = 0.0;
};

/// For each centre of a grid the radii where many rays have an edge.
std::vector<Vote> vote(const RayEdges& rays, const Eigen::Vector2d& about, double reach_mm, double step_mm,
                       double from_mm, double to_mm, double px_mm) {
  const auto bins = static_cast<std::size_t>((to_mm - from_mm) / px_mm) + 2;
  std::vector<Vote> votes;
  std::vector<double> sums(bins);
  std::vector<std::size_t> last(bins);
  const int half = std::max(1, static_cast<int>(std::lround(reach_mm / step_mm)));
  const std::size_t count = rays.edges.size();
  std::vector<float> x(count), y(count), place(count);
  for (std::size_t k = 0; k < count; ++k) {
    x[k] = static_cast<float>((rays.edges[k].face_mm.x() - about.x()) / px_mm);
    y[k] = static_cast<float>((rays.edges[k].face_mm.y() - about.y()) / px_mm);
  }
  for (int iy = -half; iy <= half; ++iy)
    for (int ix = -half; ix <= half; ++ix) {
      const Eigen::Vector2d centre = about + step_mm * Eigen::Vector2d(ix, iy);
      std::fill(sums.begin(), sums.end(), 0.0);
      std::fill(last.begin(), last.end(), static_cast<std::size_t>(-1));
      const auto cx = static_cast<float>(step_mm * ix / px_mm), cy = static_cast<float>(step_mm * iy / px_mm);
      const auto from = static_cast<float>(from_mm / px_mm), end = static_cast<float>(bins) - 1.0F;
      for (std::size_t k = 0; k < count; ++k)
        place[k] = std::sqrt((x[k] - cx) * (x[k] - cx) + (y[k] - cy) * (y[k] - cy)) - from;
      for (std::size_t k = 0; k < count; ++k) {
        if (!(place[k] >= 0.0F) || place[k] >= end) continue;
        const RayEdge& edge = rays.edges[k];
        const auto first = static_cast<std::size_t>(place[k]);
        // An edge counts in the two bins about it, each ray once in a bin: strongest first.
        for (std::size_t bin = first; bin <= first + 1; ++bin)
          if (last[bin] != edge.ray) {
            last[bin] = edge.ray;
            sums[bin] += edge.weight;
          }
      }
      for (std::size_t bin = 1; bin + 1 < bins; ++bin)
        if (sums[bin] > sums[bin - 1] && sums[bin] >= sums[bin + 1] &&
            sums[bin] > kLeastRingCover * static_cast<double>(rays.rays))
          votes.push_back({sums[bin], centre, from_mm + static_cast<double>(bin) * px_mm});
    }
  std::sort(votes.begin(), votes.end(), [](const Vote& a, const Vote& b) { return a.score > b.score; });
  return votes;
}

/// For each ray the edge nearest to the ring, with its distance in mm (outside positive).
struct Near {
  const RayEdge* edge = nullptr;
  double off_mm = 0.0;
};
double off_ring(const Ring& ring, const Eigen::Vector2d& at) {
  const Eigen::Vector2d arm = at - ring.centre_mm;
  const double size2 = arm.squaredNorm(), c2 = (arm.x() * arm.x() - arm.y() * arm.y()) / size2;
  return std::sqrt(size2) - ring.radius_mm - ring.oval_c_mm * c2 -
         ring.oval_s_mm * (2.0 * arm.x() * arm.y() / size2);
}
std::vector<Near> nearest(const RayEdges& rays, const Ring& ring) {
  std::vector<Near> near(rays.rays);
  for (const RayEdge& edge : rays.edges) {
    const double off = off_ring(ring, edge.face_mm);
    // A stronger edge may stand a little farther off.
    Near& best = near[edge.ray];
    if (!best.edge || std::abs(off) / edge.weight < std::abs(best.off_mm) / best.edge->weight)
      best = {&edge, off};
  }
  return near;
}

/// Iterated least squares with Tukey's weights over centre, radius and oval; then the ring's account.
std::optional<Ring> refine(const RayEdges& all, const Vote& start, double px_mm) {
  RayEdges rays;  // those that can matter
  rays.rays = all.rays;
  for (const RayEdge& edge : all.edges)
    if (std::abs((edge.face_mm - start.centre).norm() - start.radius) < 8.0 * px_mm)
      rays.edges.push_back(edge);
  Ring ring;
  ring.centre_mm = start.centre;
  ring.radius_mm = start.radius;
  for (int round = 0; round < 6; ++round) {
    const double width = px_mm * std::max(1.5, 3.5 - 0.6 * round);
    Eigen::Matrix<double, 5, 5> normal = Eigen::Matrix<double, 5, 5>::Zero();
    Eigen::Matrix<double, 5, 1> right = Eigen::Matrix<double, 5, 1>::Zero();
    for (const Near& near : nearest(rays, ring)) {
      if (!near.edge || std::abs(near.off_mm) >= width) continue;
      const double t = near.off_mm / width, weight = (1.0 - t * t) * (1.0 - t * t) * near.edge->weight;
      const Eigen::Vector2d arm = (near.edge->face_mm - ring.centre_mm).normalized();
      Eigen::Matrix<double, 5, 1> row;
      row << arm.x(), arm.y(), 1.0, arm.x() * arm.x() - arm.y() * arm.y(), 2.0 * arm.x() * arm.y();
      normal += weight * row * row.transpose();
      right += weight * near.off_mm * row;
    }
    // Round unless the edges say otherwise: as good as a dozen rays against 2 % of the radius.
    normal(3, 3) += 12.0;
    normal(4, 4) += 12.0;
    right[3] -= 12.0 * ring.oval_c_mm;
    right[4] -= 12.0 * ring.oval_s_mm;
    if (normal(2, 2) < 8.0) return std::nullopt;
    const Eigen::Matrix<double, 5, 1> change = normal.ldlt().solve(right);
    if (!change.allFinite()) return std::nullopt;
    ring.centre_mm += change.head<2>();
    ring.radius_mm += change[2];
    ring.oval_c_mm += change[3];
    ring.oval_s_mm += change[4];
  }
  if (!((ring.centre_mm - start.centre).norm() < 6.0 * px_mm + 0.2 * start.radius) ||
      std::abs(ring.radius_mm - start.radius) > 6.0 * px_mm)
    return std::nullopt;
  double met = 0.0, brighter = 0.0;
  std::vector<double> strengths, offs;
  for (const Near& near : nearest(rays, ring)) {
    if (!near.edge || std::abs(near.off_mm) > kNearPx * px_mm) continue;
    met += near.edge->weight;
    brighter += near.edge->slope > 0.0 ? near.edge->weight : 0.0;
    strengths.push_back(std::abs(near.edge->slope));
    offs.push_back(near.off_mm / px_mm);
  }
  if (met <= 0.0) return std::nullopt;
  ring.cover = met / static_cast<double>(rays.rays);
  ring.brighter_out = brighter / met;
  ring.strength = middle_of(strengths);
  ring.scatter_px = robust_sd(offs);
  return ring;
}

bool same(const Ring& a, const Ring& b, double px_mm) {
  return (a.centre_mm - b.centre_mm).norm() + std::abs(a.radius_mm - b.radius_mm) < kSamePx * px_mm;
}

}  // namespace

RayEdges shoot_rays(const Picture& picture, const View& view, const Eigen::Vector2d& centre,
                    double radius_mm) {
  RayEdges rays;
  const double scale = pixels_per_mm(view, centre);
  if (!(scale > 0.0)) return rays;
  rays.px_mm = 1.0 / scale;
  rays.centre_mm = centre;
  rays.radius_mm = radius_mm;
  const double from_mm = kInnerShare * 0.6 * radius_mm;
  const double to_mm = (kOuterShare + 0.2) * radius_mm + 3.0 * rays.px_mm;
  rays.rays = static_cast<std::size_t>(
      std::clamp(static_cast<int>(2.0 * std::numbers::pi * to_mm * scale / 2.5), kFewestRays, kMostRays));
  const double step_mm = kRayStepPx / scale;
  const auto samples = static_cast<std::size_t>((to_mm - from_mm) / step_mm) + 1;
  const SlopeKernel kernel;
  std::vector<double> strongest;
  for (std::size_t ray = 0; ray < rays.rays; ++ray) {
    const double angle = 2.0 * std::numbers::pi * static_cast<double>(ray) / static_cast<double>(rays.rays);
    const Eigen::Vector2d out{std::cos(angle), std::sin(angle)};
    const std::vector<double> values =
        tones_along(picture, view, centre + from_mm * out, step_mm * out, samples);
    if (values.size() < 12) continue;
    const std::vector<double> slopes = kernel.slopes_of(values);
    std::vector<RayEdge> found;
    for (std::size_t k = 1; k + 1 < slopes.size(); ++k) {
      const double before = std::abs(slopes[k - 1]), here = std::abs(slopes[k]),
                   after = std::abs(slopes[k + 1]);
      if (here <= before || here < after || here <= 0.0) continue;
      const double shift = 0.5 * (before - after) / (before - 2.0 * here + after);
      found.push_back(
          {ray, centre + (from_mm + (static_cast<double>(k) + shift) * step_mm) * out, slopes[k], 0.0});
    }
    std::sort(found.begin(), found.end(),
              [](const RayEdge& a, const RayEdge& b) { return std::abs(a.slope) > std::abs(b.slope); });
    if (found.size() > kEdgesPerRay) found.resize(kEdgesPerRay);
    if (found.empty()) continue;
    strongest.push_back(std::abs(found.front().slope));
    rays.edges.insert(rays.edges.end(), found.begin(), found.end());
  }
  rays.strong = middle_of(strongest);
  for (RayEdge& edge : rays.edges)
    edge.weight = std::min(1.0, std::abs(edge.slope) / (0.4 * rays.strong + 1e-9));
  return rays;
}

std::vector<Ring> find_rings(const RayEdges& rays) {
  if (rays.edges.size() < 24) return {};
  const double px_mm = rays.px_mm, radius_mm = rays.radius_mm;
  const Eigen::Vector2d& centre_mm = rays.centre_mm;
  const double from = kInnerShare * radius_mm, to = kOuterShare * radius_mm + 3.0 * px_mm;
  const double reach = std::max(2.0 * px_mm, 0.18 * radius_mm);
  const std::vector<Vote> votes = vote(rays, centre_mm, reach, std::max(1.2 * px_mm, reach / 5.0), from, to,
                                       std::max(px_mm, 0.025 * radius_mm));
  std::vector<Ring> rings;
  std::size_t tried = 0;
  std::vector<Vote> taken;
  for (const Vote& start : votes) {
    const double apart = std::max(2.0 * px_mm, 0.05 * radius_mm);
    if (std::any_of(taken.begin(), taken.end(), [&](const Vote& other) {
          return (other.centre - start.centre).norm() + std::abs(other.radius - start.radius) < apart;
        }))
      continue;
    taken.push_back(start);
    if (++tried > 2 * kMostRings) break;
    const auto ring = refine(rays, start, px_mm);
    if (!ring || ring->cover < kLeastRingCover) continue;
    const auto twin =
        std::find_if(rings.begin(), rings.end(), [&](const Ring& r) { return same(r, *ring, px_mm); });
    if (twin == rings.end()) {
      rings.push_back(*ring);
    } else if (twin->cover < ring->cover) {
      *twin = *ring;
    }
  }
  std::sort(rings.begin(), rings.end(), [](const Ring& a, const Ring& b) { return a.cover > b.cover; });
  if (rings.size() > kMostRings) rings.resize(kMostRings);
  return rings;
}

}  // namespace fairhole::photo

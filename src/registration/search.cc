// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "edges.h"
#include "glance.h"
#include "polish.h"

namespace fairhole {
namespace {

constexpr double kSearchSigmas = 6.0;
constexpr double kWorthKeeping = 20.0;  // log evidence below the best; a thousandth is 7
constexpr std::size_t kMostKept = 20000;

/// The pose that carries a onto p and b onto q as nearly as it goes: their middles meet.
FastPose pose_from_pair(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& p,
                        const Eigen::Vector2d& q, bool mirrored) {
  Eigen::Vector2d from = b - a;
  if (mirrored) from.y() = -from.y();
  const Eigen::Vector2d to = q - p;
  const double dot = from.dot(to), cross = from.x() * to.y() - from.y() * to.x();
  const double size = std::sqrt(dot * dot + cross * cross);
  FastPose pose{dot / size, cross / size, 0.0, 0.0, mirrored};
  const Eigen::Vector2d image_mm = pose.to_face(0.5 * (a + b));
  pose.x_mm = 0.5 * (p.x() + q.x()) - image_mm.x();
  pose.y_mm = 0.5 * (p.y() + q.y()) - image_mm.y();
  return pose;
}

/// Poses in cells of about `cell_mm`: where the pattern's middle lands, and where its rim turns to.
class PoseCells {
 public:
  PoseCells(const std::vector<Eigen::Vector2d>& nominal_mm, double cell_mm) : per_mm_(1.0 / cell_mm) {
    for (const Eigen::Vector2d& p : nominal_mm) middle_mm_ += p / static_cast<double>(nominal_mm.size());
    for (const Eigen::Vector2d& p : nominal_mm) radius_mm_ = std::max(radius_mm_, (p - middle_mm_).norm());
  }
  /// Of the cell a pose lies in.
  std::uint64_t key(const FastPose& pose) const { return key(cell(pose), {0, 0, 0, 0}, pose.mirrored); }
  template <class Visit>
  void with_neighbours(const FastPose& pose, Visit visit) const {
    const Cell middle = cell(pose);
    for (int k = 0; k < 81; ++k)
      visit(key(middle, {k % 3 - 1, k / 3 % 3 - 1, k / 9 % 3 - 1, k / 27 - 1}, pose.mirrored));
  }

 private:
  using Cell = std::array<std::int64_t, 4>;
  Cell cell(const FastPose& pose) const {
    const Eigen::Vector2d image_mm = pose.to_face(middle_mm_);
    const auto index = [&](double mm) { return static_cast<std::int64_t>(std::floor(mm * per_mm_)); };
    return {index(image_mm.x()), index(image_mm.y()), index(radius_mm_ * pose.c), index(radius_mm_ * pose.s)};
  }
  static std::uint64_t key(const Cell& cell, const std::array<int, 4>& off, bool mirrored) {
    std::uint64_t hash = mirrored ? 0x51ED270B2D9F6F3DULL : 0xB5297A4D9E3779B9ULL;
    for (std::size_t k = 0; k < 4; ++k) {
      hash = (hash ^ static_cast<std::uint64_t>(cell[k] + off[k])) * 0xD6E8FEB86659FD93ULL;
      hash ^= hash >> 29;
    }
    return hash | 1;  // 0 stands for a free slot
  }
  double per_mm_;
  Eigen::Vector2d middle_mm_ = Eigen::Vector2d::Zero();
  double radius_mm_ = 0.0;
};

class Search {
 public:
  Search(const Scene& scene, const SearchOptions& options)
      : scene_(scene),
        options_(options),
        gates_(scene),
        lengths_(scene.points.nominal_mm),
        nearest_(scene.points.nominal_mm, gates_.reach_mm),
        evidence_(scene),
        cells_(scene.points.nominal_mm, 0.5 * scene.alike_mm),
        large_(scene.points.measured_mm.size() >= EdgeOrder::kLarge),
        glance_(scene, gates_, nearest_) {}

  SearchResult run() {
    EdgeOrder edges(scene_.points.measured_mm, [&](int i, int j) { return cost(i, j); });
    scout(edges.disjoint());
    for (auto pairs = edges.next(); !pairs.empty(); pairs = edges.next()) {
      for (const auto& [i, j] : pairs) try_edge(i, j);
      constexpr double kMissed = 1e-6;
      const auto holes = static_cast<double>(scene_.points.measured_mm.size());
      if (edges.most_explained() < static_cast<int>(glance_.needed())) break;
      if (edges.chance_missed(static_cast<double>(glance_.needed()) / holes) < kMissed) break;
      if (looked_at_ > options_.most_poses) {
        result_.complete = false;
        break;
      }
    }
    tidy();
    return std::move(result_);
  }

 private:
  const Eigen::Vector2d& measured(int i) const { return scene_.points.measured_mm[at(i)]; }
  const Eigen::Vector2d& nominal(int a) const { return scene_.points.nominal_mm[at(a)]; }
  double slack_mm(int i, int j) const {
    return gates_.sigmas * std::sqrt(gates_.variance_mm2[at(i)] + gates_.variance_mm2[at(j)]);
  }

  /// A large part: finds a good pose first, so that the search proper can turn most others down at a glance.
  /// Only a pose that may explain more holes than any before is looked into.
  void scout(const std::vector<std::pair<int, int>>& edges) {
    constexpr std::size_t kLarge = 24, kMostEdges = 16;
    constexpr double kGood = 0.6;  // a chance pose is about as good with far fewer holes
    if (scene_.points.measured_mm.size() < kLarge) return;
    scouting_ = true;
    for (std::size_t k = 0; k < std::min(kMostEdges, edges.size()); ++k) {
      try_edge(edges[k].first, edges[k].second);
      if (static_cast<double>(found_needed_) > kGood * static_cast<double>(found_pairs_)) break;
    }
    scouting_ = false;
    glance_.ask_for(std::max<std::size_t>(2, found_needed_));
  }

  /// Poses to look at, more when the base is short and leaves the far holes open.
  double cost(int i, int j) const {
    constexpr double kShortMm = 100.0;
    const double length_mm = std::max((measured(j) - measured(i)).norm(), 1.0);
    const double open = kShortMm / length_mm;
    return (1.0 + lengths_.count(length_mm, slack_mm(i, j))) * (1.0 + open * open);
  }

  void try_edge(int i, int j) {
    constexpr double kLeastBaseMm = 1.0;
    const double length_mm = (measured(j) - measured(i)).norm();
    if (length_mm < kLeastBaseMm) return;
    const double base_mm2 = 0.5 * (gates_.variance_mm2[at(i)] + gates_.variance_mm2[at(j)]);
    const Looseness loose{0.5 * (measured(i) + measured(j)), 0.5 * base_mm2,
                          2.0 * base_mm2 / (length_mm * length_mm)};
    lengths_.matching(length_mm, slack_mm(i, j), [&](int a, int b) {
      for (int turned = 0; turned < 2; ++turned, std::swap(a, b)) {
        if (!scene_.pins.allow(a, i) || !scene_.pins.allow(b, j)) continue;
        for (const bool mirrored : {false, true}) {
          if (options_.mirrored && *options_.mirrored != mirrored) continue;
          ++looked_at_;
          consider(pose_from_pair(nominal(a), nominal(b), measured(i), measured(j), mirrored), loose,
                   {Pairing{a, i}, Pairing{b, j}});
        }
      }
    });
  }

  void consider(const FastPose& pose, const Looseness& loose, const std::array<Pairing, 2>& base) {
    if (options_.place != nullptr && !near_place(pose, loose)) return;
    const std::uint64_t cell = cells_.key(pose);
    if (tried_.contains(cell) || kept_.contains(cell)) return;
    const std::size_t explained = glance_(pose, loose, base);
    if (explained == 0) return;
    if (scouting_) {
      if (explained < glance_.needed()) return;
      glance_.ask_for(explained + 1);
    } else {
      tried_.insert(cell);
    }
    if (large_ && !scouting_ && !worth_polishing(pose.mirrored)) return;
    const auto polished = polish(scene_, gates_, nearest_, evidence_, pose, loose);
    if (polished && !kept_.contains(cells_.key(polished->pose))) keep(*polished);
  }

  /// On a large part: whether the pose that the holes of the last look ask for still explains enough, known
  /// twice as poorly as so many holes let it be, and is none of those found already; and so again while it
  /// moves. Quicker than polishing, and few need that afterwards.
  bool worth_polishing(bool mirrored) {
    constexpr double kDoubt = 4.0;  // variances
    constexpr int kRounds = 3;
    for (int round = 0; round < kRounds; ++round) {
      const RigidFit fit = rigid_fit(scene_.points, glance_.explained(), mirrored);
      if (!fit.has_turn() || kept_.contains(cells_.key(fit.pose))) return false;
      Looseness loose = fit.looseness(gates_);
      loose.shift_mm2 *= kDoubt;
      loose.turn_rad2 *= kDoubt;
      if (glance_(fit.pose, loose, {}) == 0) return false;
    }
    return true;
  }

  bool near_place(const FastPose& pose, const Looseness& loose) const {
    const PosePrior& place = *options_.place;
    const Eigen::Vector2d image_mm = pose.to_face(place.turn_about_mm);
    Motion middle = place.pose.motion;
    middle.mirrored = pose.mirrored;
    const Eigen::Vector2d off_mm = image_mm - middle * place.turn_about_mm;
    const double turn =
        std::remainder(std::atan2(pose.s, pose.c) - middle.turn.radians(), 2.0 * std::numbers::pi);
    const Eigen::Vector3d own(loose.at(image_mm), loose.at(image_mm), loose.turn_rad2);
    const Eigen::Vector3d off(off_mm.x(), off_mm.y(), turn);
    return (off.array().square() <=
            kSearchSigmas * kSearchSigmas * (place.sigma.array().square() + own.array()))
        .all();
  }

  void keep(const Polished& polished) {
    Start start = polished.start;
    if (options_.place != nullptr) {
      PosePrior sure = *options_.place;
      sure.doubt = 0.0;
      start.score += log_place_density(start.pose, start.cov, sure, 0.0) -
                     log_place_density(sure.pose.motion, Eigen::Matrix3d::Zero(), sure, 0.0);
    }
    const bool hopeless = start.score < best_ - kWorthKeeping;
    if (hopeless && !(large_ && polished.settled)) {
      kept_.insert(cells_.key(polished.pose));
      return;
    }
    cells_.with_neighbours(polished.pose, [&](std::uint64_t cell) { kept_.insert(cell); });
    if (hopeless) return;
    result_.starts.push_back(start);
    if (start.score > best_) {
      best_ = start.score;
      const std::size_t needed = evidence_.needed(polished.pairs, polished.value, best_, polished.spread_mm2);
      found_pairs_ = polished.pairs;
      found_needed_ = needed;
      if (!scouting_ && needed > glance_.needed()) glance_.ask_for(needed);
    }
    if (result_.starts.size() > kMostKept) tidy();
  }

  void tidy() {
    std::vector<Start>& starts = result_.starts;
    std::stable_sort(starts.begin(), starts.end(),
                     [](const Start& a, const Start& b) { return a.score > b.score; });
    while (!starts.empty() && starts.back().score < best_ - kWorthKeeping) starts.pop_back();
    if (starts.size() > kMostKept / 2) {
      starts.resize(kMostKept / 2);
      result_.complete = false;
    }
  }

  const Scene& scene_;
  const SearchOptions& options_;
  Gates gates_;
  LengthIndex lengths_;
  NearestNominal nearest_;
  QuickEvidence evidence_;
  PoseCells cells_;
  bool large_;
  Glance glance_;
  KeySet tried_, kept_;                             ///< cells of poses looked into, and of what came of them
  std::size_t found_pairs_ = 0, found_needed_ = 0;  ///< of the best so far
  bool scouting_ = false;
  double best_ = -std::numeric_limits<double>::infinity();
  int looked_at_ = 0;
  SearchResult result_;
};

}  // namespace

SearchResult find_starts(const Scene& scene, const SearchOptions& options) {
  return Search(scene, options).run();
}

SearchResult by_symmetry(const Scene& scene, const Candidate& best, int most_poses) {
  constexpr std::size_t kFewest = 2;
  if (best.pairs.size() < kFewest) return {};
  // The part as drawn: the drawn holes that were found, where the pose puts them, known as well as the old
  // holes scatter.
  Scene ideal = scene;
  ideal.points.measured_mm.clear();
  ideal.points.blocks_mm2.clear();
  ideal.points.full_mm2.resize(0, 0);
  ideal.pins = {
      std::vector<int>(best.pairs.size(), -1), std::vector<int>(scene.points.nominal_mm.size(), -1), {}};
  ideal.diameters = {};
  const double variance_mm2 = best.pose.scatter_mm * best.pose.scatter_mm;
  for (const Pairing& pair : best.pairs) {
    ideal.points.measured_mm.push_back(best.pose.face_from_pattern *
                                       scene.points.nominal_mm[at(pair.nominal)]);
    ideal.points.blocks_mm2.emplace_back(variance_mm2 * Eigen::Matrix2d::Identity() +
                                         scene.points.blocks_mm2[at(pair.measured)]);
  }
  return find_starts(ideal, {std::nullopt, nullptr, most_poses});
}

}  // namespace fairhole

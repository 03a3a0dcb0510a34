// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "candidates.h"

#include <algorithm>
#include <cmath>

#include "search.h"

namespace fairhole {
namespace {

constexpr double kWorthRefining = 13.0;  // log evidence below the best; a thousandth is 7
constexpr double kWorthFull = 11.0;      // the same, once adjusted without the correlations
constexpr std::size_t kSmall = 24;       // measured holes; below, the full covariance costs nothing

bool known_already(const std::vector<Candidate>& candidates, const Candidate& one, const Scene& scene) {
  return std::any_of(candidates.begin(), candidates.end(), [&](const Candidate& other) {
    const bool same_hand = other.pose.face_from_pattern.mirrored == one.pose.face_from_pattern.mirrored;
    return same_hand && (other.pairs == one.pairs ||
                         alike(other.pose.face_from_pattern, one.pose.face_from_pattern, scene));
  });
}

void sort_best_first(std::vector<Candidate>& candidates) {
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.log_evidence > b.log_evidence; });
}

/// Best first, poses at one place given once: the better of them.
void tidy(std::vector<Candidate>& candidates, const Scene& scene) {
  sort_best_first(candidates);
  std::vector<Candidate> once;
  for (Candidate& candidate : candidates) {
    if (!known_already(once, candidate, scene)) once.push_back(std::move(candidate));
  }
  candidates = std::move(once);
}

/// Refines starts and collects what comes of them.
class Collector {
 public:
  Collector(const Scene& scene, const Registrar& registrar)
      : scene_(scene), quick_(scene), registrar_(registrar) {
    if (scene.points.measured_mm.size() > kSmall) quick_.points.full_mm2.resize(0, 0);
  }

  /// Adds what is worth it; the rest counts towards `log_rest` where `scores` are on the free scale.
  void add(const SearchResult& found, bool free_scale) {
    out_.complete = out_.complete && found.complete;
    if (found.starts.empty()) return;
    const double least = found.starts.front().score - kWorthRefining;
    double log_rest = -std::numeric_limits<double>::infinity();
    std::optional<double> offset;  // from the search's score to the evidence
    int refined = 0;
    for (const Start& start : found.starts) {
      if (start.score < least || refined >= registrar_.most_refined) {
        if (start.score >= least) out_.complete = false;
        log_rest = log_sum(log_rest, start.score);
        continue;
      }
      if (!free_scale && at_known_place(start.pose)) continue;
      ++refined;
      auto candidate = refine(quick_, quick_forms_, first_pairs(quick_, start.pose, start.cov), start.pose);
      if (!candidate) continue;
      if (!offset) offset = candidate->log_evidence - start.score;
      if (!known_already(out_.candidates, *candidate, scene_)) {
        out_.candidates.push_back(std::move(*candidate));
      } else {
        replace_if_better(*candidate);
      }
    }
    if (free_scale && offset) out_.log_rest = log_sum(out_.log_rest, log_rest + *offset);
  }

  const std::vector<Candidate>& so_far() {
    tidy(out_.candidates, scene_);
    return out_.candidates;
  }

  /// What is still worth it, with every correlation and with fewer pairs.
  CandidateSet finish(const PosePrior* place) {
    tidy(out_.candidates, scene_);
    double best = -std::numeric_limits<double>::infinity(), best_placed = best;
    for (const Candidate& c : out_.candidates) {
      best = std::max(best, c.log_evidence);
      best_placed = std::max(best_placed, placed(c, place));
    }
    const bool in_full = quick_.points.full_mm2.size() == scene_.points.full_mm2.size();
    std::vector<Candidate> worth;
    TridiagonalForms forms(scene_.points);
    for (const Candidate& c : out_.candidates) {
      if (c.log_evidence < best - kWorthFull && placed(c, place) < best_placed - kWorthFull) continue;
      auto again = in_full ? std::optional(c) : refine(scene_, forms, c.pairs, c.pose.face_from_pattern);
      if (again) worth.push_back(std::move(*again));
    }
    tidy(worth, scene_);
    std::set<HandAndPairs> counted;
    for (const Candidate& c : worth) counted.insert(hand_and_pairs(c));
    for (Candidate& c : worth) c = weigh_fewer_pairs(scene_, forms, std::move(c), counted);
    out_.candidates = std::move(worth);
    tidy(out_.candidates, scene_);
    return std::move(out_);
  }

 private:
  double placed(const Candidate& c, const PosePrior* place) const {
    if (place == nullptr) return c.log_evidence;
    return c.log_evidence +
           log_place_density(c.pose.face_from_pattern, c.pose.cov, *place, scene_.odds.even_density());
  }
  bool at_known_place(const Motion& pose) const {
    return std::any_of(out_.candidates.begin(), out_.candidates.end(), [&](const Candidate& other) {
      return alike(other.pose.face_from_pattern, pose, scene_);
    });
  }
  void replace_if_better(Candidate& candidate) {
    for (Candidate& other : out_.candidates) {
      if (other.pose.face_from_pattern.mirrored != candidate.pose.face_from_pattern.mirrored ||
          !alike(other.pose.face_from_pattern, candidate.pose.face_from_pattern, scene_))
        continue;
      if (candidate.log_evidence > other.log_evidence) other = candidate;
      return;
    }
  }

  const Scene& scene_;
  Scene quick_;
  TridiagonalForms quick_forms_{quick_.points};
  const Registrar& registrar_;
  CandidateSet out_;
};

}  // namespace

CandidateSet find_candidates(const Scene& scene, const RegistrationKnown& known, const Registrar& registrar) {
  const PosePrior* place = known.place ? &*known.place : nullptr;
  Collector collector(scene, registrar);
  collector.add(find_starts(scene, {std::nullopt, nullptr, registrar.most_poses}), true);
  if (place != nullptr) {
    collector.add(find_starts(scene, {known.mirrored, place, registrar.most_poses}), false);
  }
  if (!collector.so_far().empty()) {
    const Candidate best = collector.so_far().front();
    collector.add(by_symmetry(scene, best, registrar.most_poses), false);
  }
  return collector.finish(place);
}

}  // namespace fairhole

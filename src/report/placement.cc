// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "placement.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

namespace fairhole::report {
namespace {

constexpr std::array kGapsMm = {0.6, 1.4, 2.5, 4.0, 6.0, 8.5, 11.5, 15.0, 20.0, 26.0, 34.0};
constexpr int kDirections = 16;
constexpr double kLeaderBeyondMm = 2.0;  ///< a label farther from its symbol is joined to it by a line
constexpr double kSpaceMm = 0.4;         ///< kept between a label and anything else
constexpr int kRounds = 8;
constexpr double kBlocked = 1000.0;  ///< cost of one thing covered: more than any distance can cost
constexpr double kLeaderOverText = 60.0;
constexpr double kLeaderOverSymbol = 15.0;
constexpr double kOnLine = 2.5;
constexpr double kMostText = 0.5;  ///< share of the paper; with more text no search finds places

struct Candidate {
  Box box;
  bool leader = false;
  double cost = 0.0;
};

std::pair<Eigen::Vector2d, Eigen::Vector2d> leader_line(const LabelRequest& request, const Box& box) {
  return {request.at_mm, box.nearest(request.at_mm)};
}

Candidate candidate(const LabelRequest& request, double gap_mm, int direction) {
  const double angle = std::numbers::pi * (0.25 + 2.0 * direction / kDirections);
  const Eigen::Vector2d u(std::cos(angle), std::sin(angle));
  const Eigen::Vector2d square = u / u.cwiseAbs().maxCoeff();
  const Eigen::Vector2d half(0.5 * request.width_mm, 0.5 * request.height_mm);
  const Eigen::Vector2d centre =
      request.at_mm + u * (request.keep_off_mm + gap_mm) + square.cwiseProduct(half);
  const int away =
      std::min(direction, kDirections - direction);  // 0: upper right, where a reader looks first
  return {{centre - half, centre + half}, gap_mm > kLeaderBeyondMm, gap_mm + 0.08 * away};
}

bool near_disc(const Box& box, const Eigen::Vector2d& centre_mm, double radius_mm) {
  return (box.nearest(centre_mm) - centre_mm).norm() < radius_mm;
}

/// All that a label's text and leader can meet, wherever it goes. Sorted by what is met most often, the
/// nearest: a place that costs too much is then given up early.
struct Surroundings {
  std::vector<Box> boxes;
  std::vector<std::pair<Eigen::Vector2d, double>> discs;
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> lines;
  std::vector<std::size_t> others;
};

/// Holds every place of the label and the leader to it.
Box zone_of(const LabelRequest& request) {
  const double off_mm = request.keep_off_mm + kGapsMm.back() + kSpaceMm;
  const Eigen::Vector2d half(off_mm + request.width_mm, off_mm + request.height_mm);
  return {request.at_mm - half, request.at_mm + half};
}

Box box_about(const Eigen::Vector2d& centre_mm, double radius_mm) {
  return Box{centre_mm, centre_mm}.grown(radius_mm);
}

/// Pairs of labels whose zones overlap, found by a sweep along x.
std::vector<std::vector<std::size_t>> zones_in_reach(const std::vector<Box>& zones) {
  std::vector<std::size_t> by_x(zones.size());
  std::iota(by_x.begin(), by_x.end(), std::size_t{0});
  std::stable_sort(by_x.begin(), by_x.end(),
                   [&](std::size_t a, std::size_t b) { return zones[a].low_mm.x() < zones[b].low_mm.x(); });
  std::vector<std::vector<std::size_t>> met(zones.size());
  for (std::size_t i = 0; i < by_x.size(); ++i) {
    const Box& zone = zones[by_x[i]];
    for (std::size_t k = i + 1; k < by_x.size() && zones[by_x[k]].low_mm.x() < zone.high_mm.x(); ++k) {
      if (!zone.overlaps(zones[by_x[k]])) continue;
      met[by_x[i]].push_back(by_x[k]);
      met[by_x[k]].push_back(by_x[i]);
    }
  }
  return met;
}

std::vector<Surroundings> surroundings_of(const std::vector<LabelRequest>& requests,
                                          const Obstacles& obstacles) {
  std::vector<Box> zones;
  for (const LabelRequest& request : requests) zones.push_back(zone_of(request));
  std::vector<std::vector<std::size_t>> met = zones_in_reach(zones);
  std::vector<Surroundings> around(requests.size());
  for (std::size_t i = 0; i < requests.size(); ++i) {
    for (const Box& box : obstacles.boxes) {
      if (zones[i].overlaps(box)) around[i].boxes.push_back(box);
    }
    for (const auto& [centre, radius] : obstacles.discs) {
      if (zones[i].overlaps(box_about(centre, radius))) around[i].discs.emplace_back(centre, radius);
    }
    for (const auto& [a, b] : obstacles.lines) {
      if (crosses(a, b, zones[i])) around[i].lines.emplace_back(a, b);
    }
    const auto distance = [&](std::size_t other) {
      return (requests[other].at_mm - requests[i].at_mm).squaredNorm();
    };
    std::sort(met[i].begin(), met[i].end(), [&](std::size_t a, std::size_t b) {
      return std::pair(distance(a), a) < std::pair(distance(b), b);
    });
    around[i].others = std::move(met[i]);
  }
  return around;
}

/// A candidate and what follows from it, worked out once for all that it may meet.
struct Tried {
  const Candidate& place;
  Box wide;  ///< with the space kept round it
  std::pair<Eigen::Vector2d, Eigen::Vector2d> line;

  Tried(const LabelRequest& request, const Candidate& candidate)
      : place(candidate), wide(candidate.box.grown(kSpaceMm)), line(leader_line(request, candidate.box)) {}
  bool leads_over(const Box& box) const { return place.leader && crosses(line.first, line.second, box); }
};

/// What a candidate costs by another label where that lies, if it does yet, and by its symbol and leader.
double disturbance_by(const LabelRequest& other, const std::optional<Candidate>& placed, const Tried& tried) {
  double cost = 0.0;
  if (near_disc(tried.place.box, other.at_mm, other.keep_off_mm)) cost += kBlocked;
  if (tried.leads_over(box_about(other.at_mm, other.keep_off_mm))) cost += kLeaderOverSymbol;
  if (!placed) return cost;
  if (tried.wide.overlaps(placed->box)) cost += kBlocked;
  if (tried.leads_over(placed->box)) cost += kLeaderOverText;
  if (placed->leader) {
    const auto line = leader_line(other, placed->box);
    if (crosses(line.first, line.second, tried.wide)) cost += kLeaderOverText;
  }
  return cost;
}

/// The cost of a candidate for label `self` while the other labels lie where `placed` says; given up, still
/// too low, once it is not below `most`.
double disturbance(const std::vector<LabelRequest>& requests, const Obstacles& obstacles,
                   const Surroundings& around, const std::vector<std::optional<Candidate>>& placed,
                   std::size_t self, const Candidate& candidate, double most) {
  const LabelRequest& own = requests[self];
  const Tried tried(own, candidate);
  double cost = candidate.cost + (obstacles.region.holds(candidate.box) ? 0.0 : 10.0 * kBlocked);
  for (const Box& box : around.boxes) {
    if (tried.wide.overlaps(box)) cost += kBlocked;
    if (tried.leads_over(box)) cost += kLeaderOverText;
  }
  for (const auto& [centre, radius] : around.discs) {
    if (near_disc(tried.wide, centre, radius)) cost += kBlocked;
  }
  if (near_disc(candidate.box, own.at_mm, own.keep_off_mm)) cost += kBlocked;
  for (const auto& [a, b] : around.lines) {
    if (crosses(a, b, candidate.box)) cost += kOnLine;
  }
  for (const std::size_t other : around.others) {
    if (cost >= most) break;
    cost += disturbance_by(requests[other], placed[other], tried);
  }
  return cost;
}

Candidate best_candidate(const std::vector<LabelRequest>& requests, const Obstacles& obstacles,
                         const Surroundings& around, const std::vector<std::optional<Candidate>>& placed,
                         std::size_t self) {
  Candidate best;
  best.cost = std::numeric_limits<double>::infinity();
  for (const double gap_mm : kGapsMm) {
    if (gap_mm > best.cost) break;  // farther out only costs more
    for (int direction = 0; direction < kDirections; ++direction) {
      Candidate tried = candidate(requests[self], gap_mm, direction);
      tried.cost = disturbance(requests, obstacles, around, placed, self, tried, best.cost);
      if (tried.cost < best.cost) best = tried;
    }
  }
  return best;
}

double text_area_mm2(const std::vector<LabelRequest>& requests) {
  double area_mm2 = 0.0;
  for (const LabelRequest& request : requests) area_mm2 += request.width_mm * request.height_mm;
  return area_mm2;
}

/// Labels with the nearest neighbours first: they have the least choice.
std::vector<std::size_t> most_crowded_first(const std::vector<LabelRequest>& requests,
                                            const std::vector<Surroundings>& around) {
  std::vector<double> room(requests.size(), std::numeric_limits<double>::infinity());
  for (std::size_t i = 0; i < requests.size(); ++i) {
    if (around[i].others.empty()) continue;
    room[i] = (requests[i].at_mm - requests[around[i].others.front()].at_mm).norm();
  }
  std::vector<std::size_t> order(requests.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return room[a] < room[b]; });
  return order;
}

}  // namespace

Box Box::grown(double by_mm) const {
  return {low_mm - Eigen::Vector2d::Constant(by_mm), high_mm + Eigen::Vector2d::Constant(by_mm)};
}

bool Box::overlaps(const Box& other) const {
  return (low_mm.array() < other.high_mm.array()).all() && (other.low_mm.array() < high_mm.array()).all();
}

bool Box::holds(const Box& other) const {
  return (low_mm.array() <= other.low_mm.array()).all() && (other.high_mm.array() <= high_mm.array()).all();
}

Eigen::Vector2d Box::nearest(const Eigen::Vector2d& point_mm) const {
  return point_mm.cwiseMax(low_mm).cwiseMin(high_mm);
}

bool crosses(const Eigen::Vector2d& a_mm, const Eigen::Vector2d& b_mm, const Box& box) {
  double from = 0.0;
  double to = 1.0;
  for (int axis = 0; axis < 2; ++axis) {
    const double run = b_mm[axis] - a_mm[axis];
    if (run == 0.0) {
      if (a_mm[axis] <= box.low_mm[axis] || a_mm[axis] >= box.high_mm[axis]) return false;
      continue;
    }
    const double t1 = (box.low_mm[axis] - a_mm[axis]) / run;
    const double t2 = (box.high_mm[axis] - a_mm[axis]) / run;
    from = std::max(from, std::min(t1, t2));
    to = std::min(to, std::max(t1, t2));
  }
  return from < to;
}

std::optional<std::vector<double>> spread(const std::vector<double>& wanted_mm, double pitch_mm,
                                          double low_mm, double high_mm) {
  const auto n = wanted_mm.size();
  const double last = static_cast<double>(n) - 1.0;
  if (n > 0 && last * pitch_mm > high_mm - low_mm) return std::nullopt;
  struct Pool {
    double mean_mm;
    std::size_t count;
  };
  std::vector<Pool> pools;  // of wanted - i * pitch, which must not fall: pool adjacent violators
  for (std::size_t i = 0; i < n; ++i) {
    pools.push_back({wanted_mm[i] - static_cast<double>(i) * pitch_mm, 1});
    while (pools.size() > 1 && pools[pools.size() - 2].mean_mm > pools.back().mean_mm) {
      const Pool upper = pools.back();
      pools.pop_back();
      Pool& lower = pools.back();
      const auto weight_l = static_cast<double>(lower.count);
      const auto weight_u = static_cast<double>(upper.count);
      lower = {(lower.mean_mm * weight_l + upper.mean_mm * weight_u) / (weight_l + weight_u),
               lower.count + upper.count};
    }
  }
  std::vector<double> places_mm;
  for (const Pool& pool : pools) {
    // Clamping the pooled means is the exact least-squares answer under the two outer limits.
    const double base = std::clamp(pool.mean_mm, low_mm, high_mm - last * pitch_mm);
    for (std::size_t k = 0; k < pool.count; ++k) {
      places_mm.push_back(base + static_cast<double>(places_mm.size()) * pitch_mm);
    }
  }
  return places_mm;
}

std::vector<PlacedLabel> place_labels(const std::vector<LabelRequest>& requests, const Obstacles& obstacles) {
  std::vector<std::optional<Candidate>> placed(requests.size());
  if (text_area_mm2(requests) > kMostText * obstacles.region.width_mm() * obstacles.region.height_mm()) {
    std::vector<PlacedLabel> covered;
    for (const LabelRequest& request : requests)
      covered.push_back({candidate(request, kGapsMm.front(), 0).box, false, false});
    return covered;
  }
  const std::vector<Surroundings> around = surroundings_of(requests, obstacles);
  const std::vector<std::size_t> order = most_crowded_first(requests, around);
  for (int round = 0; round < kRounds; ++round) {
    bool moved = false;
    for (const std::size_t i : order) {
      const Candidate best = best_candidate(requests, obstacles, around[i], placed, i);
      moved = moved || !placed[i] || placed[i]->box.low_mm != best.box.low_mm;
      placed[i] = best;
    }
    if (!moved) break;
  }
  std::vector<PlacedLabel> labels;
  labels.reserve(placed.size());
  for (const auto& label : placed) labels.push_back({label->box, label->leader, label->cost < kBlocked});
  return labels;
}

}  // namespace fairhole::report

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "mirror.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace fairhole::survey_detail {
namespace {

constexpr double kOnLineMm = 0.01;  // a hole this near the line is its own mirror image

bool tells_side(const Reading& r) { return !is_distance(r.kind) && r.kind != ReadingKind::kDia; }

/// Holes whose place is told by more than distances, or settled by a `# near` place.
std::vector<bool> sided_holes(const Model& model) {
  std::vector<bool> sided(static_cast<std::size_t>(model.hole_count()), false);
  const auto mark = [&](const HoleId& id) {
    if (!id.empty()) sided[static_cast<std::size_t>(model.hole(id))] = true;
  };
  for (const Reading& r : model.readings->rows) {
    if (!tells_side(r)) continue;
    mark(r.from);
    mark(r.to);
    mark(r.line_end);
  }
  for (const NearPlace& near : model.readings->near_places) {
    if (model.hole_index.contains(near.hole)) mark(near.hole);
  }
  return sided;
}

class Net {
 public:
  Net(const Model& model, const Eigen::VectorXd& state)
      : model_(model), state_(state), sided_(sided_holes(model)), neighbours_(sided_.size()) {
    for (const Reading& r : model.readings->rows) {
      if (!is_distance(r.kind)) continue;
      neighbours_[static_cast<std::size_t>(model.hole(r.from))].insert(model.hole(r.to));
      neighbours_[static_cast<std::size_t>(model.hole(r.to))].insert(model.hole(r.from));
    }
  }

  /// The holes that hang on to hole `from` once `a` and `b` are taken out.
  std::vector<int> part_of(int from, int a, int b) const {
    std::vector<int> part{from};
    std::set<int> seen{from, a, b};
    for (std::size_t i = 0; i < part.size(); ++i) {
      for (const int next : neighbours_[static_cast<std::size_t>(part[i])]) {
        if (seen.insert(next).second) part.push_back(next);
      }
    }
    std::sort(part.begin(), part.end());
    return part;
  }

  bool may_turn_over(const std::vector<int>& part, int a, int b) const {
    if (std::any_of(part.begin(), part.end(), [&](int h) { return sided_[static_cast<std::size_t>(h)]; }))
      return false;
    const Eigen::Vector2d base = state_.segment<2>(2 * a);
    const Eigen::Vector2d line = state_.segment<2>(2 * b) - base;
    if (line.norm() == 0.0) return false;
    return std::any_of(part.begin(), part.end(), [&](int h) {
      const Eigen::Vector2d d = state_.segment<2>(2 * h) - base;
      return std::abs(line.x() * d.y() - line.y() * d.x()) / line.norm() > kOnLineMm;
    });
  }

  std::vector<int> free_holes() const {
    std::vector<int> out;
    for (std::size_t h = 0; h < sided_.size(); ++h) {
      if (!sided_[h]) out.push_back(static_cast<int>(h));
    }
    return out;
  }

  MirrorDoubt doubt(const std::vector<int>& part, int a, int b, bool datum) const {
    const auto& ids = model_.hole_ids;
    MirrorDoubt d;
    for (const int h : part) d.holes.push_back(ids[static_cast<std::size_t>(h)]);
    d.line_from = ids[static_cast<std::size_t>(a)];
    d.line_to = ids[static_cast<std::size_t>(b)];
    d.remedy =
        datum ? fmt::format("measure {} from a datum edge, or write a line `# near: {} x y`", d.holes.front(),
                            d.holes.front())
              : fmt::format("measure `off-line` of {} from {}|{}", d.holes.front(), d.line_from, d.line_to);
    return d;
  }

  const std::set<int>& neighbours(int h) const { return neighbours_[static_cast<std::size_t>(h)]; }

 private:
  const Model& model_;
  const Eigen::VectorXd& state_;
  std::vector<bool> sided_;
  std::vector<std::set<int>> neighbours_;
};

}  // namespace

bool whole_may_be_mirrored(const Model& model) {
  const std::vector<bool> sided = sided_holes(model);
  return model.hole_count() > 2 && std::find(sided.begin(), sided.end(), true) == sided.end();
}

std::vector<MirrorDoubt> find_mirror_doubts(const Model& model, const Eigen::VectorXd& state) {
  const Net net(model, state);
  const std::vector<int> free = net.free_holes();
  std::vector<MirrorDoubt> out;
  if (free.empty() || static_cast<int>(free.size()) > kMostMirrorHoles) return out;
  const bool datum = static_cast<int>(free.size()) < model.hole_count();
  std::set<std::vector<int>> told;
  for (int a = 0; a < model.hole_count(); ++a) {
    for (int b = a + 1; b < model.hole_count(); ++b) {
      std::set<int> done;
      for (const int h : free) {
        if (h == a || h == b || done.contains(h)) continue;
        const std::vector<int> part = net.part_of(h, a, b);
        done.insert(part.begin(), part.end());
        // The rest must be more than the line itself, or the turn is that of the whole shape.
        const bool all = static_cast<int>(part.size()) == model.hole_count() - 2;
        if ((all && !datum) || !net.may_turn_over(part, a, b)) continue;
        // Of two halves that may turn over, the smaller one is told.
        if (!datum && 2 * static_cast<int>(part.size()) > model.hole_count() - 2) continue;
        if (told.insert(part).second) out.push_back(net.doubt(part, a, b, datum));
      }
    }
  }
  return out;
}

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/pattern/pattern.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fairhole {
namespace {

using Eigen::Vector2d;

constexpr double kSameSpotMm = 0.01;
constexpr int kMostHolesOfAnItem = 10'000;
constexpr std::size_t kMostHolesOfAPattern = 20'000;  // surely a slip in a count

Vector2d along(Angle direction) { return rotation(direction) * Vector2d::UnitX(); }
Vector2d left_of(Angle direction) { return rotation(direction) * Vector2d::UnitY(); }

/// Holes of one item, and what is wrong with it. Overloads: one for each way of stating holes.
struct Expander {
  std::string where;
  Pattern holes;
  Problems problems;

  void operator()(const NominalHole& hole) {
    if (all_finite({hole.centre_mm.x(), hole.centre_mm.y(), hole.diameter_mm.value_or(0.0)}))
      holes.push_back(hole);
  }

  void operator()(const Row& row) { (*this)(Grid{row, 0.0, 1, 0.0}); }

  void operator()(const Grid& grid) {
    const Row& row = grid.row;
    const bool counts = count_fits("count", row.count) && count_fits("rows", grid.rows) &&
                        count_fits("count times rows", static_cast<long long>(row.count) * grid.rows);
    const bool finite = all_finite({row.start_mm.x(), row.start_mm.y(), row.direction.radians(), row.pitch_mm,
                                    grid.gauge_mm, grid.stagger_mm});
    if (!counts || !finite) return;
    for (int r = 0; r < grid.rows; ++r) {
      const double stagger_mm = r % 2 == 1 ? grid.stagger_mm : 0.0;
      const Vector2d start_mm =
          row.start_mm + left_of(row.direction) * (r * grid.gauge_mm) + along(row.direction) * stagger_mm;
      for (int i = 0; i < row.count; ++i) {
        add(row.prefix, row.first + r * row.count + i, start_mm + along(row.direction) * (i * row.pitch_mm));
      }
    }
  }

  void operator()(const BoltCircle& circle) {
    const bool finite = all_finite({circle.centre_mm.x(), circle.centre_mm.y(), circle.radius_mm,
                                    circle.start.radians(), circle.step.radians()});
    if (!count_fits("count", circle.count) || !finite) return;
    for (int i = 0; i < circle.count; ++i) {
      const Angle at = Angle::radians(circle.start.radians() + i * circle.step.radians());
      add(circle.prefix, circle.first + i, circle.centre_mm + along(at) * circle.radius_mm);
    }
  }

 private:
  void add(const std::string& prefix, int number, const Vector2d& centre_mm) {
    holes.push_back({fmt::format("{}{}", prefix, number), centre_mm, std::nullopt});
  }

  bool count_fits(const char* name, long long count) {
    if (count >= 1 && count <= kMostHolesOfAnItem) return true;
    problems.push_back({codes::kPatternBadCount, where, fmt::format("{} is {}", name, count),
                        fmt::format("a count lies between 1 and {}", kMostHolesOfAnItem)});
    return false;
  }

  bool all_finite(std::initializer_list<double> numbers) {
    if (std::all_of(numbers.begin(), numbers.end(), [](double number) { return std::isfinite(number); }))
      return true;
    problems.push_back(
        {codes::kPatternNotFinite, where, "a number that is not finite", "give plain numbers"});
    return false;
  }
};

Problems ids_twice(const Pattern& pattern, const std::string& where) {
  std::map<HoleId, int> counts;
  for (const NominalHole& hole : pattern) ++counts[hole.id];
  Problems problems;
  for (const auto& [id, count] : counts) {
    if (count == 1) continue;
    problems.push_back({codes::kPatternIdTwice, where, fmt::format("{} holes are called {}", count, id),
                        "give each hole its own name, or number the next row from where the last one ends"});
  }
  return problems;
}

Problems same_spots(const Pattern& pattern, const std::string& where) {
  std::vector<const NominalHole*> by_x;
  for (const NominalHole& hole : pattern) by_x.push_back(&hole);
  std::stable_sort(by_x.begin(), by_x.end(),
                   [](const auto* a, const auto* b) { return a->centre_mm.x() < b->centre_mm.x(); });
  Problems problems;
  for (std::size_t i = 0; i < by_x.size(); ++i) {
    for (std::size_t j = i + 1; j < by_x.size(); ++j) {
      const Vector2d gap_mm = by_x[j]->centre_mm - by_x[i]->centre_mm;
      if (gap_mm.x() >= kSameSpotMm) break;
      if (gap_mm.norm() >= kSameSpotMm) continue;
      problems.push_back({codes::kPatternSameSpot, where,
                          fmt::format("{} and {} stand on one spot", by_x[i]->id, by_x[j]->id),
                          "state each hole once; look at pitch and step"});
      break;  // a whole row on one spot would have as many pairs as its square
    }
  }
  return problems;
}

Problems bad_diameters(const Pattern& pattern, const std::string& where) {
  Problems problems;
  for (const NominalHole& hole : pattern) {
    if (!hole.diameter_mm || (std::isfinite(*hole.diameter_mm) && *hole.diameter_mm > 0.0)) continue;
    problems.push_back({codes::kPatternBadDiameter, where,
                        fmt::format("hole {} has a diameter of {} mm", hole.id, *hole.diameter_mm),
                        "a diameter is above 0"});
  }
  return problems;
}

}  // namespace

Result<Pattern> expand(const std::vector<PatternItem>& items, std::optional<double> diameter_mm,
                       const std::string& where) {
  Pattern pattern;
  Problems problems;
  for (std::size_t i = 0; i < items.size(); ++i) {
    Expander expander{fmt::format("{}: item {}", where, i + 1), {}, {}};
    std::visit(expander, items[i]);
    pattern.insert(pattern.end(), expander.holes.begin(), expander.holes.end());
    append(problems, expander.problems);
    if (pattern.size() > kMostHolesOfAPattern) {
      return Problem{codes::kPatternBadCount, where, fmt::format("more than {} holes", kMostHolesOfAPattern),
                     "look at the counts of rows, grids and circles"};
    }
  }
  for (NominalHole& hole : pattern) {
    if (!hole.diameter_mm) hole.diameter_mm = diameter_mm;
  }
  for (const auto& check : {ids_twice, same_spots, bad_diameters}) {
    append(problems, check(pattern, where));
  }
  if (!problems.empty()) return problems;
  return pattern;
}

Pattern other_hand(const Pattern& pattern) {
  return placed(pattern, Motion{Vector2d::Zero(), Angle(), true});
}

Pattern placed(const Pattern& pattern, const Motion& motion) {
  Pattern moved = pattern;
  for (NominalHole& hole : moved) hole.centre_mm = motion * hole.centre_mm;
  return moved;
}

}  // namespace fairhole

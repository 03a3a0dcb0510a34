// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "search.h"

namespace fairhole::inference {
namespace {

/// Holes that may lie on one gauge line, in the order of their gauge.
struct Window {
  std::size_t first = 0, end = 0;  ///< into the order by gauge
  bool stale = true;
  std::optional<SeenRows> row;
  double score = 0.0;
};

/// Looks along one direction: u runs along the rows, v across.
class RowSearch {
 public:
  RowSearch(const Field& field, bool along_y, const std::vector<int>& free)
      : field_(field), along_y_(along_y), free_count_(static_cast<int>(free.size())), order_(free) {
    std::stable_sort(order_.begin(), order_.end(), [this](int a, int b) { return v(a) < v(b); });
    used_.assign(field.holes_mm.size(), false);
    place_.assign(field.holes_mm.size(), 0);
    for (std::size_t i = 0; i < order_.size(); ++i) place_[static_cast<std::size_t>(order_[i])] = i;
    const double wide_mm = 2.0 * kGateSigmas * field.scatter_mm;
    for (std::size_t i = 0, end = 0; i < order_.size(); ++i) {
      const std::size_t before = end;
      while (end < order_.size() && v(order_[end]) - v(order_[i]) <= wide_mm) ++end;
      if (end > before) windows_.push_back({i, end, true, std::nullopt, 0.0});
    }
  }

  /// The best row left, or none that is worth more than loose holes.
  std::optional<SeenRows> next(double& score) {
    Window* best = nullptr;
    for (Window& window : windows_) {
      if (window.stale) look(window);
      if (window.row && window.score > 0.0 && (best == nullptr || window.score > best->score)) best = &window;
    }
    if (best == nullptr) return std::nullopt;
    score += best->score;
    SeenRows row = *best->row;
    for (const Member& m : row.lines.front().members) {
      used_[static_cast<std::size_t>(m.hole)] = true;
      // Windows overlap: those that hold this hole stand together, as the windows' ends rise with their
      // starts.
      const std::size_t place = place_[static_cast<std::size_t>(m.hole)];
      const auto after = std::partition_point(windows_.begin(), windows_.end(),
                                              [place](const Window& w) { return w.end <= place; });
      for (auto w = after; w != windows_.end() && w->first <= place; ++w) w->stale = true;
    }
    return row;
  }
  bool used(int hole) const { return used_[static_cast<std::size_t>(hole)]; }

 private:
  double u(int hole) const { return field_.holes_mm[static_cast<std::size_t>(hole)][along_y_ ? 1 : 0]; }
  double v(int hole) const { return field_.holes_mm[static_cast<std::size_t>(hole)][along_y_ ? 0 : 1]; }
  std::vector<int>::const_iterator at(std::size_t i) const {
    return order_.begin() + static_cast<std::ptrdiff_t>(i);
  }

  void look(Window& window) {
    window.stale = false;
    window.row.reset();
    std::vector<int> holes;
    std::copy_if(at(window.first), at(window.end), std::back_inserter(holes),
                 [this](int hole) { return !used(hole); });
    if (holes.size() < 3) return;
    std::stable_sort(holes.begin(), holes.end(), [this](int a, int b) { return u(a) < u(b); });
    std::vector<double> u_mm;
    for (const int hole : holes) u_mm.push_back(u(hole));
    std::optional<Spacing> spacing =
        best_spacing(u_mm, {field_.scatter_mm, field_.member_gain(), field_.rules.least_pitch_mm});
    if (!spacing) return;
    for (Member& m : spacing->members) m.hole = holes[static_cast<std::size_t>(m.hole)];
    SeenRows row{along_y_, spacing->start_mm, spacing->pitch_mm, {}};
    window.score = score(*spacing, row);
    window.row = std::move(row);
  }

  /// Log evidence of the row against the same holes loose: gains, residuals across, what the three
  /// dimensions' freedom costs (Laplace), and which holes of all these.
  double score(const Spacing& spacing, SeenRows& row) const {
    const double n = static_cast<double>(spacing.members.size());
    const double s = field_.scatter_mm;
    const double length_mm = along_y_ ? field_.height_mm : field_.width_mm;
    const double breadth_mm = along_y_ ? field_.width_mm : field_.height_mm;
    SeenLine line{spacing.members, false, 0.0};
    for (const Member& m : line.members) line.gauge_mm += v(m.hole) / n;
    double across2 = 0.0;
    for (const Member& m : line.members) across2 += (v(m.hole) - line.gauge_mm) * (v(m.hole) - line.gauge_mm);
    const Eigen::Matrix2d cov = spacing_covariance(line.members);
    const double spread = std::sqrt(cov(0, 0) * cov(1, 1) - cov(0, 1) * cov(0, 1));
    const double freedom = std::log(2.0 * std::numbers::pi * s * s * spread / (length_mm * kPitchRangeMm)) +
                           std::log(std::sqrt(2.0 * std::numbers::pi / n) * s / breadth_mm);
    row.lines.push_back(std::move(line));
    return spacing.gain - 0.5 * across2 / (s * s) + freedom -
           log_choices(free_count_, static_cast<int>(spacing.members.size())) - kRowCost;
  }

  const Field& field_;
  bool along_y_;
  int free_count_;
  std::vector<int> order_;          // by gauge
  std::vector<std::size_t> place_;  // of each hole in that order
  std::vector<bool> used_;
  std::vector<Window> windows_;
};

}  // namespace

void take_rows(const Field& field, bool along_y, std::vector<int>& free, Structure& structure) {
  RowSearch search(field, along_y, free);
  while (std::optional<SeenRows> row = search.next(structure.score))
    structure.rows.push_back(std::move(*row));
  std::erase_if(free, [&search](int hole) { return search.used(hole); });
}

}  // namespace fairhole::inference

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "start.h"

#include <algorithm>
#include <cmath>
#include <random>

#include "sites.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kGuessSpreadMm = 500.0;
constexpr std::uint64_t kGuessSeed = 20260101;

class Construction {
 public:
  Construction(const Model& model, const std::set<int>& other_side) : model_(model), other_side_(other_side) {
    const auto n = static_cast<std::size_t>(model.hole_count());
    state_.resize(static_cast<Eigen::Index>(model.params.size()));
    for (std::size_t p = 0; p < model.params.size(); ++p) {
      state_[static_cast<Eigen::Index>(p)] = model.params[p].start;
    }
    known_.assign(2 * n, false);
    for (std::size_t p = 0; p < 2 * n; ++p) known_[p] = model.params[p].fixed;
    by_hole_.resize(n);
    for (std::size_t i = 0; i < model.readings->rows.size(); ++i) {
      const Reading& r = model.readings->rows[i];
      if (r.kind == ReadingKind::kDia || !is_kept(i)) continue;
      for (const HoleId* id : {&r.from, &r.to, &r.line_end}) {
        if (!id->empty()) by_hole_[index(*id)].push_back(&r);
      }
    }
    for (const NearPlace& near : model.readings->near_places) {
      const auto at = model.hole_index.find(near.hole);
      if (at != model.hole_index.end()) near_[at->second] = near.place_mm;
    }
  }

  Start run(unsigned attempt) {
    direct_ordinates();
    datum_ = std::find(known_.begin(), known_.end(), true) != known_.end();
    if (!datum_ && near_.size() > 1) {
      for (const auto& [hole, place] : near_) place_hole(hole, place);
    }
    while (true) {
      if (running_zeros() || decided_holes() || two_sided_hole()) continue;
      if (!seed()) break;
    }
    guess_rest(attempt);
    return {state_, two_sided_, guessed_};
  }

 private:
  std::size_t index(const HoleId& id) const { return static_cast<std::size_t>(model_.hole(id)); }
  bool has_x(int h) const { return known_[static_cast<std::size_t>(2 * h)]; }
  bool has_y(int h) const { return known_[static_cast<std::size_t>(2 * h + 1)]; }
  bool placed(int h) const { return has_x(h) && has_y(h); }
  Eigen::Vector2d at(int h) const { return state_.segment<2>(2 * h); }
  double radius(int h) const {
    const int p = model_.hole_params[static_cast<std::size_t>(h)].diameter;
    return p < 0 ? 0.0 : 0.5 * state_[p];
  }
  void set(int param, double value) {
    if (known_[static_cast<std::size_t>(param)]) return;
    state_[param] = value;
    known_[static_cast<std::size_t>(param)] = true;
  }
  void place_hole(int h, const Eigen::Vector2d& p) {
    set(2 * h, p.x());
    set(2 * h + 1, p.y());
  }

  /// Distance over centres behind a hole-to-hole reading.
  double centre_distance(const Reading& r) const {
    const auto signs = rim_signs(r.kind);
    return r.value_mm - signs[0] * radius(model_.hole(r.from)) - signs[1] * radius(model_.hole(r.to));
  }

  void direct_ordinates() {
    for (int h = 0; h < model_.hole_count(); ++h) {
      std::vector<double> xs;
      std::vector<double> ys;
      for (const Reading* r : by_hole_[static_cast<std::size_t>(h)]) {
        const double centre = r->value_mm - rim_signs(r->kind)[0] * radius(h);
        if (is_along(r->kind) || r->kind == ReadingKind::kKnownX) xs.push_back(centre);
        if (is_across(r->kind) || r->kind == ReadingKind::kKnownY) ys.push_back(centre);
      }
      if (!xs.empty()) set(2 * h, median(xs));
      if (!ys.empty()) set(2 * h + 1, median(ys));
    }
  }

  /// The zeros of running tapes from holes that are known already, then their other holes. True on progress.
  bool running_zeros() {
    bool progress = false;
    for (const auto& [key, param] : model_.run_zero) {
      std::vector<double> zeros;
      for (const Reading* r : readings_of(key)) {
        const int coordinate = 2 * model_.hole(r->from) + (key.second ? 1 : 0);
        if (known_[static_cast<std::size_t>(coordinate)]) zeros.push_back(state_[coordinate] - r->value_mm);
      }
      if (zeros.empty()) continue;
      state_[param] = median(zeros);
      progress = spread_run(key, param) || progress;
    }
    return progress;
  }

  bool is_kept(std::size_t reading) const {
    const int number = model_.observation_of_reading[reading];
    return number < 0 || model_.observations[static_cast<std::size_t>(number)].active;
  }

  std::vector<const Reading*> readings_of(const std::pair<std::string, bool>& key) const {
    std::vector<const Reading*> out;
    const ReadingKind kind = key.second ? ReadingKind::kRunAcross : ReadingKind::kRun;
    for (std::size_t i = 0; i < model_.readings->rows.size(); ++i) {
      const Reading& r = model_.readings->rows[i];
      if (r.kind == kind && r.set_up == key.first && is_kept(i)) out.push_back(&r);
    }
    return out;
  }

  bool spread_run(const std::pair<std::string, bool>& key, int param) {
    bool progress = false;
    for (const Reading* r : readings_of(key)) {
      const int coordinate = 2 * model_.hole(r->from) + (key.second ? 1 : 0);
      if (known_[static_cast<std::size_t>(coordinate)]) continue;
      set(coordinate, r->value_mm + state_[param]);
      progress = true;
    }
    return progress;
  }

  std::vector<Locus> loci_of(int h) const {
    std::vector<Locus> loci;
    if (has_x(h)) loci.push_back({Locus::Shape::kLine, {state_[2 * h], 0.0}, Eigen::Vector2d::UnitY(), 0.0});
    if (has_y(h))
      loci.push_back({Locus::Shape::kLine, {0.0, state_[2 * h + 1]}, Eigen::Vector2d::UnitX(), 0.0});
    for (const Reading* r : by_hole_[static_cast<std::size_t>(h)]) {
      if (is_distance(r->kind)) {
        const int other = model_.hole(r->from) == h ? model_.hole(r->to) : model_.hole(r->from);
        if (!placed(other)) continue;
        loci.push_back(
            {Locus::Shape::kCircle, at(other), Eigen::Vector2d::UnitX(), std::max(0.0, centre_distance(*r))});
      } else if (r->kind == ReadingKind::kOffLine && model_.hole(r->from) == h) {
        const int p = model_.hole(r->to);
        const int q = model_.hole(r->line_end);
        if (!placed(p) || !placed(q) || (at(q) - at(p)).norm() == 0.0) continue;
        const Eigen::Vector2d u = (at(q) - at(p)).normalized();
        loci.push_back({Locus::Shape::kLine, at(p) + r->value_mm * Eigen::Vector2d(-u.y(), u.x()), u, 0.0});
      }
    }
    return loci;
  }

  Preference preference(int h) const {
    const auto near = near_.find(h);
    return {near == near_.end() ? std::nullopt : std::optional(near->second), datum_};
  }

  /// Places every hole whose site its loci decide. True on progress.
  bool decided_holes() {
    bool progress = false;
    for (int h = 0; h < model_.hole_count(); ++h) {
      if (placed(h)) continue;
      const auto site = find_site(loci_of(h), preference(h));
      if (!site || site->rival) continue;
      place_hole(h, site->best);
      progress = true;
    }
    return progress;
  }

  /// Places the undecided hole with the most loci on the site preferred.
  bool two_sided_hole() {
    int chosen = -1;
    std::size_t most = 0;
    for (int h = 0; h < model_.hole_count(); ++h) {
      if (placed(h)) continue;
      const auto loci = loci_of(h);
      if (loci.size() <= most || !find_site(loci, preference(h))) continue;
      most = loci.size();
      chosen = h;
    }
    if (chosen < 0) return false;
    const auto site = find_site(loci_of(chosen), preference(chosen));
    const bool turn = other_side_.contains(chosen) && site->rival.has_value();
    place_hole(chosen, turn ? *site->rival : site->best);
    two_sided_.push_back(chosen);
    return true;
  }

  /// Gives a net, or a part of it, a first coordinate: a running tape's zero, then a hole, then a direction.
  bool seed() {
    for (const auto& [key, param] : model_.run_zero) {
      if (spread_run(key, param)) return true;
    }
    for (int h = 0; h < model_.hole_count(); ++h) {
      if (!placed(h)) continue;
      for (const Reading* r : by_hole_[static_cast<std::size_t>(h)]) {
        if (!is_distance(r->kind)) continue;
        const int other = model_.hole(r->from) == h ? model_.hole(r->to) : model_.hole(r->from);
        if (has_x(other) || has_y(other)) continue;
        place_hole(other, at(h) + Eigen::Vector2d(std::max(1.0, centre_distance(*r)), 0.0));
        return true;
      }
    }
    for (int h = 0; h < model_.hole_count(); ++h) {
      const bool measured = std::any_of(
          by_hole_[static_cast<std::size_t>(h)].begin(), by_hole_[static_cast<std::size_t>(h)].end(),
          [](const Reading* r) { return is_distance(r->kind) || r->kind == ReadingKind::kOffLine; });
      if (placed(h) || !measured) continue;
      place_hole(h,
                 {kGuessSpreadMm * seeds_, kGuessSpreadMm * seeds_});  // parts of a net apart from each other
      ++seeds_;
      return true;
    }
    return false;
  }

  void guess_rest(unsigned attempt) {
    std::mt19937_64 random(kGuessSeed + attempt);
    for (int h = 0; h < model_.hole_count(); ++h) {
      if (placed(h)) continue;
      guessed_.push_back(h);
      for (const int p : {2 * h, 2 * h + 1}) {
        const double share = static_cast<double>(random() >> 11U) * 0x1p-53;
        set(p, kGuessSpreadMm * share);
      }
    }
  }

  const Model& model_;
  const std::set<int>& other_side_;
  Eigen::VectorXd state_;
  std::vector<bool> known_;
  std::vector<std::vector<const Reading*>> by_hole_;
  std::map<int, Eigen::Vector2d> near_;
  std::vector<int> two_sided_;
  std::vector<int> guessed_;
  bool datum_ = false;
  int seeds_ = 0;
};

}  // namespace

Start construct_start(const Model& model, const std::set<int>& other_side, unsigned attempt) {
  return Construction(model, other_side).run(attempt);
}

}  // namespace fairhole::survey_detail

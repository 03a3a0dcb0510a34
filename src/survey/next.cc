// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "next.h"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <optional>

#include "fairhole/geometry/statistics.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kLeastGainMm = 1e-6;

/// Largest eigenvalue of a 2x2 covariance.
double largest_variance(const Eigen::Matrix2d& cov) {
  return 0.5 * (cov(0, 0) + cov(1, 1)) + std::hypot(0.5 * (cov(0, 0) - cov(1, 1)), cov(0, 1));
}

struct Worst {
  int hole = 0;
  double variance = 0.0;
};

/// A reading that may be taken, and the most that it can help the worst hole.
struct Candidate {
  NextReading reading;
  Equation equation;
  double bound_mm = 0.0;
};

class Design {
 public:
  Design(const Model& model, const Columns& columns, const Solution& solution, const DatumChange& change,
         const MeasuredFace& face)
      : model_(model),
        columns_(columns),
        solution_(solution),
        change_(change),
        factor_(std::sqrt(chi2_quantile(0.95, 2.0))) {
    for (const MeasuredHole& hole : face.holes) blocks_.push_back(hole.centre_cov_mm2);
  }

  std::vector<NextReading> run(bool datum, int count) {
    std::vector<NextReading> out;
    while (static_cast<int>(out.size()) < count) {
      auto best = best_of(candidates(datum));
      if (!best) break;
      out.push_back(best->reading);
      taken_.push_back(step_of(*best));
      const Eigen::VectorXd moved = coordinate_step(taken_.back());
      for (int h = 0; h < model_.hole_count(); ++h) {
        const Eigen::Vector2d d = moved.segment<2>(2 * h);
        blocks_[static_cast<std::size_t>(h)] -= d * d.transpose();
      }
    }
    return out;
  }

 private:
  /// The candidate that helps most; those come first that may help the worst hole most, so that the rest need
  /// not be tried.
  std::optional<Candidate> best_of(const std::vector<Candidate>& candidates) const {
    const Worst before = worst();
    std::optional<Candidate> best;
    double best_gain = 0.0;
    double best_own = kLeastGainMm;
    double best_shrink = 0.0;
    int tried = 0;
    for (const Candidate& c : candidates) {
      if (c.bound_mm < best_gain - kLeastGainMm) break;
      if (model_.hole_count() > kMostPairHoles && ++tried > kMostTried) break;
      const Eigen::VectorXd step = coordinate_step(step_of(c));
      const double own = gain(before, block_after(before.hole, step));
      if (own < kLeastGainMm) {
        // A hole known as well along as across: one reading leaves its other half axis as it was. Where no
        // candidate does better, the one that takes most off the hole's variances begins.
        const double shrink = step.segment<2>(2 * before.hole).squaredNorm();
        if (best_own > kLeastGainMm || shrink < best_shrink + kLeastGainMm) continue;
        best = c;
        best_shrink = shrink;
        continue;
      }
      const double all = gain(before, worst_after(step));
      const bool better =
          all > best_gain + kLeastGainMm || (all > best_gain - kLeastGainMm && own > best_own);
      if (!better) continue;
      best = c;
      best_gain = all;
      best_own = own;
    }
    if (best) best->reading.gain_mm = std::max(0.0, best_gain);
    return best;
  }

  double gain(const Worst& before, double after) const {
    return factor_ * (std::sqrt(before.variance) - std::sqrt(after));
  }

  Worst worst() const {
    Worst w;
    for (int h = 0; h < model_.hole_count(); ++h) {
      const double v = largest_variance(blocks_[static_cast<std::size_t>(h)]);
      if (v > w.variance) w = {h, v};
    }
    return w;
  }

  double block_after(int h, const Eigen::VectorXd& step) const {
    const Eigen::Vector2d d = step.segment<2>(2 * h);
    return largest_variance(blocks_[static_cast<std::size_t>(h)] - d * d.transpose());
  }

  double worst_after(const Eigen::VectorXd& step) const {
    double most = 0.0;
    for (int h = 0; h < model_.hole_count(); ++h) most = std::max(most, block_after(h, step));
    return most;
  }

  /// All readings that a person could take, the most promising first.
  std::vector<Candidate> candidates(bool datum) const {
    const Worst before = worst();
    std::vector<Candidate> out;
    for (NextReading& reading : thinkable(datum, before.hole)) {
      Candidate c{std::move(reading), {}, INFINITY};
      model_.evaluate_reading(reading_of(c.reading), solution_.state, c.equation);
      out.push_back(std::move(c));
    }
    if (!change_.trivial()) return out;
    bound(before, out);
    std::stable_sort(out.begin(), out.end(),
                     [](const Candidate& a, const Candidate& b) { return a.bound_mm > b.bound_mm; });
    return out;
  }

  /// A reading whose value has the covariance s with the worst hole, of covariance B, has itself at least the
  /// variance s' B^-1 s: it takes no more than s s' / (sigma^2 + s' B^-1 s) off B.
  void bound(const Worst& before, std::vector<Candidate>& candidates) const {
    const Eigen::Matrix2d block = blocks_[static_cast<std::size_t>(before.hole)];
    const Eigen::VectorXd q_x = row_of(Model::x_of(before.hole));
    const Eigen::VectorXd q_y = row_of(Model::y_of(before.hole));
    const Eigen::Matrix2d inverse = block.inverse();
    for (Candidate& c : candidates) {
      const Eigen::Vector2d s(dot(c.equation, q_x), dot(c.equation, q_y));
      const double variance = sigma2_of(reading_of(c.reading)) + std::max(0.0, s.dot(inverse * s));
      c.bound_mm = gain(before, largest_variance(block - s * s.transpose() / variance)) + kLeastGainMm;
    }
  }

  double dot(const Equation& e, const Eigen::VectorXd& over_columns) const {
    double sum = 0.0;
    for (const Partial& p : e.partials) {
      const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
      if (c >= 0) sum += p.value * over_columns[c];
    }
    return sum;
  }

  /// Covariance of one parameter with every unknown, the readings taken so far included.
  Eigen::VectorXd row_of(int param) const { return with_taken({0.0, {{param, 1.0}}}); }

  Eigen::VectorXd with_taken(const Equation& e) const {
    Eigen::VectorXd q_a = solution_.normals->covariance_with(e);
    for (const Eigen::VectorXd& taken : taken_) q_a -= dot(e, taken) * taken;
    return q_a;
  }

  std::vector<NextReading> thinkable(bool datum, int worst_hole) const {
    std::vector<NextReading> out;
    const auto& ids = model_.hole_ids;
    const int n = model_.hole_count();
    for (int h = 0; h < n && datum; ++h) {
      out.push_back({ReadingKind::kAlong, ids[static_cast<std::size_t>(h)], {}, 0.0});
      out.push_back({ReadingKind::kAcross, ids[static_cast<std::size_t>(h)], {}, 0.0});
    }
    for (int a = 0; a < n; ++a) {
      for (int b = a + 1; b < n; ++b) {
        if (n > kMostPairHoles && a != worst_hole && b != worst_hole) continue;
        out.push_back(
            {ReadingKind::kCentres, ids[static_cast<std::size_t>(a)], ids[static_cast<std::size_t>(b)], 0.0});
      }
    }
    return out;
  }

  Reading reading_of(const NextReading& next) const {
    Reading r;
    r.kind = next.kind;
    r.from = next.from;
    r.to = next.to;
    if (!model_.readings->tapes.empty()) r.tape = static_cast<int>(model_.readings->tapes.size()) - 1;
    return r;
  }

  double sigma2_of(const Reading& r) const {
    const double sigma = model_.readings->tape_sigma_mm;
    const bool edge = is_along(r.kind) || is_across(r.kind);
    const bool new_set_up = edge && r.tape && !model_.edge_zero.contains({*r.tape, is_across(r.kind)});
    // An edge set-up that no reading has used yet brings a zero of its own.
    const double zero =
        new_set_up ? model_.readings->tapes[static_cast<std::size_t>(*r.tape)].limits.c_mm / std::sqrt(3.0)
                   : 0.0;
    return sigma * sigma + zero * zero;
  }

  /// What taking the reading takes off: q' = q - step step'.
  Eigen::VectorXd step_of(const Candidate& c) const {
    const Eigen::VectorXd q_a = with_taken(c.equation);
    return q_a / std::sqrt(sigma2_of(reading_of(c.reading)) + dot(c.equation, q_a));
  }

  /// The same for the coordinates as laid down.
  Eigen::VectorXd coordinate_step(const Eigen::VectorXd& step) const {
    Eigen::VectorXd out = Eigen::VectorXd::Zero(2 * model_.hole_count());
    for (Eigen::Index p = 0; p < out.size(); ++p) {
      const int c = columns_.of_param[static_cast<std::size_t>(p)];
      if (c >= 0) out[p] = step[c];
    }
    return change_.apply(out);
  }

  const Model& model_;
  const Columns& columns_;
  const Solution& solution_;
  const DatumChange& change_;
  std::vector<Eigen::Matrix2d> blocks_;  // of each hole, the readings taken so far included
  std::vector<Eigen::VectorXd> taken_;   // their steps: the unknowns' covariance is q less all step step'
  const double factor_;  // from the largest standard deviation to the 95 % half axis of a plane normal error
};

}  // namespace

std::vector<NextReading> propose_next(const Model& model, const Columns& columns, const Solution& solution,
                                      const DatumChange& change, const MeasuredFace& face, bool datum,
                                      int count) {
  if (count <= 0) return {};
  return Design(model, columns, solution, change, face).run(datum, count);
}

}  // namespace fairhole::survey_detail

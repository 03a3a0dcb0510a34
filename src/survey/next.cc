// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "next.h"

#include <algorithm>
#include <cmath>

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

class Design {
 public:
  Design(const Model& model, const Columns& columns, const Solution& solution, const DatumChange& change,
         const Eigen::MatrixXd& coordinates)
      : model_(model),
        columns_(columns),
        solution_(solution),
        change_(change),
        coordinates_(coordinates),
        blocks_(blocks_of(coordinates)),
        factor_(std::sqrt(chi2_quantile(0.95, 2.0))) {}

  std::vector<NextReading> run(bool datum, int count) {
    std::vector<NextReading> out;
    while (static_cast<int>(out.size()) < count) {
      const Worst before = worst();
      const NextReading* best = nullptr;
      double best_gain = 0.0;
      double best_own = kLeastGainMm;
      const std::vector<NextReading> candidates = thinkable(datum, before.hole);
      for (const NextReading& reading : candidates) {
        const Eigen::VectorXd step = coordinate_step(step_of(reading));
        const double own = gain(before, block_after(before.hole, step));
        if (own < kLeastGainMm) continue;
        const double all = gain(before, worst_after(step));
        const bool better =
            all > best_gain + kLeastGainMm || (all > best_gain - kLeastGainMm && own > best_own);
        if (!better) continue;
        best = &reading;
        best_gain = all;
        best_own = own;
      }
      if (best == nullptr) break;
      out.push_back(*best);
      out.back().gain_mm = std::max(0.0, best_gain);
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
  double gain(const Worst& before, double after) const {
    return factor_ * (std::sqrt(before.variance) - std::sqrt(after));
  }

  static std::vector<Eigen::Matrix2d> blocks_of(const Eigen::MatrixXd& coordinates) {
    std::vector<Eigen::Matrix2d> out;
    for (Eigen::Index i = 0; i < coordinates.rows(); i += 2) out.push_back(coordinates.block<2, 2>(i, i));
    return out;
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
  Eigen::VectorXd step_of(const NextReading& next) const {
    const Reading r = reading_of(next);
    Equation e;
    model_.evaluate_reading(r, solution_.state, e);
    Eigen::VectorXd step = Eigen::VectorXd::Zero(columns_.count());
    for (const Partial& p : e.partials) {
      const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
      if (c < 0) continue;
      step += p.value * solution_.q.col(c);
      for (const Eigen::VectorXd& taken : taken_) step -= p.value * taken[c] * taken;
    }
    double variance = sigma2_of(r);
    for (const Partial& p : e.partials) {
      const int c = columns_.of_param[static_cast<std::size_t>(p.param)];
      if (c >= 0) variance += p.value * step[c];
    }
    return step / std::sqrt(variance);
  }

  /// The same for the coordinates as laid down.
  Eigen::VectorXd coordinate_step(const Eigen::VectorXd& step) const {
    Eigen::VectorXd out = Eigen::VectorXd::Zero(coordinates_.rows());
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
  const Eigen::MatrixXd& coordinates_;
  std::vector<Eigen::Matrix2d> blocks_;  // of each hole, the readings taken so far included
  std::vector<Eigen::VectorXd> taken_;   // their steps: the unknowns' covariance is q less all step step'
  const double factor_;  // from the largest standard deviation to the 95 % half axis of a plane normal error
};

}  // namespace

std::vector<NextReading> propose_next(const Model& model, const Columns& columns, const Solution& solution,
                                      const DatumChange& change, const Eigen::MatrixXd& coordinates,
                                      bool datum, int count) {
  if (count <= 0) return {};
  return Design(model, columns, solution, change, coordinates).run(datum, count);
}

}  // namespace fairhole::survey_detail

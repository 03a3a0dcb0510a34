// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/hidden_slips.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "adjust.h"

namespace fairhole {
namespace {

constexpr double kNever = -std::numeric_limits<double>::infinity();
// A hole drilled or drawn out of its place, a judgement of the trade: one in fifty, half of them by more than
// 2.4 times c; density c / (pi (r + c)^3) in the plane.
constexpr double kOffShare = 0.02;
constexpr double kOffMm = 2.0;
constexpr double kFarOffMm = 20.0;   // no hole is farther off; keeps two holes' worth of data from infinities
constexpr double kSameMisfit = 0.3;  // explanations that correlate more are of one misfit
constexpr double kNothing = 1e-18;   // of a weight squared
constexpr double kWorthKeeping = 1e-7;        // of one size of one slip
constexpr double kHarmlessMm = 0.02;          // no hole moves farther
constexpr std::size_t kMostHolesAsked = 150;  // of one pattern: beyond, the drawing is not asked
constexpr double kLeastLogScatter = -2.0, kLogScatterStep = 0.5;
constexpr int kScatters = 10;

struct Chance {
  double log_weight = kNever;  // against nothing being wrong
  double mm = 0.0;             // mean size
};

/// odds x the mean over [low, high] of exp(b s - a s^2 / 2).
Chance chance_of(const DoubtfulReading::Size& size, double b, double a) {
  const double log_odds = std::log(size.odds);
  const double middle = (size.low_mm + size.high_mm) / 2.0;
  if (size.high_mm == size.low_mm || a < 1e-9) return {log_odds + middle * (b - a * middle / 2.0), middle};
  const double mean = b / a, root = std::sqrt(a);
  const double z1 = (size.low_mm - mean) * root, z2 = (size.high_mm - mean) * root;
  const double near = z1 > 0.0 ? z1 : -z2,
               far = z1 > 0.0 ? z2 : -z1;  // the tail on one side keeps its digits
  const double share = 0.5 * (std::erfc(near / std::numbers::sqrt2) - std::erfc(far / std::numbers::sqrt2));
  if (share <= 0.0) return {};
  const double slope =
      (std::exp(-z1 * z1 / 2.0) - std::exp(-z2 * z2 / 2.0)) / std::sqrt(2.0 * std::numbers::pi);
  return {log_odds + mean * b / 2.0 +
              std::log(share * std::sqrt(2.0 * std::numbers::pi / a) / (size.high_mm - size.low_mm)),
          mean + slope / (share * root)};
}

double log_sum(double a, double b) {
  const double most = std::max(a, b);
  return most == kNever ? kNever : most + std::log(std::exp(a - most) + std::exp(b - most));
}

/// The matched holes about the drawing, pose open.
struct Misfit {
  Eigen::VectorXd off_mm;      // 2m: measured less posed
  Eigen::MatrixXd covariance;  // of the survey
  Eigen::MatrixXd pose;        // 2m x 3
  Eigen::MatrixXd pulls;       // 2m x readings
};

Misfit misfit_of(const MeasuredFace& face, const Registration& registration) {
  std::vector<Eigen::Index> rows;
  std::vector<Eigen::Vector2d> off, at;
  for (const Match& match : registration.matches) {
    for (std::size_t h = 0; h < face.holes.size(); ++h) {
      if (face.holes[h].id != match.measured) continue;
      rows.push_back(2 * static_cast<Eigen::Index>(h));
      rows.push_back(2 * static_cast<Eigen::Index>(h) + 1);
      off.push_back(match.residual_mm);
      at.push_back(face.holes[h].centre_mm);
    }
  }
  Misfit out;
  const auto size = static_cast<Eigen::Index>(rows.size());
  const bool asked = off.size() > 1 && off.size() <= kMostHolesAsked;
  if (!asked) rows.clear();
  out.off_mm.resize(asked ? size : 0);
  out.pose.resize(out.off_mm.size(), 3);
  for (std::size_t k = 0; asked && k < off.size(); ++k) {
    const auto row = 2 * static_cast<Eigen::Index>(k);
    const Eigen::Vector2d arm = at[k] - at.front();
    out.off_mm.segment<2>(row) = off[k];
    out.pose.row(row) << 1.0, 0.0, -arm.y();
    out.pose.row(row + 1) << 0.0, 1.0, arm.x();
  }
  out.covariance = face.full_covariance_mm2()(rows, rows);
  out.pulls.resize(out.off_mm.size(), static_cast<Eigen::Index>(face.doubtful.size()));
  for (std::size_t i = 0; i < face.doubtful.size(); ++i)
    out.pulls.col(static_cast<Eigen::Index>(i)) = face.doubtful[i].per_mm(rows);
  return out;
}

/// All explanations at one scatter, taken one after the other.
class Explanations {
 public:
  Explanations(const Misfit& misfit, const std::vector<DoubtfulReading>& readings, double scatter_mm)
      : misfit_(misfit), readings_(readings), open_(readings.size(), true), off_open_(holes(), true) {
    const Eigen::Index n = misfit.off_mm.size();
    log_evidence = 0.0;
    weight_ = Eigen::MatrixXd::Zero(n, n);
    if (n > 0) {
      const Eigen::MatrixXd v = misfit.covariance + scatter_mm * scatter_mm * Eigen::MatrixXd::Identity(n, n);
      const Eigen::LLT<Eigen::MatrixXd> llt(v);
      const Eigen::MatrixXd w = llt.solve(Eigen::MatrixXd::Identity(n, n));
      const Eigen::MatrixXd wj = w * misfit.pose;
      const Eigen::Matrix3d of_pose = misfit.pose.transpose() * wj;
      weight_ = w - wj * of_pose.ldlt().solve(wj.transpose());
      const double log_det = 2.0 * llt.matrixLLT().diagonal().array().log().sum();
      log_evidence = -0.5 * (log_det + std::log(std::abs(of_pose.determinant())));
    }
    pull_ = weight_ * misfit.off_mm;
    log_evidence -= 0.5 * misfit.off_mm.dot(pull_);
    chances.resize(readings.size());
    probability.resize(readings.size());
  }

  /// Fills `chances` (of each size, given that it is a slip) and `probability` of each reading.
  void weigh() {
    while (take_likeliest()) {
    }
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      if (open_[i]) settle(i, log_sum(0.0, look_at(i)));
    }
  }

  double log_evidence = 0.0;
  std::vector<std::vector<Chance>> chances;
  std::vector<std::vector<double>> probability;  // of each size

 private:
  struct Off {
    double log_weight = kNever;
    Eigen::Vector2d by_mm = Eigen::Vector2d::Zero();
  };

  std::size_t holes() const { return static_cast<std::size_t>(misfit_.off_mm.size() / 2); }
  Eigen::VectorXd pull_of(std::size_t i) const { return misfit_.pulls.col(static_cast<Eigen::Index>(i)); }
  double information(std::size_t i) const {
    return readings_[i].information + pull_of(i).dot(weight_ * pull_of(i));
  }
  double score(std::size_t i) const { return readings_[i].score + pull_of(i).dot(pull_); }

  /// log weight of the reading being a slip, of whatever size.
  double look_at(std::size_t i) {
    const double a = information(i), b = score(i);
    double sum = kNever;
    chances[i].clear();
    for (const DoubtfulReading::Size& size : readings_[i].sizes) {
      chances[i].push_back(chance_of(size, b, a));
      sum = log_sum(sum, chances[i].back().log_weight);
    }
    return sum;
  }

  Eigen::Matrix2d off_information(std::size_t h) const {
    const auto row = 2 * static_cast<Eigen::Index>(h);
    return weight_.block<2, 2>(row, row) + Eigen::Matrix2d::Identity() / (kFarOffMm * kFarOffMm);
  }

  /// The hole itself stands off: Laplace's approximation about where it then would stand.
  Off look_at_hole(std::size_t h) const {
    const Eigen::Matrix2d a = off_information(h);
    const Eigen::Vector2d b = pull_.segment<2>(2 * static_cast<Eigen::Index>(h));
    Off off;
    off.by_mm = a.inverse() * b;
    const double r = off.by_mm.norm() + kOffMm;
    off.log_weight = std::log(kOffShare * kOffMm / (std::numbers::pi * r * r * r)) +
                     std::log(2.0 * std::numbers::pi) - 0.5 * std::log(a.determinant()) +
                     0.5 * b.dot(off.by_mm);
    return off;
  }

  Eigen::VectorXd direction_of(std::size_t h, const Off& off) const {
    Eigen::VectorXd out = Eigen::VectorXd::Zero(misfit_.off_mm.size());
    out.segment<2>(2 * static_cast<Eigen::Index>(h)) = off.by_mm.normalized();
    return out;
  }

  void settle(std::size_t i, double log_total) {
    open_[i] = false;
    for (const Chance& chance : chances[i]) probability[i].push_back(std::exp(chance.log_weight - log_total));
  }

  /// The likeliest explanation that beats "nothing is wrong", with all that explain the same; false if none.
  bool take_likeliest() {
    std::vector<double> slips(readings_.size(), kNever);
    std::vector<Off> offs(holes());
    double best = 0.0;
    int slip = -1, hole = -1;  // a hole, if both
    for (std::size_t i = 0; i < slips.size(); ++i) {
      if (!open_[i]) continue;
      slips[i] = look_at(i);
      if (slips[i] > best) best = slips[i], slip = static_cast<int>(i);
    }
    for (std::size_t h = 0; h < offs.size(); ++h) {
      if (!off_open_[h]) continue;
      offs[h] = look_at_hole(h);
      if (offs[h].log_weight > best) best = offs[h].log_weight, hole = static_cast<int>(h);
    }
    if (slip < 0 && hole < 0) return false;
    share_among_alike(slip, hole, slips, offs);
    hole >= 0 ? leave_open_hole(static_cast<std::size_t>(hole))
              : leave_open_slip(static_cast<std::size_t>(slip));
    return true;
  }

  /// The likeliest is a slip, or (`hole` not negative) a hole that stands off.
  void share_among_alike(int slip, int hole, const std::vector<double>& slips, const std::vector<Off>& offs) {
    const Eigen::VectorXd direction =
        hole >= 0 ? direction_of(static_cast<std::size_t>(hole), offs[static_cast<std::size_t>(hole)])
                  : pull_of(static_cast<std::size_t>(slip));
    const Eigen::VectorXd weighted = weight_ * direction;
    const double size = direction.dot(weighted);
    const auto alike = [&](const Eigen::VectorXd& other) {
      const double both = size * other.dot(weight_ * other);
      return both > kNothing && std::abs(other.dot(weighted)) >= kSameMisfit * std::sqrt(both);
    };
    double total = 0.0;  // log 1: nothing is wrong
    std::vector<std::size_t> group;
    for (std::size_t i = 0; i < slips.size(); ++i) {
      if (!open_[i] || (static_cast<int>(i) != slip && !alike(pull_of(i)))) continue;
      group.push_back(i);
      total = log_sum(total, slips[i]);
    }
    for (std::size_t h = 0; h < offs.size(); ++h) {
      if (!off_open_[h] || (static_cast<int>(h) != hole && !alike(direction_of(h, offs[h])))) continue;
      off_open_[h] = false;
      total = log_sum(total, offs[h].log_weight);
    }
    for (const std::size_t i : group) settle(i, total);
    log_evidence += total;
  }

  /// What is left of the misfit when that reading may be wrong by any amount.
  void leave_open_slip(std::size_t i) {
    const double a = information(i), b = score(i);
    if (a < 1e-9) return;
    const Eigen::VectorXd weighted = weight_ * pull_of(i);
    pull_ -= weighted * (b / a);
    weight_ -= weighted * weighted.transpose() / a;
  }

  void leave_open_hole(std::size_t h) {
    const auto row = 2 * static_cast<Eigen::Index>(h);
    const Eigen::Matrix2d inverse = off_information(h).inverse();
    const Eigen::MatrixXd weighted = weight_.middleCols<2>(row);
    pull_ -= weighted * (inverse * pull_.segment<2>(row)).eval();
    weight_ -= weighted * inverse * weighted.transpose();
  }

  const Misfit& misfit_;
  const std::vector<DoubtfulReading>& readings_;
  std::vector<bool> open_, off_open_;
  Eigen::MatrixXd weight_;  // of the misfit, what is open taken out
  Eigen::VectorXd pull_;    // weight times misfit
};

HiddenSlip hidden_slip(const DoubtfulReading& reading) {
  HiddenSlip slip{reading.row, reading.hole, reading.text, reading.per_mm, {}};
  slip.sizes.resize(reading.sizes.size());
  return slip;
}

double farthest_mm(const HiddenSlip& slip, const HiddenSlip::Size& size) {
  return slip.per_mm.size() == 0 ? 0.0 : std::abs(size.mm) * slip.per_mm.cwiseAbs().maxCoeff();
}

}  // namespace

std::vector<HiddenSlip> hidden_slips(const MeasuredFace& face, const Registration& registration,
                                     double expected_scatter_mm) {
  if (face.doubtful.empty()) return {};
  const Misfit misfit = misfit_of(face, registration);
  std::vector<Explanations> all;
  std::vector<double> log_weight;
  for (int k = 0; k < kScatters; ++k) {
    const double z = kLeastLogScatter + kLogScatterStep * k;
    all.emplace_back(misfit, face.doubtful, expected_scatter_mm * std::exp(z)).weigh();
    log_weight.push_back(all.back().log_evidence + log_scatter_prior(z));
  }
  const double most = *std::max_element(log_weight.begin(), log_weight.end());
  double sum = 0.0;
  for (double& weight : log_weight) sum += weight = std::exp(weight - most);
  std::vector<HiddenSlip> out;
  for (std::size_t i = 0; i < face.doubtful.size(); ++i) {
    HiddenSlip slip = hidden_slip(face.doubtful[i]);
    for (std::size_t t = 0; t < all.size(); ++t) {
      for (std::size_t k = 0; k < slip.sizes.size(); ++k) {
        const double p = log_weight[t] / sum * all[t].probability[i][k];
        slip.sizes[k].probability += p;
        slip.sizes[k].mm += p * all[t].chances[i][k].mm;
      }
    }
    for (HiddenSlip::Size& size : slip.sizes) size.mm /= std::max(size.probability, 1e-300);
    std::erase_if(slip.sizes, [&](const HiddenSlip::Size& size) {
      return size.probability < kWorthKeeping || farthest_mm(slip, size) < kHarmlessMm;
    });
    if (!slip.sizes.empty()) out.push_back(std::move(slip));
  }
  return out;
}

}  // namespace fairhole

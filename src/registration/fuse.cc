// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/fuse.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <set>

#include "fairhole/geometry/statistics.h"
#include "tie_adjustment.h"

namespace fairhole {
namespace {

constexpr double kDisputeChance = 0.001;
constexpr double kMostScale = 0.01;  // tape or print: more is a slip
constexpr std::size_t kLeastForScale = 3;

/// The tie that fits worst by its own test, given all others (Baarda 1968 for one condition; here for two).
struct Worst {
  std::size_t tie = 0;
  double chance = 1.0;
  Eigen::Vector2d apart = Eigen::Vector2d::Zero();  ///< what the two say, less each other, all others given
};

Worst worst_of(const TieAdjustment& adjustment, const std::vector<Tie>& ties) {
  Worst worst;
  const Eigen::VectorXd pull = adjustment.weight() * adjustment.misfit();
  for (std::size_t t = 0; t < ties.size(); ++t) {
    const auto row = 2 * static_cast<Eigen::Index>(t);
    const Eigen::Matrix2d own = adjustment.weight().block<2, 2>(row, row);
    const Eigen::Vector2d apart = own.inverse() * pull.segment<2>(row);
    const double chance = chi2_upper_tail(apart.dot(own * apart), 2.0);
    if (chance < worst.chance) worst = {t, chance, apart};
  }
  return worst;
}

struct ScaleTest {
  double apart = 0.0, chance = 1.0;
};

Eigen::VectorXd spread_about_middle(const MeasuredFace& face) {
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const MeasuredHole& hole : face.holes)
    middle += hole.centre_mm / static_cast<double>(face.holes.size());
  Eigen::VectorXd arms(2 * static_cast<Eigen::Index>(face.holes.size()));
  for (std::size_t i = 0; i < face.holes.size(); ++i)
    arms.segment<2>(2 * static_cast<Eigen::Index>(i)) = face.holes[i].centre_mm - middle;
  return arms;
}

ScaleTest test_scale(const TieAdjustment& adjustment, const std::vector<Tie>& ties,
                     const Eigen::VectorXd& arms) {
  Eigen::VectorXd slope = Eigen::VectorXd::Zero(adjustment.rows());
  for (std::size_t t = 0; t < ties.size(); ++t)
    if (ties[t].edge == nullptr)
      slope.segment<2>(2 * static_cast<Eigen::Index>(t)) =
          adjustment.place().linear() * arms.segment<2>(2 * static_cast<Eigen::Index>(ties[t].loose));
  const double known = slope.dot(adjustment.weight() * slope);
  if (!(known > 0.0)) return {};
  const double apart = slope.dot(adjustment.weight() * adjustment.misfit()) / known;
  const auto holes = std::ranges::count_if(ties, [](const Tie& tie) { return tie.edge == nullptr; });
  if (static_cast<std::size_t>(holes) < kLeastForScale || std::abs(apart) > kMostScale) return {};
  return {apart, chi2_upper_tail(apart * apart * known, 1.0)};
}

/// Two diameters of one hole: weighted, and wider where they disagree. The oval is that of the surer. Returns
/// their difference where that is beyond both claims.
double join_size(MeasuredHole& hole, const MeasuredHole& other) {
  if (!other.diameter_mm) return 0.0;
  if (!hole.diameter_mm || other.diameter_sigma_mm < hole.diameter_sigma_mm) {
    hole.ovality_mm = other.ovality_mm;
    hole.ovality_axis_rad = other.ovality_axis_rad;
  }
  if (!hole.diameter_mm) {
    hole.diameter_mm = other.diameter_mm;
    hole.diameter_sigma_mm = other.diameter_sigma_mm;
    return 0.0;
  }
  const double a = std::max(std::pow(hole.diameter_sigma_mm, 2), 1e-8),
               b = std::max(std::pow(other.diameter_sigma_mm, 2), 1e-8);
  const double difference = *other.diameter_mm - *hole.diameter_mm;
  *hole.diameter_mm += difference * a / (a + b);
  const double misfit = difference * difference / (a + b);
  hole.diameter_sigma_mm = std::sqrt(a * b / (a + b) * std::max(1.0, misfit));
  return chi2_upper_tail(misfit, 1.0) < kDisputeChance ? std::abs(difference) : 0.0;
}

class Fuser {
 public:
  Fuser(const MeasuredFace& fixed, const LooseFace& loose) : fixed_(fixed), loose_(loose) {}

  Result<FusedFace> run() {
    Motion start = loose_.face_from_loose;
    if (!fixed_.holes.empty()) {
      const Result<SharedHoles> shared = find_shared_holes(fixed_, loose_);
      if (!shared) return shared.problems();
      start = shared->face_from_loose;
      for (const auto& [f, l] : shared->pairs) ties_.push_back({f, l, nullptr});
      same_ = shared->pairs;
    }
    for (const EdgeTie& edge : loose_.edges) ties_.push_back({0, 0, &edge});
    Eigen::MatrixXd loose_cov = loose_.measured.full_covariance_mm2();
    const Eigen::VectorXd arms = spread_about_middle(loose_.measured);
    while (true) {
      TieAdjustment adjustment(fixed_, loose_, start, loose_cov);
      adjustment.solve(ties_);
      const Worst worst = worst_of(adjustment, ties_);
      const ScaleTest scale = out_.scale_apart ? ScaleTest{} : test_scale(adjustment, ties_, arms);
      if (std::min(worst.chance, scale.chance) >= kDisputeChance) return finish(adjustment);
      if (scale.chance <= worst.chance) {
        out_.scale_apart = scale.apart;
        loose_cov += scale.apart * scale.apart * arms * arms.transpose();
      } else if (Problems problems = dispute(worst); !problems.empty()) {
        return problems;
      }
    }
  }

 private:
  std::string name_of(const Tie& tie) const {
    return tie.edge != nullptr ? tie.edge->name : fixed_.holes[tie.fixed].id;
  }

  Problems dispute(const Worst& worst) {
    const Tie tie = ties_[worst.tie];
    const double apart = tie.edge != nullptr ? std::abs(worst.apart.x()) : worst.apart.norm();
    if (2 * (ties_.size() - 1) <= static_cast<std::size_t>(TieAdjustment::kPoseUnknowns)) {
      std::vector<std::string> names;
      for (const Tie& one : ties_) names.push_back(name_of(one));
      return {
          {codes::kFuseDisagree, "",
           fmt::format("the two measurements of this face cannot be brought to agree: {} come out {:.1f} "
                       "mm apart, and too little is left to say which is right",
                       fmt::join(names, " and "), apart),
           "look which hole was misread, and whether the print was measured; measure one of the two again"}};
    }
    ties_.erase(ties_.begin() + static_cast<std::ptrdiff_t>(worst.tie));
    const std::string what = name_of(tie);
    out_.disputes.push_back({what, tie.edge != nullptr, false, apart});
    if (tie.edge == nullptr) disputed_.insert({tie.fixed, tie.loose});
    return {};
  }

  /// A hole of the loose face that overlaps one it was not taken for: a slip of centimetres in one of the
  /// two.
  void dispute_overlaps(const TieAdjustment& adjustment) {
    const auto is_shared = [&](std::size_t f, std::size_t l) {
      return std::ranges::any_of(same_, [&](const auto& p) { return p.first == f || p.second == l; });
    };
    for (std::size_t l = 0; l < loose_.measured.holes.size(); ++l)
      for (std::size_t f = 0; f < fixed_.holes.size(); ++f) {
        const double apart =
            (adjustment.fixed_hole(f) - adjustment.place() * adjustment.loose_hole(l)).norm();
        if (is_shared(f, l) || apart > loose_.measured.holes[l].diameter_mm.value_or(0.0)) continue;
        same_.emplace_back(f, l);
        disputed_.insert({f, l});
        out_.disputes.push_back({fixed_.holes[f].id, false, false, apart});
      }
  }

  FusedFace finish(const TieAdjustment& adjustment) {
    dispute_overlaps(adjustment);
    std::set<std::size_t> shared_loose;
    for (const auto& pair : same_) shared_loose.insert(pair.second);
    std::vector<std::size_t> from_fixed, from_loose;
    for (std::size_t i = 0; i < fixed_.holes.size(); ++i) {
      const auto pair = std::ranges::find_if(same_, [&](const auto& p) { return p.first == i; });
      if (pair != same_.end() && disputed_.contains(*pair)) continue;
      MeasuredHole hole = fixed_.holes[i];
      hole.centre_mm = adjustment.fixed_hole(i);
      if (pair != same_.end()) {
        const double apart = join_size(hole, turned(loose_.measured.holes[pair->second], adjustment.place()));
        if (apart > 0.0) out_.disputes.push_back({hole.id, false, true, apart});
        out_.same.emplace_back(hole.id, loose_.measured.holes[pair->second].id);
      }
      out_.face.holes.push_back(hole);
      from_fixed.push_back(i);
    }
    add_loose_holes(adjustment, shared_loose, from_loose);
    out_.face.covariance_mm2 = adjustment.face_covariance(from_fixed, from_loose);
    for (std::size_t i = 0; i < out_.face.holes.size(); ++i) {
      const auto row = 2 * static_cast<Eigen::Index>(i);
      out_.face.holes[i].centre_cov_mm2 = out_.face.covariance_mm2.block<2, 2>(row, row);
    }
    out_.face_from_loose = adjustment.place();
    out_.chi2 = adjustment.misfit().dot(adjustment.weight() * adjustment.misfit());
    out_.dof = static_cast<int>(adjustment.rows());
    return std::move(out_);
  }

  static MeasuredHole turned(MeasuredHole hole, const Motion& place) {
    hole.ovality_axis_rad =
        place.turn.radians() + (place.mirrored ? -hole.ovality_axis_rad : hole.ovality_axis_rad);
    return hole;
  }

  void add_loose_holes(const TieAdjustment& adjustment, const std::set<std::size_t>& shared,
                       std::vector<std::size_t>& from_loose) {
    for (std::size_t i = 0; i < loose_.measured.holes.size(); ++i)
      if (!shared.contains(i)) from_loose.push_back(i);
    const auto place_of = [&](std::size_t i) { return adjustment.place() * adjustment.loose_hole(i); };
    std::ranges::sort(from_loose, {},
                      [&](std::size_t i) { return std::pair(place_of(i).x(), place_of(i).y()); });
    int number = 0;
    for (const std::size_t i : from_loose) {
      MeasuredHole hole = turned(loose_.measured.holes[i], adjustment.place());
      do hole.id = fmt::format("P{}", ++number);
      while (fixed_.find(hole.id) != nullptr);
      hole.centre_mm = place_of(i);
      out_.same.emplace_back(hole.id, loose_.measured.holes[i].id);
      out_.face.holes.push_back(hole);
    }
  }

  const MeasuredFace& fixed_;
  const LooseFace& loose_;
  std::vector<Tie> ties_;
  std::vector<std::pair<std::size_t, std::size_t>> same_;
  std::set<std::pair<std::size_t, std::size_t>> disputed_;
  FusedFace out_;
};

}  // namespace

Result<FusedFace> fuse(const MeasuredFace& fixed, const LooseFace& loose) {
  return Fuser(fixed, loose).run();
}

}  // namespace fairhole

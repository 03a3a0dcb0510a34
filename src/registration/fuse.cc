// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/registration/fuse.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <set>

#include "fairhole/geometry/statistics.h"

namespace fairhole {
namespace {

constexpr double kSameSigmaMm = 0.01;  // two instruments' idea of one hole's centre
constexpr double kDisputeChance = 0.001;
constexpr double kMostScale = 0.01;  // tape or print: more is a slip
constexpr std::size_t kLeastForScale = 3;
constexpr int kPoseUnknowns = 3;
constexpr int kMostRounds = 20;
constexpr double kStillMm = 1e-9;

/// One thing that ties the loose frame: a hole seen by both (two rows), or an edge (offset and turn).
struct Tie {
  std::size_t fixed = 0, loose = 0;  // of a hole
  const EdgeTie* edge = nullptr;     // of an edge
};

/// Condition adjustment: state = fixed holes, loose holes, place (x, y, turn), each with its prior; the ties
/// are conditions c(state) = 0. Solved as an iterated update (Jazwinski 1970, Stochastic Processes and
/// Filtering Theory, section 8.3), which bears exact coordinates (zero variance).
class Adjustment {
 public:
  Adjustment(const MeasuredFace& fixed, const LooseFace& loose, const Motion& start,
             const Eigen::MatrixXd& loose_cov)
      : fixed_(fixed), loose_(loose), nf_(2 * count(fixed)), nl_(2 * count(loose.measured)) {
    const Eigen::Index n = nf_ + nl_ + kPoseUnknowns;
    prior_ = Eigen::VectorXd::Zero(n);
    covariance_ = Eigen::MatrixXd::Zero(n, n);
    put(fixed, 0);
    put(loose.measured, nf_);
    covariance_.topLeftCorner(nf_, nf_) = fixed.full_covariance_mm2();
    covariance_.block(nf_, nf_, nl_, nl_) = loose_cov;
    prior_.tail<3>() << loose.face_from_loose.shift_mm, loose.face_from_loose.turn.radians();
    covariance_.bottomRightCorner<3, 3>().diagonal() << std::pow(loose.shift_sigma_mm, 2),
        std::pow(loose.shift_sigma_mm, 2), std::pow(loose.turn_sigma_rad, 2);
    state_ = prior_;
    const double turn = std::remainder(start.turn.radians() - prior_[n - 1], 2.0 * M_PI);
    state_.tail<3>() << start.shift_mm, prior_[n - 1] + turn;
  }

  void solve(const std::vector<Tie>& ties) {
    rows_ = 0;
    for (const Tie& tie : ties) rows_ += rows_of(tie);
    for (int round = 0; round < kMostRounds; ++round) {
      linearise(ties);
      const Eigen::VectorXd next = rows_ == 0 ? prior_ : Eigen::VectorXd(prior_ - gain() * misfit_);
      const double moved = (next - state_).cwiseAbs().maxCoeff();
      state_ = next;
      if (moved < kStillMm) break;
    }
    linearise(ties);
  }

  Motion place() const {
    return {state_.segment<2>(nf_ + nl_), Angle::radians(state_[nf_ + nl_ + 2]),
            loose_.face_from_loose.mirrored};
  }
  Eigen::Index rows() const { return rows_; }
  const Eigen::VectorXd& misfit() const { return misfit_; }
  const Eigen::MatrixXd& weight() const { return weight_; }  ///< inverse covariance of the misfit

  Eigen::Vector2d fixed_hole(std::size_t i) const {
    return state_.segment<2>(2 * static_cast<Eigen::Index>(i));
  }
  Eigen::Vector2d loose_hole(std::size_t i) const {
    return state_.segment<2>(nf_ + 2 * static_cast<Eigen::Index>(i));
  }

  /// Covariance of holes on the face: those of `fixed`, then those of `loose`, by index.
  Eigen::MatrixXd face_covariance(const std::vector<std::size_t>& fixed,
                                  const std::vector<std::size_t>& loose) const {
    const Eigen::Index n = 2 * static_cast<Eigen::Index>(fixed.size() + loose.size());
    Eigen::MatrixXd select = Eigen::MatrixXd::Zero(n, prior_.size());
    Eigen::Index row = 0;
    for (const std::size_t i : fixed) {
      select.block<2, 2>(row, 2 * static_cast<Eigen::Index>(i)).setIdentity();
      row += 2;
    }
    for (const std::size_t i : loose) {
      select.block<2, 2>(row, nf_ + 2 * static_cast<Eigen::Index>(i)) = place().linear();
      select.block<2, 3>(row, nf_ + nl_) = by_place(loose_hole(i));
      row += 2;
    }
    Eigen::MatrixXd after = covariance_;
    if (rows_ > 0) after -= gain() * slope_ * covariance_;
    const Eigen::MatrixXd out = select * after * select.transpose();
    return 0.5 * (out + out.transpose());
  }

  static Eigen::Index rows_of(const Tie&) { return 2; }

 private:
  static Eigen::Index count(const MeasuredFace& face) { return static_cast<Eigen::Index>(face.holes.size()); }
  void put(const MeasuredFace& face, Eigen::Index from) {
    for (std::size_t i = 0; i < face.holes.size(); ++i)
      prior_.segment<2>(from + 2 * static_cast<Eigen::Index>(i)) = face.holes[i].centre_mm;
  }

  /// Derivative of a loose point on the face by x, y, turn.
  Eigen::Matrix<double, 2, 3> by_place(const Eigen::Vector2d& loose_mm) const {
    const Eigen::Vector2d arm = place().linear() * loose_mm;
    Eigen::Matrix<double, 2, 3> slope;
    slope << 1.0, 0.0, -arm.y(), 0.0, 1.0, arm.x();
    return slope;
  }

  Eigen::MatrixXd gain() const { return covariance_ * slope_.transpose() * weight_; }

  /// Misfit of the conditions at the prior, by their slope at the present state.
  void linearise(const std::vector<Tie>& ties) {
    Eigen::VectorXd value = Eigen::VectorXd::Zero(rows_), noise = value;
    slope_ = Eigen::MatrixXd::Zero(rows_, prior_.size());
    const Eigen::Index at_place = nf_ + nl_;
    Eigen::Index row = 0;
    for (const Tie& tie : ties) {
      if (tie.edge == nullptr) {
        const Eigen::Vector2d seen = loose_hole(tie.loose);
        value.segment<2>(row) = fixed_hole(tie.fixed) - place() * seen;
        slope_.block<2, 2>(row, 2 * static_cast<Eigen::Index>(tie.fixed)).setIdentity();
        slope_.block<2, 2>(row, nf_ + 2 * static_cast<Eigen::Index>(tie.loose)) = -place().linear();
        slope_.block<2, 3>(row, at_place) = -by_place(seen);
        noise.segment<2>(row).setConstant(kSameSigmaMm * kSameSigmaMm);
      } else {
        const EdgeTie& edge = *tie.edge;
        const Eigen::Vector2d middle = 0.5 * (edge.a_mm + edge.b_mm),
                              along = (edge.b_mm - edge.a_mm).normalized();
        value[row] = edge.across.dot(place() * middle - edge.on_mm);
        slope_.block<1, 3>(row, at_place) = edge.across.transpose() * by_place(middle);
        value[row + 1] = edge.across.dot(place().linear() * along);
        slope_(row + 1, at_place + 2) = (edge.across.transpose() * by_place(along))[2];
        noise.segment<2>(row) << std::pow(edge.offset_sigma_mm, 2), std::pow(edge.turn_sigma_rad, 2);
      }
      row += rows_of(tie);
    }
    misfit_ = value + slope_ * (prior_ - state_);
    Eigen::MatrixXd spread = slope_ * covariance_ * slope_.transpose();
    spread.diagonal() += noise;
    weight_ = spread.ldlt().solve(Eigen::MatrixXd::Identity(rows_, rows_));
  }

  const MeasuredFace& fixed_;
  const LooseFace& loose_;
  Eigen::Index nf_, nl_, rows_ = 0;
  Eigen::VectorXd prior_, state_, misfit_;
  Eigen::MatrixXd covariance_, slope_, weight_;
};

/// The tie that fits worst by its own test, given all others (Baarda 1968 for one condition; here for two).
struct Worst {
  std::size_t tie = 0;
  double chance = 1.0;
  Eigen::Vector2d apart = Eigen::Vector2d::Zero();  ///< what the two say, less each other, all others given
};

Worst worst_of(const Adjustment& adjustment, const std::vector<Tie>& ties) {
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

ScaleTest test_scale(const Adjustment& adjustment, const std::vector<Tie>& ties,
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
      Adjustment adjustment(fixed_, loose_, start, loose_cov);
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
    if (2 * (ties_.size() - 1) <= static_cast<std::size_t>(kPoseUnknowns)) {
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
  void dispute_overlaps(const Adjustment& adjustment) {
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

  FusedFace finish(const Adjustment& adjustment) {
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

  void add_loose_holes(const Adjustment& adjustment, const std::set<std::size_t>& shared,
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

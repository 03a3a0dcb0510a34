// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Eigenvalues>
#include <cmath>
#include <map>
#include <random>

#include "fairhole/fairing/plan.h"
#include "fairhole/fairing/rules.h"

/// What happens on the shop floor, written down a second time from the plan alone: nothing here calls the
/// module. A part hangs on its two locating holes as they really come, by a true rotation; a shank finds its
/// way by search.
namespace fairhole::test {

class ShopFloor {
 public:
  ShopFloor(const Assembly& assembly, const FairingRules& rules, unsigned seed)
      : assembly_(assembly), rules_(rules), random_(seed) {
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(assembly.covariance_mm2);
    root_ = solver.eigenvectors() * solver.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
  }

  /// Errors of every old centre: true place less measured place.
  Eigen::VectorXd survey_errors() {
    Eigen::VectorXd z(root_.cols());
    for (double& value : z) value = normal();
    Eigen::VectorXd error = root_ * z;
    for (const AssemblySlip& slip : assembly_.slips) {
      double u = uniform() + 0.5;
      for (const HiddenSlip::Size& size : slip.sizes) {
        if (u >= 0.0 && u < size.probability)  // measured where the slip laid it, and truly not there
          error.segment(slip.first_row, slip.per_mm.size()) -= size.mm * slip.per_mm;
        u -= size.probability;
      }
    }
    return error;
  }

  /// Whether each stack of the plan goes together in one run of the shop.
  std::vector<bool> build(const Plan& plan, const Eigen::VectorXd& survey) {
    Ends ends, moved_ends;
    for (const SeatPlan& seat : plan.seats) {
      if (seat.locating_a.empty()) {  // hung on one hole, it is shifted with it and set square by eye
        const Eigen::Vector2d shift = error(rules_.setting_sigma_mm) - only_hole_error(seat.joint, survey);
        const Eigen::Vector2d along = Eigen::Vector2d::UnitX();
        ends[seat.joint] = {-along, along};
        moved_ends[seat.joint] = {shift - along, shift + along};
        continue;
      }
      // The true holes are set where the plan has the measured ones.
      const auto [a, true_a] = hole_of(seat.joint, seat.locating_a, survey);
      const auto [b, true_b] = hole_of(seat.joint, seat.locating_b, survey);
      ends[seat.joint] = {true_a, true_b};
      moved_ends[seat.joint] = {a + error(rules_.setting_sigma_mm), b + error(rules_.setting_sigma_mm)};
    }
    hang_together(plan, ends, moved_ends);
    std::vector<bool> good;
    for (std::size_t i = 0; i < plan.stacks.size(); ++i) {
      const StackPlan& stack = plan.stacks[i];
      const Eigen::Vector2d rounding =
          rules_.drilling.rounding_step_mm * Eigen::Vector2d{uniform(), uniform()};
      const Eigen::Vector2d drilled = stack.centre_mm + rounding + error(rules_.drilling.punch_sigma_mm) +
                                      error(rules_.drilling.wander_sigma_mm);
      std::vector<Eigen::Vector2d> centres;
      for (const OldLayer& layer : assembly_.stacks[i].layers) {
        const Eigen::Vector2d at = layer.centre_mm + survey.segment<2>(2 * layer.covariance_index);
        const auto& [a, b] = ends[layer.joint];
        const auto& [ma, mb] = moved_ends[layer.joint];
        const double turn = std::atan2((mb - ma).y(), (mb - ma).x()) - std::atan2((b - a).y(), (b - a).x());
        const Eigen::Rotation2Dd rotation(turn);
        centres.push_back((ma + mb) / 2.0 + rotation * (at - (a + b) / 2.0));
      }
      good.push_back(goes_together(stack, assembly_.stacks[i], centres, drilled));
    }
    return good;
  }

 private:
  using Ends = std::map<std::string, std::pair<Eigen::Vector2d, Eigen::Vector2d>>;

  /// A body is off by one error along what it moves in with all of its faces; a face on two holes by less
  /// than one on a single hole.
  void hang_together(const Plan& plan, const Ends& ends, Ends& moved_ends) const {
    const auto holes = [&plan](std::size_t seat) { return plan.seats[seat].locating_a.empty() ? 1.0 : 2.0; };
    const auto off = [&](const std::string& joint) -> Eigen::Vector2d {
      const auto &was = ends.at(joint), &is = moved_ends.at(joint);
      return (is.first + is.second - was.first - was.second) / 2.0;
    };
    for (const Mover& mover : assembly_.movers) {
      const SeatRange* ranges[] = {&mover.play.dx_mm, &mover.play.dy_mm};
      for (std::size_t k = 1; k < mover.followers.size(); ++k) {
        const Mover::Follower &a = mover.followers.front(), &b = mover.followers[k];
        const std::string& joint_a = assembly_.seats[a.seat].joint;
        const std::string& joint_b = assembly_.seats[b.seat].joint;
        if (!has_holes(joint_a) || !has_holes(joint_b)) continue;
        for (int way = 0; way < 2; ++way) {
          if (!(ranges[way]->most > ranges[way]->least)) continue;
          const double wanted =
              std::sqrt(holes(a.seat) / holes(b.seat)) * off(joint_a).dot(a.plate_from_mover.col(way));
          const Eigen::Vector2d along = b.plate_from_mover.col(way);
          const Eigen::Vector2d more = (wanted - off(joint_b).dot(along)) * along;
          moved_ends.at(joint_b).first += more;
          moved_ends.at(joint_b).second += more;
        }
      }
    }
  }

  bool has_holes(const std::string& joint) const {
    for (const Stack& stack : assembly_.stacks) {
      for (const OldLayer& layer : stack.layers) {
        if (layer.joint == joint) return true;
      }
    }
    return false;
  }

  double normal() { return normal_(random_); }
  double uniform() { return uniform_(random_); }
  Eigen::Vector2d error(double sigma) {
    const double x = normal();
    return sigma * Eigen::Vector2d(x, normal());
  }

  /// Where a hole was measured to stand, and where it truly does.
  std::pair<Eigen::Vector2d, Eigen::Vector2d> hole_of(const std::string& joint, const std::string& id,
                                                      const Eigen::VectorXd& survey) const {
    for (const Stack& stack : assembly_.stacks) {
      for (const OldLayer& layer : stack.layers) {
        if (stack.id == id && layer.joint == joint)
          return {layer.centre_mm, layer.centre_mm + survey.segment<2>(2 * layer.covariance_index)};
      }
    }
    return {Eigen::Vector2d::Zero(), Eigen::Vector2d::Zero()};
  }

  Eigen::Vector2d only_hole_error(const std::string& joint, const Eigen::VectorXd& survey) const {
    for (const Stack& stack : assembly_.stacks) {
      for (const OldLayer& layer : stack.layers) {
        if (layer.joint == joint) return survey.segment<2>(2 * layer.covariance_index);
      }
    }
    return Eigen::Vector2d::Zero();
  }

  // Distance from p to an oval's axis, seen along it.
  static double off_axis(const OldLayer& layer, const Eigen::Vector2d& centre, const Eigen::Vector2d& p) {
    const Eigen::Rotation2Dd back(-layer.ovality_axis_rad);
    const Eigen::Vector2d local = back * (p - centre);
    return std::hypot(std::max(std::abs(local.x()) - layer.ovality_mm / 2.0, 0.0), local.y());
  }

  static bool cleans_up(const OldLayer& layer, const Eigen::Vector2d& centre, double radius,
                        const Eigen::Vector2d& about, double finish) {
    const Eigen::Vector2d axis(std::cos(layer.ovality_axis_rad), std::sin(layer.ovality_axis_rad));
    for (const double side : {-0.5, 0.5}) {
      const Eigen::Vector2d end = centre + side * layer.ovality_mm * axis;
      if ((end - about).norm() + radius > finish / 2.0) return false;
    }
    return true;
  }

  bool goes_together(const StackPlan& plan, const Stack& stack, const std::vector<Eigen::Vector2d>& centres,
                     const Eigen::Vector2d& drilled) {
    std::vector<std::size_t> left, bushed;
    std::vector<double> radius;
    const std::size_t skip = stack.plate_is_new ? 1 : 0;
    bool good = true;
    for (std::size_t k = 0; k < centres.size(); ++k) {
      const OldLayer& layer = stack.layers[k];
      const double diameter = *layer.diameter_mm + layer.diameter_sigma_mm * normal();
      radius.push_back((diameter - layer.ovality_mm / 2.0) / 2.0);
      if (plan.layers[k + skip].action == "ream") {
        good = good && cleans_up(layer, centres[k], radius[k], drilled, plan.finish_diameter_mm);
      }
      if (plan.layers[k + skip].action == "leave") left.push_back(k);
      if (plan.layers[k + skip].action == "bush") bushed.push_back(k);
    }
    // The seat is reamed about the new hole, or about the old one that guides the tool.
    const bool guided = plan.finish == Finish::kInPlace && !left.empty();
    for (const std::size_t k : bushed) {
      good = good && cleans_up(stack.layers[k], centres[k], radius[k], guided ? centres[left[0]] : drilled,
                               *plan.layers[k + skip].bush_outside_mm);
    }
    if (left.empty() || !good) return good;
    if (plan.finish == Finish::kInPlace) {
      const double pilot = plan.layers.front().pilot_diameter_mm.value_or(0.0);
      return off_axis(stack.layers[left[0]], centres[left[0]], drilled) + pilot / 2.0 <= radius[left[0]];
    }
    const auto room = [&](const Eigen::Vector2d& p) {
      double least = plan.finish_diameter_mm / 2.0 - (p - drilled).norm();
      for (const std::size_t k : left)
        least = std::min(least, radius[k] - off_axis(stack.layers[k], centres[k], p));
      return least;
    };
    return widest(room, drilled) >= stack.fastener.diameter_mm / 2.0;
  }

  // Greatest value of a concave function about a start, by a shrinking compass search.
  template <class F>
  static double widest(const F& room, Eigen::Vector2d p) {
    double best = room(p);
    for (double step = 1.0; step > 1e-4;) {
      bool better = false;
      for (int k = 0; k < 16; ++k) {
        const double angle = k * 0.39269908169872414;
        const Eigen::Vector2d tried = p + step * Eigen::Vector2d(std::cos(angle), std::sin(angle));
        if (room(tried) <= best) continue;
        best = room(tried), p = tried, better = true;
        break;
      }
      if (!better) step /= 2.0;
    }
    return best;
  }

  const Assembly& assembly_;
  const FairingRules& rules_;
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  std::uniform_real_distribution<double> uniform_{-0.5, 0.5};
  Eigen::MatrixXd root_;
};

}  // namespace fairhole::test

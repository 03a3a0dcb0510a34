// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Small jobs in which the pitch to neighbours, a keep-out or a re-entrant corner binds. Nothing is cheaper
// than a plan called proven: every cheaper choice of options is tried, each by a descent of its own from
// several starts over seats and centres together, which heeds pitches and zones as they are, not convex, and
// shares nothing with the search.
#include <fmt/core.h>
#include <gtest/gtest.h>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <random>

#include "fairhole/fairing/check_plan.h"
#include "fairhole/fairing/joint_fairing.h"
#include "fairhole/fairing/movers.h"
#include "support/statistics.h"
#include "test_stacks.h"

namespace fairhole {
namespace {

using Eigen::Vector2d;
using Eigen::VectorXd;

enum class Crowd { kPitch, kKeepOut, kCorner };

struct CrowdedJob {
  Assembly assembly;
  FairingRules rules = test::exact_rules();
};

double between(std::mt19937_64& random, double a, double b) {
  return std::uniform_real_distribution<double>(a, b)(random);
}

/// Two parts with play on one plate, holes of both in a row of three.
CrowdedJob crowded(Crowd crowd, unsigned seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  CrowdedJob job;
  job.rules.draws = 1;
  job.rules.costs.odd_size = 0.0;
  PlateShape plate = test::plate_500();
  const double pitch = crowd == Crowd::kPitch ? between(random, 53.5, 60.0) : 80.0;
  const Vector2d first(150.0, 150.0);
  const Vector2d zone = first + Vector2d(pitch * between(random, -0.2, 1.2), 0.0);
  if (crowd == Crowd::kKeepOut) {  // a corner of it beside the row
    const double y = zone.y() + 11.0 + between(random, -1.0, 1.0);
    plate.keep_outs = {{"weld", {{zone.x(), y}, {400.0, y}, {400.0, y + 15.0}, {zone.x(), y + 15.0}}}};
  }
  if (crowd == Crowd::kCorner) {  // the plate goes on to the left only
    const double y = zone.y() + 26.4 + between(random, -0.5, 2.5);
    plate.outline_mm = {{0.0, 0.0}, {500.0, 0.0}, {500.0, y}, {zone.x(), y}, {zone.x(), 300.0}, {0.0, 300.0}};
  }
  job.assembly.plates = {plate};
  for (const char* part : {"near", "far"}) {
    SeatedFace seat;
    seat.part = part, seat.face = "leg", seat.joint = part, seat.plate = plate.name;
    seat.nominal.motion.shift_mm = first;
    seat.seat = seat.nominal;
    const double along = between(random, 0.3, 1.5), across = between(random, 0.3, 1.5);
    seat.play = {-along, along, -across, across, Angle::radians(-0.004), Angle::radians(0.004)};
    job.assembly.seats.push_back(seat);
  }
  job.assembly.movers = own_movers(job.assembly.seats);
  for (int k = 0; k < 3; ++k) {
    Stack stack = test::stack_of(test::fitted_bolt(), {});
    stack.id = fmt::format("S{}", k + 1);
    stack.nominal_mm = first + Vector2d(pitch * k, 0.0);
    for (const char* part : {"near", "far"}) {
      const Vector2d at_mm = stack.nominal_mm + Vector2d{0.7 * normal(random), 0.7 * normal(random)};
      OldLayer layer = test::old_hole(part, at_mm.x(), at_mm.y(), between(random, 21.5, 22.5));
      layer.joint = part;
      layer.hole = stack.id;
      layer.covariance_index = 2 * k + (part == std::string("far") ? 1 : 0);
      stack.layers.push_back(layer);
    }
    job.assembly.stacks.push_back(stack);
  }
  job.assembly.covariance_mm2 = Eigen::MatrixXd::Zero(12, 12);
  return job;
}

double distance_to_piece(const Vector2d& p, const Vector2d& a, const Vector2d& b) {
  const double t = std::clamp((p - a).dot(b - a) / (b - a).squaredNorm(), 0.0, 1.0);
  return (p - a - t * (b - a)).norm();
}

/// Positive inside.
double signed_distance(const std::vector<Vector2d>& rim, const Vector2d& p) {
  double nearest = 1e9;
  bool inside = false;
  for (std::size_t i = 0; i < rim.size(); ++i) {
    const Vector2d &a = rim[i], &b = rim[(i + 1) % rim.size()];
    nearest = std::min(nearest, distance_to_piece(p, a, b));
    const bool crosses = (a.y() > p.y()) != (b.y() > p.y());
    if (crosses && p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) inside = !inside;
  }
  return inside ? nearest : -nearest;
}

/// Whether seats and centres exist that serve one choice of options, found by Levenberg and Marquardt's
/// method on what is wanting of each rule.
class Trial {
 public:
  Trial(const CrowdedJob& job, std::vector<const Option*> options)
      : job_(job), options_(std::move(options)) {}

  bool holds(std::mt19937_64& random) const {
    constexpr int kStarts = 4, kSteps = 60;
    constexpr double kGoodMm = 1e-5;  // of the 2e-5 mm that are asked beyond each rule
    for (int start = 0; start < kStarts; ++start) {
      VectorXd x = VectorXd::Zero(12);
      for (int i = 0; i < 12 && start > 0; ++i)
        x[i] = between(random, -1.0, 1.0) * (i % 3 == 2 && i < 6 ? 0.003 : 1.0);
      double damping = 1e-3;
      VectorXd now = wanting(x);
      for (int step = 0; step < kSteps && now.maxCoeff() > kGoodMm; ++step) {
        Eigen::MatrixXd slope(now.size(), 12);
        for (int i = 0; i < 12; ++i) {
          VectorXd moved = x;
          constexpr double kStep = 1e-7;
          moved[i] += kStep;
          slope.col(i) = (wanting(moved) - now) / kStep;
        }
        Eigen::MatrixXd normal = slope.transpose() * slope;
        normal.diagonal() *= 1.0 + damping;
        normal.diagonal().array() += 1e-9;
        const VectorXd tried = x - normal.ldlt().solve(slope.transpose() * now);
        const VectorXd then = wanting(tried);
        const bool better = then.squaredNorm() < now.squaredNorm();
        damping = std::clamp(better ? damping / 5.0 : damping * 5.0, 1e-9, 1e9);
        if (better) x = tried, now = then;
      }
      if (now.maxCoeff() <= kGoodMm) return true;
    }
    return false;
  }

 private:
  Vector2d hole(std::size_t stack, int layer, const VectorXd& x) const {
    const SeatedFace& seat = job_.assembly.seats[static_cast<std::size_t>(layer)];
    const Vector2d arm = job_.assembly.stacks[stack].layers[static_cast<std::size_t>(layer)].centre_mm -
                         seat.nominal.motion.shift_mm;
    const double turn = x[3 * layer + 2];
    return seat.nominal.motion.shift_mm + Eigen::Rotation2Dd(turn) * arm + x.segment<2>(3 * layer);
  }

  std::vector<int> left(std::size_t stack) const {
    std::vector<int> out;
    for (int layer = 0; layer < 2; ++layer) {
      const std::vector<int>& plugged = options_[stack]->plugged;
      if (std::find(plugged.begin(), plugged.end(), layer) == plugged.end()) out.push_back(layer);
    }
    return out;
  }
  bool guided(std::size_t stack) const {
    return std::any_of(options_[stack]->event.layers.begin(), options_[stack]->event.layers.end(),
                       [](const LayerEvent& layer) { return layer.role == Role::kGuides; });
  }

  /// A hole that guides, or the drawing, is the centre; else the centre is free.
  Vector2d centre(std::size_t stack, const VectorXd& x) const {
    const std::vector<int> serving = left(stack);
    if (serving.empty()) return job_.assembly.stacks[stack].nominal_mm;
    if (guided(stack)) return hole(stack, serving.front(), x);
    return job_.assembly.stacks[stack].nominal_mm + x.segment<2>(6 + 2 * static_cast<Eigen::Index>(stack));
  }

  VectorXd wanting(const VectorXd& x) const {
    constexpr double kClearlyMm = 2e-5;  // more than any search's tolerance
    std::vector<double> out;
    const auto want = [&out](double slack) { out.push_back(std::max(0.0, kClearlyMm - slack)); };
    for (int part = 0; part < 2; ++part) {
      const Play& play = job_.assembly.seats[static_cast<std::size_t>(part)].play;
      want(play.along_max_mm - std::abs(x[3 * part]));
      want(play.across_max_mm - std::abs(x[3 * part + 1]));
      want(100.0 * (play.turn_max.radians() - std::abs(x[3 * part + 2])));
    }
    const PlateShape& plate = job_.assembly.plates.front();
    for (std::size_t s = 0; s < 3; ++s) {
      const Stack& stack = job_.assembly.stacks[s];
      const Vector2d z = centre(s, x);
      const double size = options_[s]->finish_mm;
      for (const int layer : left(s)) {
        const double diameter = *stack.layers[static_cast<std::size_t>(layer)].diameter_mm;
        if (!guided(s)) want((size - diameter) / 2.0 - (hole(s, layer, x) - z).norm());
      }
      const double shank = is_fitted(stack.fastener.kind) ? size : stack.fastener.diameter_mm;
      want(signed_distance(plate.outline_mm, z) - least_edge_mm(job_.rules.edges.least, shank, size));
      for (const KeepOut& keep_out : plate.keep_outs)
        want(-signed_distance(keep_out.outline_mm, z) - size / 2.0);
      for (std::size_t other = 0; other < s; ++other) {
        const double widest = std::max(size, options_[other]->finish_mm);
        want((z - centre(other, x)).norm() -
             least_pitch_mm(job_.rules.edges.least, stack.fastener.diameter_mm, widest));
      }
    }
    return Eigen::Map<const VectorXd>(out.data(), static_cast<Eigen::Index>(out.size()));
  }

  const CrowdedJob& job_;
  std::vector<const Option*> options_;
};

struct Tally {
  int jobs = 0, proven = 0, bound = 0, tried = 0, decided = 0, confirmed = 0;
};

/// Options that some seat may make possible, of each stack.
std::vector<std::vector<Option>> options_of(const CrowdedJob& job) {
  std::vector<std::vector<Option>> out;
  for (const Stack& stack : job.assembly.stacks) {
    out.emplace_back();
    for (Option& option : test::exact_options(stack, job.assembly.plates.front(), job.rules)) {
      if (!option.hopeless) out.back().push_back(std::move(option));
    }
  }
  return out;
}

void try_all_cheaper(const CrowdedJob& job, const Plan& plan, unsigned seed, Tally& tally) {
  std::mt19937_64 random(seed);
  const std::vector<std::vector<Option>> options = options_of(job);
  for (const Option& a : options[0]) {
    for (const Option& b : options[1]) {
      for (const Option& c : options[2]) {
        const double cost = a.cost + b.cost + c.cost;
        if (cost > plan.cost - 1e-6) continue;
        ++tally.tried;
        EXPECT_FALSE(Trial(job, {&a, &b, &c}).holds(random))
            << "job " << seed << " of " << plan.cost << " can be had for " << cost << ": "
            << method_name(a.method) << " " << a.finish_mm << ", " << method_name(b.method) << " "
            << b.finish_mm << ", " << method_name(c.method) << " " << c.finish_mm;
      }
    }
  }
}

/// The descent finds seats for what the plan itself chose: it would find them for something cheaper.
bool confirms(const CrowdedJob& job, const Plan& plan, unsigned seed) {
  std::mt19937_64 random(seed);
  const std::vector<std::vector<Option>> options = options_of(job);
  std::vector<const Option*> chosen;
  for (std::size_t s = 0; s < options.size(); ++s) {
    for (const Option& option : options[s]) {
      const bool same = option.method == plan.stacks[s].method &&
                        std::abs(option.finish_mm - plan.stacks[s].finish_diameter_mm) < 1e-6 &&
                        std::abs(option.cost - plan.stacks[s].cost) < 1e-6;
      if (same && chosen.size() == s) chosen.push_back(&option);
    }
  }
  return chosen.size() == options.size() && Trial(job, chosen).holds(random);
}

Tally tally_of(Crowd crowd, int jobs) {
  Tally tally;
  for (int job = 1; job <= jobs; ++job) {
    SCOPED_TRACE(job);
    const auto seed = static_cast<unsigned>(job);
    const CrowdedJob crowded_job = crowded(crowd, seed);
    const auto [seated, plan] = JointFairing{crowded_job.rules}(crowded_job.assembly);
    for (const Problem& problem : check_plan(crowded_job.assembly, plan, crowded_job.rules))
      ADD_FAILURE() << describe(problem);
    ++tally.jobs;
    // What the job would cost were nothing in the way.
    CrowdedJob free = crowded_job;
    free.assembly.plates.front() = test::plate_500();
    EdgeRule& least = free.rules.edges.least;
    least.end_ratio = least.edge_ratio = least.pitch_ratio = least.gauge_ratio = 0.1;
    tally.bound += JointFairing{free.rules}(free.assembly).plan.cost < plan.cost - 1e-6 ? 1 : 0;
    tally.decided += std::all_of(plan.stacks.begin(), plan.stacks.end(),
                                 [](const StackPlan& stack) { return stack.method != Method::kUndecided; });
    tally.confirmed += confirms(crowded_job, plan, seed) ? 1 : 0;
    if (!plan.proven) continue;
    ++tally.proven;
    try_all_cheaper(crowded_job, plan, seed, tally);
  }
  fmt::print(
      "{} jobs, {} proven, {} dearer for the crowd; {} cheaper choices tried, {} of {} plans confirmed\n",
      tally.jobs, tally.proven, tally.bound, tally.tried, tally.confirmed, tally.decided);
  return tally;
}

TEST(CrowdedJobsStatistics, NothingIsCheaperWherePitchesBind) {
  const Tally tally = tally_of(Crowd::kPitch, test::trials(20));
  if (!test::judge_frequencies()) return;
  EXPECT_GT(tally.bound, tally.jobs / 4);
  EXPECT_GT(tally.proven, tally.jobs * 9 / 10);
  EXPECT_GT(tally.confirmed, tally.decided * 2 / 3);
}

TEST(CrowdedJobsStatistics, NothingIsCheaperBesideAKeepOut) {
  const Tally tally = tally_of(Crowd::kKeepOut, test::trials(40));
  if (!test::judge_frequencies()) return;
  EXPECT_GT(tally.bound, tally.jobs / 10);
  EXPECT_GT(tally.confirmed, tally.decided * 2 / 3);
}

TEST(CrowdedJobsStatistics, NothingIsCheaperAtARecessedCorner) {
  const Tally tally = tally_of(Crowd::kCorner, test::trials(40));
  if (!test::judge_frequencies()) return;
  EXPECT_GT(tally.bound, tally.jobs / 10);
  EXPECT_GT(tally.confirmed, tally.decided * 2 / 3);
}

}  // namespace
}  // namespace fairhole

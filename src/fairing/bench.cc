// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "fairhole/base/length.h"
#include "fairhole/geometry/statistics.h"
#include "neighbours.h"
#include "ways.h"

namespace fairhole::detail {

// The radius lies between those of round errors as small and as large as the two axes; false position with
// halved ends (Illinois) closes in from there.
double holding_radius_mm(const Eigen::Matrix2d& cov_mm2, double probability) {
  const Eigen::Vector2d axes2 =
      Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(cov_mm2, Eigen::EigenvaluesOnly)
          .eigenvalues()
          .cwiseMax(0.0);
  const double scale = std::sqrt(chi2_quantile(probability, 2.0));  // exact for a round error
  const auto excess = [&](double radius) {
    return probability_in_circle(Eigen::Vector2d::Zero(), cov_mm2, radius) - probability;
  };
  constexpr double kCloseMm = 1e-6;
  double low = scale * std::sqrt(axes2.minCoeff());
  double high = scale * std::sqrt(axes2.maxCoeff());
  if (high - low < kCloseMm) return high;
  double below = excess(low);
  double above = excess(high);
  while (high - low > kCloseMm && above > 0.0) {
    const double radius = below < 0.0 ? (low * above - high * below) / (above - below) : (low + high) / 2.0;
    const double value = excess(radius);
    if (std::abs(value) < 1e-7) return radius;  // the chance itself is known no better
    if (value < 0.0) {
      low = radius, below = value, above /= 2.0;
    } else {
      high = radius, above = value, below /= 2.0;
    }
  }
  return high;
}

Bench::Bench(const StackCase& stack_case, const FairingRules& fairing_rules)
    : given(stack_case), stack(*stack_case.stack), rules(fairing_rules) {
  const Eigen::Matrix2d drill = rules.drilling.variance_mm2() * Eigen::Matrix2d::Identity();
  drill_growth_mm = holding_radius_mm(drill, rules.confidence);
  for (std::size_t i = 0; i < stack.layers.size(); ++i) {
    const double radius_growth = normal_quantile(rules.confidence) * stack.layers[i].diameter_sigma_mm / 2.0;
    const Eigen::Matrix2d& cov = given.layer_cov_mm2[i];
    growth_mm.push_back(std::hypot(holding_radius_mm(cov + drill, rules.confidence), radius_growth));
    plate_growth_mm.push_back(std::hypot(holding_radius_mm(cov, rules.confidence), radius_growth));
  }
}

double Bench::growth_about(int index, int other) const {
  const auto i = static_cast<std::size_t>(index);
  const Eigen::Matrix2d cov = given.layer_cov_mm2[i] + given.layer_cov_mm2[static_cast<std::size_t>(other)];
  const double radius_growth = normal_quantile(rules.confidence) * stack.layers[i].diameter_sigma_mm / 2.0;
  return std::hypot(holding_radius_mm(cov, rules.confidence), radius_growth);
}

double long_mm(const OldLayer& layer) { return *layer.diameter_mm + layer.ovality_mm / 2.0; }
double short_mm(const OldLayer& layer) { return *layer.diameter_mm - layer.ovality_mm / 2.0; }

Eigen::Vector2d half_axis_mm(const OldLayer& layer) {
  if (layer.ovality_mm <= 0.0) return Eigen::Vector2d::Zero();
  return layer.ovality_mm / 2.0 *
         Eigen::Vector2d(std::cos(layer.ovality_axis_rad), std::sin(layer.ovality_axis_rad));
}

double farthest_mm(const OldLayer& layer, const Eigen::Vector2d& centre) {
  const Eigen::Vector2d axis = half_axis_mm(layer);
  const Eigen::Vector2d off = layer.centre_mm - centre;
  return short_mm(layer) / 2.0 + std::max((off + axis).norm(), (off - axis).norm());
}

std::vector<std::vector<int>> sets_of(std::vector<int> layers) {
  constexpr std::size_t kMostLayers = 6;  // 63 sets; no joint in the trade has more old layers
  layers.resize(std::min(layers.size(), kMostLayers));
  std::vector<std::vector<int>> sets;
  for (unsigned bits = 1; bits < (1U << layers.size()); ++bits) {
    std::vector<int>& set = sets.emplace_back();
    for (std::size_t k = 0; k < layers.size(); ++k) {
      if ((bits >> k & 1U) != 0U) set.push_back(layers[k]);
    }
    std::sort(set.begin(), set.end());
  }
  return sets;
}

std::string layer_name(const OldLayer& layer) { return fmt::format("{} of {}", layer.hole, layer.part); }

bool is_threaded(const OldLayer& layer) {
  return layer.form == HoleForm::kTapped || layer.form == HoleForm::kBlind;
}

bool holds_place(const OldLayer& layer) {
  return layer.fixed || layer.form == HoleForm::kDowel || layer.form == HoleForm::kCountersunk;
}

HoleSize size_of(const Bench& bench, double hole_mm, double fastener_mm) {
  const FastenerSpec& spec = bench.stack.fastener;
  const double head = spec.head_diameter_mm > 0.0
                          ? spec.head_diameter_mm * fastener_mm / spec.diameter_mm
                          : 1.6 * fastener_mm;  // common proportion of rivet and bolt heads
  return {hole_mm, fastener_mm, head};
}

std::vector<Limit> limits_for(const Bench& bench, const Holes& holes, const HoleSize& size,
                              const std::vector<int>& cut) {
  std::vector<Limit> limits;
  const EdgeRules& edges = bench.rules.edges;
  if (bench.given.plate != nullptr && bench.stack.plate_is_new) {
    constexpr double kReachMm = 50.0;  // no old hole is that far from where the drawing wants it
    for (const PlateEdge& edge :
         plate_edges_near(*bench.given.plate, bench.stack.nominal_mm, {kReachMm, kReachMm})) {
      if (!edge.taken) continue;
      limits.push_back({edge.normal, edge.offset_mm, edge.need_mm(size, edges), edge.name});
    }
  }
  for (const int index : holes.made) add_layer_limits(bench.layer(index), size, true, edges, limits);
  const HoleSize seat{holes.bush_outside_mm, size.fastener_mm, size.head_mm};
  for (const int index : holes.bushed) add_layer_limits(bench.layer(index), seat, true, edges, limits);
  for (const int index : holes.serving) {
    const bool is_cut = std::find(cut.begin(), cut.end(), index) != cut.end();
    add_layer_limits(bench.layer(index), size, is_cut, edges, limits);
  }
  for (const StackCase::Neighbour& beside : bench.given.neighbours) {
    limits.push_back(
        pitch_limit(bench.stack, beside, size.hole_mm, holes.bush_outside_mm, holes.bushed, bench.rules));
  }
  return limits;
}

std::string place_fault(const Bench& bench, const std::vector<Limit>& limits, const HoleSize& size,
                        const Eigen::Vector2d& centre) {
  std::string fault = limit_fault(limits, centre);
  if (fault.empty() && bench.given.plate != nullptr && bench.stack.plate_is_new) {
    fault = plate_fault(*bench.given.plate, centre, size, bench.rules.edges.least);
  }
  return fault;
}

Held held_place(const Bench& bench, const Holes& holes) {
  constexpr double kSamePlaceMm = 0.1;  // as near as two old holes are ever known
  Held held;
  held.centre_mm = bench.given.given_centre_mm;
  for (const int index : holes.serving) {
    const OldLayer& layer = bench.layer(index);
    if (!holds_place(layer) && !is_threaded(layer)) continue;
    if (held.centre_mm && (*held.centre_mm - layer.centre_mm).norm() > kSamePlaceMm) {
      held.fault = fmt::format("{} and {} both hold the place, {} mm apart", layer_name(layer),
                               held.by < 0 ? "the plate drilled with this one" : "another hole",
                               format_mm((*held.centre_mm - layer.centre_mm).norm()));
    }
    if (!held.centre_mm) held.centre_mm = layer.centre_mm, held.by = index;
  }
  return held;
}

StackEvent empty_event(const Bench& bench, const Eigen::Vector2d& centre) {
  StackEvent event;
  event.centre_mm = centre;
  for (const OldLayer& layer : bench.stack.layers) {
    LayerEvent entry;
    entry.centre_mm = layer.centre_mm;
    entry.half_axis_mm = half_axis_mm(layer);
    entry.radius_mm = layer.diameter_mm ? short_mm(layer) / 2.0 : 0.0;
    entry.radius_sigma_mm = layer.diameter_sigma_mm / 2.0;
    event.layers.push_back(entry);
  }
  return event;
}

void finish_option(Option& option) {
  option.allowed = option.forbidden.empty();
  option.event.centre_mm = option.centre_mm;
}

}  // namespace fairhole::detail

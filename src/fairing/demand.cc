// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "demand.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "ways.h"

namespace fairhole::detail {
namespace {

constexpr double kAtOnceMm = 1e-4;    // "is the centre": a room the solver can work with
constexpr double kHeldApartMm = 0.1;  // two holes that hold the place may lie so far apart (held_place)
constexpr double kSureMm = 2e-3;      // more than discs, grown doubts and centres are told too roundly

/// Discs of one old hole: its middle, what a shank passes, and the two ends of an oval.
struct HoleDiscs {
  std::size_t middle = 0;
  std::size_t passed = 0;
  std::vector<std::size_t> ends;
};

/// An edge, and whom it concerns.
struct EdgeDisc {
  std::size_t disc = 0;
  int layer = -1;  ///< none: the new plate's own
  bool head_too = false;
  std::optional<PlateEdge> of_plate = {};
};

class Demands {
 public:
  Demands(const StackCase& given, const std::vector<Option>& options, const FairingRules& rules,
          const Exactness& exactness, double reach_mm)
      : bench_(given, rules), options_(options), exactness_(exactness), reach_mm_(reach_mm) {}

  StackDemand run() {
    for (std::size_t i = 0; i < bench_.stack.layers.size(); ++i) add_hole(i);
    nominal_ = add({bench_.stack.nominal_mm, "", false});
    if (exactness_.shared_centre) shared_ = add({bench_.stack.nominal_mm, kSharedCentre, false});
    add_edges();
    for (const Option& option : options_) out_.rooms.push_back(rooms(option));
    return std::move(out_);
  }

 private:
  std::size_t add(DemandDisc disc) {
    out_.discs.push_back(std::move(disc));
    return out_.discs.size() - 1;
  }

  void add_hole(std::size_t index) {
    const OldLayer& layer = bench_.stack.layers[index];
    HoleDiscs discs;
    discs.middle = add({layer.centre_mm, layer.joint, true});
    discs.ends = {discs.middle};
    if (layer.diameter_mm && layer.ovality_mm > 0.0) {
      const Eigen::Vector2d axis = half_axis_mm(layer);
      discs.ends = {add({layer.centre_mm + axis, layer.joint}), add({layer.centre_mm - axis, layer.joint})};
    }
    discs.passed = discs.middle;
    if (exactness_.ovals_slide && layer.diameter_mm && layer.ovality_mm > 0.0) {
      discs.passed = add({layer.centre_mm, layer.joint, true, half_axis_mm(layer)});
    }
    holes_.push_back(discs);
  }

  /// What the largest option asks of edges and heads.
  double widest_need() const {
    double most = 0.0;
    for (const Option& option : options_) {
      if (option.hopeless || option.finish_mm <= 0.0) continue;  // undecided and left out: no hole
      const HoleSize size = size_of(bench_, option.finish_mm, option.fastener_mm);
      const double widest = std::max(size.hole_mm, option.bush_outside_mm);
      most = std::max({most, size.head_mm / 2.0, widest / 2.0,
                       least_edge_mm(bench_.rules.edges.least, size.fastener_mm, widest)});
    }
    return most;
  }

  void add_edge(const Eigen::Vector2d& normal, double offset_mm, const std::string& joint, EdgeDisc edge) {
    const Eigen::Vector2d& at = bench_.stack.nominal_mm;
    if (normal.dot(at) - offset_mm > widest_need() + reach_mm_) return;
    const Eigen::Vector2d foot = at - normal * (normal.dot(at) - offset_mm);
    edge.disc = add({foot + normal * kEdgeRadiusMm, joint, false});
    edges_.push_back(edge);
  }

  void add_edges() {
    if (bench_.given.plate != nullptr && bench_.stack.plate_is_new) {
      const EdgeReach reach{reach_mm_ + widest_need(), reach_mm_};
      for (PlateEdge& edge : plate_edges_near(*bench_.given.plate, bench_.stack.nominal_mm, reach)) {
        if (!is_kept_to(edge)) continue;
        const Eigen::Vector2d normal = edge.normal;
        const double offset_mm = edge.offset_mm;
        add_edge(normal, offset_mm, "", {0, -1, false, std::move(edge)});
      }
    }
    for (std::size_t i = 0; i < bench_.stack.layers.size(); ++i) {
      const OldLayer& layer = bench_.stack.layers[i];
      for (const OldLayer::Bound& bound : layer.bounds) {
        add_edge(bound.normal, bound.offset_mm, layer.joint, {0, static_cast<int>(i), bound.head_too});
      }
    }
  }

  /// What is not exact is kept to surely, or where its side of a corner is chosen.
  bool is_kept_to(const PlateEdge& edge) {
    if (edge.exact) return true;
    if (exactness_.surely) return edge.taken;
    if (edge.corner < 0) return false;
    if (const auto chosen = exactness_.sides.find(edge.corner); chosen != exactness_.sides.end())
      return chosen->second == edge.side;
    out_.corners[edge.corner] = edge.side + 1;
    return false;
  }

  double edge_need(const Option& option, const EdgeDisc& edge) const {
    HoleSize size = size_of(bench_, option.finish_mm, option.fastener_mm);
    if (is_bushed(option, edge.layer)) size.hole_mm = option.bush_outside_mm;
    if (edge.of_plate) return edge.of_plate->share * edge.of_plate->need_mm(size, bench_.rules.edges);
    return edge.head_too ? std::max(size.head_mm, size.hole_mm) / 2.0
                         : least_edge_mm(bench_.rules.edges.least, size.fastener_mm, size.hole_mm);
  }

  static bool is_bushed(const Option& option, int index) {
    return std::find(option.bushed.begin(), option.bushed.end(), index) != option.bushed.end();
  }

  bool is_cut(const Option& option, int index) const {
    const bool plugged =
        std::find(option.plugged.begin(), option.plugged.end(), index) != option.plugged.end();
    return plugged || bench_.layer(index).form == HoleForm::kPlugged ||
           role(option, index) == Role::kEnclosed;
  }

  static Role role(const Option& option, int index) {
    return option.event.layers[static_cast<std::size_t>(index)].role;
  }

  std::vector<double> rooms(const Option& option) const {
    if (option.hopeless) return {};
    std::vector<double> room(out_.discs.size(), kNoLimit);
    if (option.method == Method::kUndecided || option.method == Method::kLeaveOut) return room;
    std::vector<int> serving;
    for (int i = 0; i < static_cast<int>(bench_.stack.layers.size()); ++i) {
      if (role(option, i) != Role::kIgnored && !is_bushed(option, i)) serving.push_back(i);
    }
    for (const int index : option.bushed) ask_of_seat(option, serving, index, room);
    if (serving.empty() && option.bushed.empty())
      room[nominal_] = exactness_.shared_centre ? bench_.rules.drawing_zone_mm : kAtOnceMm;
    for (const int index : serving) ask_of_hole(option, serving, index, room);
    ask_to_hold(serving, room);
    ask_of_edges(option, room);
    if (shared_) room[*shared_] = kAtOnceMm;
    if (exactness_.surely) {
      for (double& r : room) r -= r > kSureMm + kAtOnceMm && r != kNoLimit ? kSureMm : 0.0;
    }
    const bool possible = std::all_of(room.begin(), room.end(), [](double r) { return r >= 0.0; });
    return possible && !clearance_wanting(option, serving) ? room : std::vector<double>{};
  }

  void ask_of_hole(const Option& option, const std::vector<int>& serving, int index,
                   std::vector<double>& room) const {
    const HoleDiscs& discs = holes_[static_cast<std::size_t>(index)];
    const auto ask = [&room](std::size_t disc, double most) { room[disc] = std::min(room[disc], most); };
    switch (role(option, index)) {
      case Role::kGuides:
        return ask(discs.middle, exactness_.shared_centre ? guiding_room(option, index) : kAtOnceMm);
      case Role::kEnclosed:
        for (const std::size_t end : discs.ends)
          ask(end, option.finish_mm / 2.0 - (enclosed_mm(index) + bench_.growth(index)));
        return;
      case Role::kPassed:
        return ask(discs.passed, passing_room(option, serving, index) + oval_allowance(discs, index));
      case Role::kIgnored:
        return;
    }
  }

  double enclosed_mm(int index) const {
    const OldLayer& layer = bench_.layer(index);
    return (short_mm(layer) + tear_mm(bench_, layer)) / 2.0;
  }

  /// The seat of a bush stands about the stack's centre; about the old hole that guides, where one does. Of a
  /// pair of plates that hole need not be the centre: then no more is asked than surely follows.
  void ask_of_seat(const Option& option, const std::vector<int>& serving, int index,
                   std::vector<double>& room) const {
    const double seat = option.bush_outside_mm / 2.0 - enclosed_mm(index);
    const bool guided = serving.size() == 1 && role(option, serving.front()) == Role::kGuides;
    double most = seat - bench_.growth(index);
    if (guided) {
      most = seat - bench_.growth_about(index, serving.front());
      if (exactness_.shared_centre) {
        most += (exactness_.surely ? -1.0 : 1.0) * std::max(0.0, guiding_room(option, serving.front()));
      }
    }
    for (const std::size_t end : holes_[static_cast<std::size_t>(index)].ends)
      room[end] = std::min(room[end], most);
  }

  /// With the least pilot, which still must lie inside the old hole.
  double guiding_room(const Option& option, int index) const {
    const double pilot =
        std::min(option.pilot_mm.value_or(bench_.rules.least_pilot_mm), bench_.rules.least_pilot_mm);
    return (short_mm(bench_.layer(index)) - pilot) / 2.0 - bench_.growth(index);
  }

  /// A disc about an oval's middle tells where a shank passes from outside or from inside. One that slides
  /// tells it but for the turn of the axis with its part.
  double oval_allowance(const HoleDiscs& discs, int index) const {
    constexpr double kTurnRad = 0.01;
    if (exactness_.surely) return 0.0;
    const double half_mm = half_axis_mm(bench_.layer(index)).norm();
    return discs.passed == discs.middle ? half_mm : kTurnRad * half_mm;
  }

  int thread_among(const std::vector<int>& serving) const {
    for (const int index : serving) {
      if (is_threaded(bench_.layer(index))) return index;
    }
    return -1;
  }

  /// How far the centre may lie from an old hole (or its axis) for the shank to pass it; the same sums as the
  /// decision's.
  double passing_room(const Option& option, const std::vector<int>& serving, int index) const {
    const double shank = option.event.shank_mm;
    const LayerEvent& hole = option.event.layers[static_cast<std::size_t>(index)];
    const double room = hole.radius_mm - shank / 2.0;
    const double play = bench_.rules.clear_play_mm / 2.0;
    const int thread = thread_among(serving);
    if (thread == index) return kAtOnceMm;
    if (option.counts_as_size) return room - bench_.growth(index);  // a slot beside reamed holes
    if (thread >= 0) return room - std::hypot(bench_.plate_growth(index), bench_.plate_growth(thread)) - play;
    if (!bench_.stack.plate_is_new || serving.size() > 1) {
      return std::min(room, room - bench_.plate_growth(index) - play);
    }
    const double clearance = option.event.new_hole_mm.value_or(shank) - shank;
    return std::min(room, room + clearance / 2.0 - bench_.growth(index) - play);
  }

  /// The new hole's own errors eat its clearance, wherever the seats are.
  bool clearance_wanting(const Option& option, const std::vector<int>& serving) const {
    const bool passes =
        std::any_of(serving.begin(), serving.end(), [&](int i) { return role(option, i) == Role::kPassed; });
    const int thread = thread_among(serving);
    if (!passes || option.counts_as_size || !option.event.new_hole_mm || (serving.size() < 2 && thread < 0))
      return false;
    const double doubt = thread >= 0 ? bench_.growth(thread) : bench_.drill_growth_mm;
    return *option.event.new_hole_mm - option.event.shank_mm - 2.0 * doubt < bench_.rules.clear_play_mm;
  }

  /// Holes that hold the place, and threads, are the centre.
  void ask_to_hold(const std::vector<int>& serving, std::vector<double>& room) const {
    std::vector<std::size_t> holding;
    for (const int index : serving) {
      if (holds_place(bench_.layer(index)) || is_threaded(bench_.layer(index))) {
        holding.push_back(holes_[static_cast<std::size_t>(index)].middle);
      }
    }
    for (std::size_t k = 0; k < holding.size(); ++k) {
      room[holding[k]] =
          std::min(room[holding[k]], k == 0 && !exactness_.shared_centre ? kAtOnceMm : kHeldApartMm);
    }
  }

  void ask_of_edges(const Option& option, std::vector<double>& room) const {
    for (const EdgeDisc& edge : edges_) {
      const bool concerned = edge.layer < 0 || edge.head_too || is_cut(option, edge.layer);
      if (!concerned) continue;
      room[edge.disc] = kEdgeRadiusMm - edge_need(option, edge) + (exactness_.surely ? 0.0 : kEdgeSagMm);
    }
  }

  Bench bench_;
  const std::vector<Option>& options_;
  Exactness exactness_;
  double reach_mm_;
  StackDemand out_;
  std::vector<HoleDiscs> holes_;
  std::vector<EdgeDisc> edges_;
  std::size_t nominal_ = 0;
  std::optional<std::size_t> shared_;
};

}  // namespace

StackDemand demand_of(const StackCase& stack_case, const std::vector<Option>& options,
                      const FairingRules& rules, const Exactness& exactness, double reach_mm) {
  return Demands(stack_case, options, rules, exactness, reach_mm).run();
}

}  // namespace fairhole::detail

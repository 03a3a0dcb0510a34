// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numbers>

#include "model.h"

namespace fairhole::survey_detail {
namespace {

constexpr double kRightAngle = std::numbers::pi / 2.0;

/// Half the width of a hole in direction `t`, times `factor`, and its derivative by t.
struct HalfWidth {
  double value = 0.0;
  double by_direction = 0.0;
};

HalfWidth add_half_width(const HoleParams& hole, double t, double factor, const Eigen::VectorXd& state,
                         std::vector<Partial>& partials) {
  HalfWidth out{0.5 * factor * state[hole.diameter], 0.0};
  partials.push_back({hole.diameter, 0.5 * factor});
  if (hole.oval_cos >= 0) {
    const double c = std::cos(2.0 * t);
    const double s = std::sin(2.0 * t);
    const double a = state[hole.oval_cos];
    const double b = state[hole.oval_sin];
    out.value += 0.5 * factor * (a * c + b * s);
    out.by_direction = factor * (b * c - a * s);
    partials.push_back({hole.oval_cos, 0.5 * factor * c});
    partials.push_back({hole.oval_sin, 0.5 * factor * s});
  }
  return out;
}

/// The true dimension from hole p to hole q, over centres or rims.
void distance(const Model& m, ReadingKind kind, int p, int q, const Eigen::VectorXd& state, Equation& out) {
  const Eigen::Vector2d d = state.segment<2>(Model::x_of(q)) - state.segment<2>(Model::x_of(p));
  const double length = d.norm();
  const Eigen::Vector2d u = length > 0.0 ? Eigen::Vector2d(d / length) : Eigen::Vector2d::UnitX();
  Eigen::Vector2d by_q = u;
  out.value = length;
  if (is_rim(kind)) {
    const auto signs = rim_signs(kind);
    const double t = std::atan2(u.y(), u.x());
    const Eigen::Vector2d turn =
        length > 0.0 ? Eigen::Vector2d(Eigen::Vector2d(-u.y(), u.x()) / length) : Eigen::Vector2d::Zero();
    for (const auto& [hole, sign] : {std::pair(p, signs[0]), std::pair(q, signs[1])}) {
      const HalfWidth half =
          add_half_width(m.hole_params[static_cast<std::size_t>(hole)], t, sign, state, out.partials);
      out.value += half.value;
      by_q += half.by_direction * turn;
    }
  }
  out.partials.push_back({Model::x_of(p), -by_q.x()});
  out.partials.push_back({Model::y_of(p), -by_q.y()});
  out.partials.push_back({Model::x_of(q), by_q.x()});
  out.partials.push_back({Model::y_of(q), by_q.y()});
}

/// Offset of hole h from the line p -> q, positive to the left.
void offset(int h, int p, int q, const Eigen::VectorXd& state, Equation& out) {
  const Eigen::Vector2d base = state.segment<2>(Model::x_of(p));
  const Eigen::Vector2d line = state.segment<2>(Model::x_of(q)) - base;
  const Eigen::Vector2d to_h = state.segment<2>(Model::x_of(h)) - base;
  const double length = line.norm();
  const Eigen::Vector2d u = length > 0.0 ? Eigen::Vector2d(line / length) : Eigen::Vector2d::UnitX();
  const Eigen::Vector2d left(-u.y(), u.x());
  const double share = length > 0.0 ? u.dot(to_h) / length : 0.0;  // 0 at p, 1 at q
  out.value = left.dot(to_h);
  for (const auto& [hole, factor] : {std::pair(h, 1.0), std::pair(q, -share), std::pair(p, share - 1.0)}) {
    out.partials.push_back({Model::x_of(hole), factor * left.x()});
    out.partials.push_back({Model::y_of(hole), factor * left.y()});
  }
}

void diameter(const HoleParams& hole, const std::optional<double>& direction, const Eigen::VectorXd& state,
              Equation& out) {
  out.value = state[hole.diameter];
  out.partials.push_back({hole.diameter, 1.0});
  if (hole.oval_cos < 0 || !direction) return;
  const double c = std::cos(2.0 * *direction);
  const double s = std::sin(2.0 * *direction);
  out.value += state[hole.oval_cos] * c + state[hole.oval_sin] * s;
  out.partials.push_back({hole.oval_cos, c});
  out.partials.push_back({hole.oval_sin, s});
}

/// Ordinates from a datum edge, from a running tape's zero, or known.
void ordinate(const Model& m, const Reading& r, int h, const Eigen::VectorXd& state, Equation& out) {
  const bool along_x = is_along(r.kind) || r.kind == ReadingKind::kRun || r.kind == ReadingKind::kKnownX;
  const int own = along_x ? Model::x_of(h) : Model::y_of(h);
  out.value = state[own];
  out.partials.push_back({own, 1.0});
  if (is_along(r.kind) && m.square_param >= 0) {
    const double lean = std::tan(state[m.square_param]);
    const double y = state[Model::y_of(h)];
    out.value += y * lean;
    out.partials.push_back({Model::y_of(h), lean});
    out.partials.push_back({m.square_param, y * (1.0 + lean * lean)});
  }
  if (is_rim(r.kind)) {
    const double t = along_x ? 0.0 : kRightAngle;
    out.value += add_half_width(m.hole_params[static_cast<std::size_t>(h)], t, rim_signs(r.kind)[0], state,
                                out.partials)
                     .value;
  }
}

/// The tape's part: reading = (1 + k) true - zero.
void apply_tape(const Model& m, const Reading& r, const Eigen::VectorXd& state, Equation& out) {
  if (r.tape) {
    const int scale = m.scale_param[static_cast<std::size_t>(*r.tape)];
    const double k = state[scale];
    const double true_length = out.value;
    for (Partial& p : out.partials) p.value *= 1.0 + k;
    out.value *= 1.0 + k;
    out.partials.push_back({scale, true_length});
  }
  const bool running = r.kind == ReadingKind::kRun || r.kind == ReadingKind::kRunAcross;
  const bool edge = is_along(r.kind) || is_across(r.kind);
  int zero = -1;
  if (running) {
    zero = m.run_zero.at({r.set_up, r.kind == ReadingKind::kRunAcross});
  } else if (edge && r.tape) {
    const auto at = m.edge_zero.find({*r.tape, is_across(r.kind)});
    if (at != m.edge_zero.end()) zero = at->second;
  }
  if (zero < 0) return;
  out.value -= state[zero];
  out.partials.push_back({zero, -1.0});
}

}  // namespace

bool is_along(ReadingKind kind) {
  return kind == ReadingKind::kAlong || kind == ReadingKind::kAlongNear || kind == ReadingKind::kAlongFar;
}
bool is_across(ReadingKind kind) {
  return kind == ReadingKind::kAcross || kind == ReadingKind::kAcrossNear || kind == ReadingKind::kAcrossFar;
}
bool is_distance(ReadingKind kind) {
  return kind == ReadingKind::kCentres || kind == ReadingKind::kNearEdges || kind == ReadingKind::kFarEdges ||
         kind == ReadingKind::kSameEdges;
}
bool is_rim(ReadingKind kind) { return rim_signs(kind)[0] != 0; }

std::array<int, 2> rim_signs(ReadingKind kind) {
  switch (kind) {
    case ReadingKind::kAlongNear:
    case ReadingKind::kAcrossNear:
      return {-1, 0};
    case ReadingKind::kAlongFar:
    case ReadingKind::kAcrossFar:
      return {1, 0};
    case ReadingKind::kNearEdges:
      return {-1, -1};
    case ReadingKind::kFarEdges:
      return {1, 1};
    case ReadingKind::kSameEdges:
      return {1, -1};
    default:
      return {0, 0};
  }
}

void Model::evaluate_with(const Reading& r, const ReadingHoles& holes, const Eigen::VectorXd& state,
                          Equation& out) const {
  out.value = 0.0;
  out.partials.clear();
  if (is_distance(r.kind)) {
    distance(*this, r.kind, holes.from, holes.to, state, out);
  } else if (r.kind == ReadingKind::kOffLine) {
    offset(holes.from, holes.to, holes.line_end, state, out);
  } else if (r.kind == ReadingKind::kDia) {
    return diameter(hole_params[static_cast<std::size_t>(holes.from)], r.direction_rad, state, out);
  } else {
    ordinate(*this, r, holes.from, state, out);
    if (r.kind == ReadingKind::kKnownX || r.kind == ReadingKind::kKnownY) return;
  }
  apply_tape(*this, r, state, out);
}

void Model::evaluate_reading(const Reading& r, const Eigen::VectorXd& state, Equation& out) const {
  evaluate_with(r, holes_of(r), state, out);
}

void Model::evaluate(const Observation& o, const Eigen::VectorXd& state, Equation& out) const {
  if (o.reading >= 0) {
    return evaluate_with(reading(o), reading_holes[static_cast<std::size_t>(o.reading)], state, out);
  }
  out.value = 0.0;
  out.partials = o.prior;
  for (const Partial& p : o.prior) out.value += p.value * state[p.param];
}

}  // namespace fairhole::survey_detail

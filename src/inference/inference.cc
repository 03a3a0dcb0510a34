// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/inference/inference.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "items.h"
#include "search.h"
#include "second_face.h"

namespace fairhole {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector2d;
using namespace inference;  // NOLINT(google-build-using-namespace): this module's own steps

constexpr double kSameSpotMm = 0.01;  // as in a pattern
constexpr double kLongestMm = 1e5;    // 100 m, the bound lengths have when they are read

Problems unfit(const MeasuredFace& face, const std::string& where) {
  Problems problems;
  for (const MeasuredHole& hole : face.holes) {
    if (hole.centre_mm.allFinite() && hole.centre_cov_mm2.allFinite()) continue;
    problems.push_back({codes::kInferenceNotFinite, where,
                        fmt::format("hole {}: its place or covariance is not a finite number", hole.id),
                        "correct the measured file"});
  }
  if (face.covariance_mm2.size() > 0 && !face.covariance_mm2.allFinite()) {
    problems.push_back({codes::kInferenceNotFinite, where, "the covariance holds what is not a finite number",
                        "correct the measured file"});
  }
  if (!problems.empty()) return problems;
  if (face.holes.size() < 2) {
    return {{codes::kInferenceTooFew, where,
             fmt::format("{} hole{}: no pattern can be seen in that", face.holes.size(),
                         face.holes.size() == 1 ? "" : "s"),
             "measure at least 2 holes; a row shows from 3 holes on"}};
  }
  for (const MeasuredHole& hole : face.holes) {
    const double apart_mm = (hole.centre_mm - face.holes.front().centre_mm).norm();
    if (apart_mm <= kLongestMm) continue;
    return {{codes::kInferenceTooFar, where,
             fmt::format("holes {} and {} lie {:.0f} m apart; a face is up to 100 m long",
                         face.holes.front().id, hole.id, apart_mm / 1000.0),
             "look at the unit: a measured file is in mm"}};
  }
  std::vector<const MeasuredHole*> by_x;
  for (const MeasuredHole& hole : face.holes) by_x.push_back(&hole);
  std::stable_sort(by_x.begin(), by_x.end(),
                   [](const auto* a, const auto* b) { return a->centre_mm.x() < b->centre_mm.x(); });
  for (std::size_t i = 0; i < by_x.size(); ++i) {
    for (std::size_t j = i + 1; j < by_x.size(); ++j) {
      if (by_x[j]->centre_mm.x() - by_x[i]->centre_mm.x() >= kSameSpotMm) break;
      if ((by_x[j]->centre_mm - by_x[i]->centre_mm).norm() >= kSameSpotMm) continue;
      problems.push_back({codes::kInferenceSameSpot, where,
                          fmt::format("holes {} and {} lie on one spot", by_x[i]->id, by_x[j]->id),
                          "leave one of them out"});
    }
  }
  return problems;
}

/// Holes in an order of their own, so that the answer does not depend on the file's.
std::vector<std::size_t> steady_order(const MeasuredFace& face) {
  std::vector<std::size_t> order(face.holes.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const Vector2d &p = face.holes[a].centre_mm, &q = face.holes[b].centre_mm;
    return p.x() != q.x() ? p.x() < q.x() : p.y() < q.y();
  });
  return order;
}

MeasuredFace in_steady_order(const MeasuredFace& face) {
  const std::vector<std::size_t> order = steady_order(face);
  const MatrixXd full = face.full_covariance_mm2();
  MeasuredFace out;
  out.covariance_mm2.resize(full.rows(), full.cols());
  for (std::size_t i = 0; i < order.size(); ++i) {
    out.holes.push_back(face.holes[order[i]]);
    for (std::size_t j = 0; j < order.size(); ++j) {
      const auto at = [](std::size_t k) { return 2 * static_cast<Eigen::Index>(k); };
      out.covariance_mm2.block<2, 2>(at(i), at(j)) = full.block<2, 2>(at(order[i]), at(order[j]));
    }
  }
  return out;
}

FaceView view_of(const MeasuredFace& face) {
  FaceView view;
  for (const MeasuredHole& hole : face.holes) view.holes_mm.push_back(hole.centre_mm);
  view.covariance_mm2 = face.covariance_mm2;
  return view;
}

std::vector<HoleId> ids_of(const MeasuredFace& face) {
  std::vector<HoleId> ids;
  for (const MeasuredHole& hole : face.holes) ids.push_back(hole.id);
  return ids;
}

double own_sigma_mm(const FaceView& view) {
  std::vector<double> variances;
  for (Eigen::Index i = 0; i < view.covariance_mm2.rows(); ++i)
    variances.push_back(view.covariance_mm2(i, i));
  std::nth_element(variances.begin(), variances.begin() + static_cast<std::ptrdiff_t>(variances.size() / 2),
                   variances.end());
  return std::sqrt(std::max(0.0, variances[variances.size() / 2]));
}

/// The prior alone, where nothing is in order.
void nothing_seen(const PatternInference& rules, Inference& out) {
  out.unit = rules.series.inch_odds > 0.5 ? Unit::kInch : Unit::kMm;
  out.unit_odds = rules.series.unit_odds(out.unit);
  out.scatter_mm = rules.expected_scatter_mm;
  out.turn_sigma = rules.turn_sigma;
}

void sort_by_size(std::vector<SeenRows>& rows) {
  std::stable_sort(rows.begin(), rows.end(), [](const SeenRows& a, const SeenRows& b) {
    if (a.along_y != b.along_y) return !a.along_y;
    return a.lines.front().gauge_mm < b.lines.front().gauge_mm;
  });
}

Inference answer(const PatternInference& rules, const Structure& structure,
                 const std::vector<FaceView>& faces, const std::vector<std::vector<HoleId>>& ids,
                 const LooseOrigin& origin) {
  Inference out;
  out.placed = !origin.is;
  nothing_seen(rules, out);
  const ItemNumbers numbers = number_items(structure);
  if (numbers.count > 0) {
    const std::vector<Question> questions = ask(structure, numbers, faces, origin);
    const Answers answers = find_round_values(questions, numbers.count, rules);
    out.items = make_items(structure, numbers, faces, ids, answers);
    out.unit = answers.unit;
    out.unit_odds = answers.unit_odds;
    out.scatter_mm = answers.scatter_mm;
    out.turn = Angle::radians(answers.turn_rad);
    out.turn_sigma = Angle::radians(answers.turn_sigma_rad);
  }
  for (std::size_t i = 0; i < structure.loose.size(); ++i) {
    const auto hole = static_cast<std::size_t>(structure.loose[i]);
    const Vector2d at_mm = turned_back(faces[0].holes_mm[hole], out.turn.radians());
    LooseHole loose;
    loose.hole.id = fmt::format("X{}", i + 1);
    loose.hole.centre_mm = at_mm;
    loose.measured = ids[0][hole];
    out.loose.push_back(std::move(loose));
  }
  return out;
}

SearchRules search_rules(const PatternInference& rules) {
  return {rules.expected_scatter_mm, rules.scatter_log_sd, rules.turn_sigma.radians(), rules.least_pitch_mm,
          rules.stray_mm};
}

void turn_face(FaceView& view, double turn_rad) {
  const Eigen::Matrix2d back = rotation(Angle::radians(-turn_rad));
  for (Vector2d& p : view.holes_mm) p = back * p;
  const auto n = static_cast<Eigen::Index>(view.holes_mm.size());
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      view.covariance_mm2.block<2, 2>(2 * i, 2 * j) =
          (back * view.covariance_mm2.block<2, 2>(2 * i, 2 * j) * back.transpose()).eval();
    }
  }
}

/// Lays the origin into the first row's first hole, or the first circle's centre.
LooseOrigin lay_origin(const Structure& structure, FaceView& view) {
  LooseOrigin origin;
  origin.is = true;
  if (structure.rows.empty() && structure.rings.empty()) return origin;
  Vector2d at = Vector2d::Zero();
  const double s2 = structure.scatter_mm * structure.scatter_mm;
  if (!structure.rows.empty()) {
    const SeenRows& rows = structure.rows.front();
    const SeenLine& line = rows.lines.front();
    at = rows.along_y ? Vector2d(line.gauge_mm, rows.start_mm) : Vector2d(rows.start_mm, line.gauge_mm);
    const double across = s2 / static_cast<double>(line.members.size());
    const double along = s2 * spacing_covariance(line.members, line.shift())(0, 0);
    origin.cov_mm2.diagonal() << (rows.along_y ? across : along), (rows.along_y ? along : across);
  } else {
    at = structure.rings.front().centre_mm;
  }
  for (Vector2d& p : view.holes_mm) p -= at;
  return origin;
}

}  // namespace

std::vector<PatternItem> Inference::pattern_items() const {
  std::vector<PatternItem> all;
  for (const InferredItem& item : items) all.push_back(item.item);
  for (const LooseHole& hole : loose) all.push_back(hole.hole);
  return all;
}

Result<Inference> PatternInference::operator()(const MeasuredFace& face, const std::string& where) const {
  if (Problems problems = unfit(face, where); !problems.empty()) return problems;
  const MeasuredFace steady = in_steady_order(face);
  FaceView view = view_of(steady);
  const double own_mm = own_sigma_mm(view);
  double convention_rad = 0.0;
  if (!datum_edges) {
    convention_rad = any_turn(view.holes_mm, std::hypot(expected_scatter_mm, own_mm));
    turn_face(view, convention_rad);
  }
  Structure structure = find_structure(view.holes_mm, own_mm, search_rules(*this));
  sort_by_size(structure.rows);
  LooseOrigin origin;
  if (!datum_edges) origin = lay_origin(structure, view);
  Inference out = answer(*this, structure, {view}, {ids_of(steady)}, origin);
  out.turn = out.turn + Angle::radians(convention_rad);
  out.independent_holes = face.covariance_mm2.size() == 0;
  return out;
}

Result<Inference> PatternInference::operator()(const FaceOfPair& first, const FaceOfPair& second,
                                               const std::string& where) const {
  Problems problems = unfit(first.face, where);
  append(problems, unfit(second.face, where));
  if (!problems.empty()) return problems;
  const MeasuredFace steady = in_steady_order(first.face);
  const MeasuredFace other = in_steady_order(second.face);
  const FaceView view = view_of(steady);
  Structure structure = find_structure(view.holes_mm, own_sigma_mm(view), search_rules(*this));
  sort_by_size(structure.rows);
  const auto laid =
      lay_second_face(structure, view_of(other), first.other_hand != second.other_hand, turn_sigma.radians());
  if (!laid) {
    return Problem{codes::kInferenceNoPair, where,
                   "the holes of the second face do not fit the rows seen on the first",
                   "check which hand each face is of, or infer each by itself"};
  }
  Inference out = answer(*this, structure, {view, *laid}, {ids_of(steady), ids_of(other)}, LooseOrigin{});
  out.independent_holes = first.face.covariance_mm2.size() == 0 || second.face.covariance_mm2.size() == 0;
  return out;
}

std::vector<PatternItem> other_hand(const std::vector<PatternItem>& items) {
  struct Mirror {
    PatternItem operator()(NominalHole hole) const {
      hole.centre_mm.y() = -hole.centre_mm.y();
      return hole;
    }
    PatternItem operator()(Row row) const {
      row.start_mm.y() = -row.start_mm.y();
      row.direction = -row.direction;
      return row;
    }
    PatternItem operator()(Grid grid) const {
      grid.row = std::get<Row>((*this)(grid.row));
      grid.gauge_mm = -grid.gauge_mm;
      return grid;
    }
    PatternItem operator()(BoltCircle circle) const {
      circle.centre_mm.y() = -circle.centre_mm.y();
      circle.start = -circle.start;
      circle.step = -circle.step;
      return circle;
    }
  };
  std::vector<PatternItem> mirrored;
  for (const PatternItem& item : items) mirrored.push_back(std::visit(Mirror{}, item));
  return mirrored;
}

}  // namespace fairhole

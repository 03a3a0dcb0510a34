// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "photo_edges.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <optional>

namespace fairhole::job {
namespace {

constexpr double kGateSigmas = 3.0;
constexpr double kBowSigmas = 3.0, kLeastBowMm = 0.3;
constexpr double kSquareSigmas = 3.0, kLeastSquareDeg = 0.1;
constexpr double kFreeTurn = 10.0;  // rad: no information

/// One datum edge of the face: on y = 0 or x = 0, metal to its left from `from` to `to`.
struct DatumEdge {
  std::string name;
  Eigen::Vector2d from, to;
  bool along_x() const { return std::abs(to.y() - from.y()) < std::abs(to.x() - from.x()); }
  Eigen::Vector2d inward() const {
    const Eigen::Vector2d d = (to - from).normalized();
    return {-d.y(), d.x()};
  }
};

std::optional<DatumEdge> datum_edge(const Face& face, const std::string& name) {
  const auto found = std::ranges::find(face.edge_names, name);
  if (found == face.edge_names.end()) return std::nullopt;
  const auto i = static_cast<std::size_t>(found - face.edge_names.begin());
  return DatumEdge{name, face.outline_mm[i], face.outline_mm[(i + 1) % face.outline_mm.size()]};
}

Eigen::Vector2d direction(const photo::PartEdge& edge) { return (edge.b_mm - edge.a_mm).normalized(); }

/// Whether an edge as seen may be this one, the board lying about where the job says.
bool fits(const DatumEdge& datum, const photo::PartEdge& seen, const PhotoSet& set) {
  const Motion& place = set.face_from_board;
  const Eigen::Vector2d along = place.linear() * direction(seen) * (place.mirrored ? -1.0 : 1.0);
  const Eigen::Vector2d middle = 0.5 * (seen.a_mm + seen.b_mm);
  const double turn = kGateSigmas * set.turn_sigma.radians();
  if (along.dot((datum.to - datum.from).normalized()) < std::cos(turn + Angle::degrees(1.0).radians()))
    return false;
  const double off = datum.inward().dot(place * middle - datum.from);
  return std::abs(off) < kGateSigmas * std::hypot(set.at_sigma_mm, set.turn_sigma.radians() * middle.norm());
}

EdgeTie tie_of(const DatumEdge& datum, const photo::PartEdge& seen) {
  EdgeTie tie;
  tie.name = datum.name;
  tie.a_mm = seen.a_mm;
  tie.b_mm = seen.b_mm;
  const double length = (seen.b_mm - seen.a_mm).norm();
  tie.offset_sigma_mm = std::hypot(seen.offset_sigma_mm, kWornEdgeMm);
  // Wear at either end: a difference of sqrt 2 worn edges over the length.
  tie.turn_sigma_rad = std::hypot(seen.turn_sigma_rad, std::sqrt(2.0) * kWornEdgeMm / length);
  tie.on_mm = datum.from;
  tie.across = datum.inward();
  return tie;
}

/// The end edge gives the origin alone, where it meets the long edge: x runs along the long edge, square or
/// not.
void hold_at_corner(EdgeTie& end, const EdgeTie& long_edge) {
  const Eigen::Vector2d a = end.a_mm, u = (end.b_mm - end.a_mm).normalized(),
                        v = (long_edge.b_mm - long_edge.a_mm).normalized();
  Eigen::Matrix2d sides;
  sides << u, -v;
  const double reach = (sides.inverse() * (long_edge.a_mm - a)).x();
  const double from_middle = reach - 0.5 * (end.b_mm - end.a_mm).norm();
  end.offset_sigma_mm = std::hypot(end.offset_sigma_mm, end.turn_sigma_rad * from_middle);
  const Eigen::Vector2d corner = a + reach * u;
  end.a_mm = corner - u;
  end.b_mm = corner + u;
  end.turn_sigma_rad = kFreeTurn;
}

std::string square_words(const EdgeTie& end, const EdgeTie& long_edge, bool mirrored) {
  const Eigen::Vector2d e = (end.b_mm - end.a_mm).normalized(),
                        l = (long_edge.b_mm - long_edge.a_mm).normalized();
  // Metal on the left of both, the end edge runs towards the corner: from its direction to the long edge's
  // the metal turns by 90 degrees when square, and by less when the corner is over square.
  const double turn = std::atan2(e.x() * l.y() - e.y() * l.x(), e.dot(l)) * (mirrored ? -1.0 : 1.0);
  const double over = 90.0 - degrees_of(turn);
  const double sigma = degrees_of(std::hypot(end.turn_sigma_rad, long_edge.turn_sigma_rad));
  if (std::abs(over) < std::max(kLeastSquareDeg, kSquareSigmas * sigma)) return "";
  return fmt::format("The corner of {} and {} is {:.1f} degree {} square in this view.", long_edge.name,
                     end.name, std::abs(over), over > 0.0 ? "over" : "under");
}

}  // namespace

std::string bow_words(const std::string& edge, const photo::PartEdge& seen) {
  if (std::abs(seen.bow_mm) < std::max(kLeastBowMm, kBowSigmas * seen.bow_sigma_mm)) return "";
  return fmt::format("The {} is bowed {:.1f} mm in this view, {}.", edge, std::abs(seen.bow_mm),
                     seen.bow_mm > 0.0 ? "hollow" : "round");
}

std::vector<EdgeTie> corner_ties(const photo::PartEdge& long_edge, const photo::PartEdge& end_edge) {
  const DatumEdge along{"long datum edge", {0.0, 0.0}, {1.0, 0.0}}, end{"datum end", {0.0, 1.0}, {0.0, 0.0}};
  std::vector<EdgeTie> ties{tie_of(along, long_edge), tie_of(end, end_edge)};
  hold_at_corner(ties[1], ties[0]);
  return ties;
}

DatumEdges datum_edges_of(const Face& face, const PhotoSet& set,
                          const std::vector<photo::SeenPartEdge>& seen) {
  DatumEdges out;
  std::vector<EdgeTie> ends;
  for (const std::string& name : set.edges) {
    const std::optional<DatumEdge> datum = datum_edge(face, name);
    bool found = false;
    for (const photo::SeenPartEdge& one : seen) {
      if (!datum || !fits(*datum, one.edge, set)) continue;
      found = true;
      (datum->along_x() ? out.ties : ends).push_back(tie_of(*datum, one.edge));
      if (std::string words = bow_words(name, one.edge); !words.empty())
        out.words.push_back(std::move(words));
    }
    if (!found)
      out.words.push_back(
          fmt::format("The {} is not seen in the photographs, about where it must lie.", name));
  }
  for (EdgeTie& end : ends) {
    if (!out.ties.empty() && out.ties.front().name != end.name) {
      if (std::string words = square_words(end, out.ties.front(), set.face_from_board.mirrored);
          !words.empty())
        out.words.push_back(std::move(words));
      hold_at_corner(end, out.ties.front());
    }
  }
  out.ties.insert(out.ties.end(), ends.begin(), ends.end());
  return out;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "items.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fairhole::inference {
namespace {

using Eigen::Vector2d;

/// A, B, ... without I, O (read as 1 and 0) and X (loose holes), then AA, AB, ...
std::string letters(std::size_t number) {
  static constexpr char kLetters[] = "ABCDEFGHJKLMNPQRSTUVWYZ";
  constexpr std::size_t kCount = sizeof(kLetters) - 1;
  std::string text;
  for (std::size_t rest = number + 1; rest > 0; rest = (rest - 1) / kCount)
    text.insert(text.begin(), kLetters[(rest - 1) % kCount]);
  return text;
}

double chosen_mm(const std::vector<Dimension>& dimensions, const std::string& name, double otherwise) {
  for (const Dimension& dimension : dimensions) {
    if (dimension.name == name) return dimension.candidates.front().value_mm;
  }
  return otherwise;
}

/// One gauge line with its round values.
struct Line {
  const SeenLine* seen = nullptr;
  double gauge_mm = 0.0;
  const std::vector<Dimension>* gauge = nullptr;
  int number = 0;  ///< of the item

  int first() const { return seen->members.front().k; }
  int count() const { return seen->members.back().k + 1 - first(); }
};

class ItemMaker {
 public:
  ItemMaker(const std::vector<FaceView>& faces, const std::vector<std::vector<HoleId>>& ids,
            const Answers& answers)
      : faces_(faces), ids_(ids), answers_(answers) {}

  void rows(const SeenRows& rows, const std::vector<int>& numbers, int whole, std::size_t& question) {
    const std::vector<Dimension>& spacing = answers_.dimensions[question++];
    std::vector<Line> lines;
    for (std::size_t l = 0; l < rows.lines.size(); ++l) {
      const std::vector<Dimension>& gauge = answers_.dimensions[question++];
      lines.push_back({&rows.lines[l], chosen_mm(gauge, "gauge", 0.0), &gauge, numbers[l]});
    }
    if (is_grid(lines)) {
      add_rows(rows, lines, spacing, answers_.item_odds[static_cast<std::size_t>(whole)]);
      return;
    }
    for (const Line& line : lines) {
      add_rows(rows, {line}, spacing, answers_.item_odds[static_cast<std::size_t>(line.number)]);
      items_.back().staggered = line.seen->half;
    }
  }

  void ring(const SeenRing& ring, int number, std::size_t& question) {
    InferredItem out;
    out.dimensions = answers_.dimensions[question++];
    out.odds = answers_.item_odds[static_cast<std::size_t>(number)];
    BoltCircle circle;
    circle.prefix = letters(items_.size());
    circle.centre_mm = {chosen_mm(out.dimensions, "centre x", 0.0),
                        chosen_mm(out.dimensions, "centre y", 0.0)};
    circle.radius_mm = 0.5 * out.dimensions.front().candidates.front().value_mm;
    circle.count = ring.closed ? static_cast<int>(std::lround(2.0 * std::numbers::pi / ring.step_rad))
                               : ring.members.back().k + 1;
    circle.start = Angle::degrees(round_degrees(ring.start_rad, circle.radius_mm));
    circle.step = ring.closed ? Angle::degrees(360.0 / circle.count)
                              : Angle::degrees(round_degrees(ring.step_rad, circle.radius_mm * circle.count));
    out.item = circle;
    for (int k = 0; k < circle.count; ++k) {
      const double at = circle.start.radians() + k * circle.step.radians();
      add_place(out, circle.prefix, k, ring.members, k,
                circle.centre_mm + circle.radius_mm * Vector2d(std::cos(at), std::sin(at)));
    }
    items_.push_back(std::move(out));
  }

  std::vector<InferredItem> items() && { return std::move(items_); }

 private:
  /// Equal counts from the same end, equal gauges, in step or every second line staggered.
  static bool is_grid(const std::vector<Line>& lines) {
    if (lines.size() < 2) return false;
    const double gauge_mm = lines[1].gauge_mm - lines[0].gauge_mm;
    for (std::size_t i = 1; i < lines.size(); ++i) {
      constexpr double kSameMm = 1e-6;
      const bool even = std::abs(lines[i].gauge_mm - lines[i - 1].gauge_mm - gauge_mm) < kSameMm;
      const bool turns = lines[i].seen->half == (lines[1].seen->half && i % 2 == 1);
      if (!even || !turns || lines[i].first() != lines[0].first() || lines[i].count() != lines[0].count())
        return false;
    }
    return !lines[0].seen->half;
  }

  void add_rows(const SeenRows& rows, const std::vector<Line>& lines, const std::vector<Dimension>& spacing,
                double odds) {
    InferredItem out;
    out.odds = odds;
    const Line& line = lines.front();
    const double pitch_mm = spacing.front().candidates.front().value_mm;
    const double shift = line.first() + line.seen->shift();
    const double start_mm = chosen_mm(spacing, "first", 0.0) + shift * pitch_mm;
    Row row;
    row.prefix = letters(items_.size());
    row.pitch_mm = pitch_mm;
    row.count = line.count();
    row.start_mm = rows.along_y ? Vector2d(line.gauge_mm, start_mm) : Vector2d(start_mm, line.gauge_mm);
    row.direction = Angle::degrees(rows.along_y ? 90.0 : 0.0);
    out.dimensions.push_back(spacing.front());
    if (spacing.size() > 1) out.dimensions.push_back(first_dimension(spacing, shift, start_mm));
    for (const Line& each : lines)
      out.dimensions.insert(out.dimensions.end(), each.gauge->begin(), each.gauge->end());
    const double gauge_mm = lines.size() > 1 ? lines[1].gauge_mm - lines[0].gauge_mm : 0.0;
    const double stagger = lines.size() > 1 && lines[1].seen->half ? 0.5 : 0.0;
    // A grid's gauge counts to the left of its direction: along y that is towards -x.
    if (lines.size() > 1) {
      out.item =
          Grid{row, rows.along_y ? -gauge_mm : gauge_mm, static_cast<int>(lines.size()), stagger * pitch_mm};
    } else {
      out.item = row;
    }
    for (std::size_t l = 0; l < lines.size(); ++l) {
      for (int i = 0; i < row.count; ++i) {
        const double along_mm = start_mm + (i + (l % 2 == 1 ? stagger : 0.0)) * pitch_mm;
        const double across_mm = lines[l].gauge_mm;
        add_place(out, row.prefix, static_cast<int>(l) * row.count + i, lines[l].seen->members,
                  line.first() + i,
                  rows.along_y ? Vector2d(across_mm, along_mm) : Vector2d(along_mm, across_mm));
      }
    }
    items_.push_back(std::move(out));
  }

  /// Of a row that begins elsewhere on the common lattice the first follows from the others.
  static Dimension first_dimension(const std::vector<Dimension>& spacing, double shift, double start_mm) {
    Dimension first = spacing[1];
    if (shift == 0.0) return first;
    const RoundValue& pitch = spacing[0].candidates.front();
    first.measured_mm += shift * spacing[0].measured_mm;
    first.sigma_mm = std::hypot(first.sigma_mm, shift * spacing[0].sigma_mm);
    first.candidates = {{start_mm, pitch.unit, std::min(pitch.odds, first.candidates.front().odds)}};
    return first;
  }

  /// To 15, 5 or 1 degree where that is within the scatter of one hole.
  double round_degrees(double angle_rad, double arm_mm) const {
    const double degrees = degrees_of(angle_rad);
    const double sigma = degrees_of(answers_.scatter_mm / arm_mm);
    for (const double step : {15.0, 5.0, 1.0}) {
      const double round = step * std::round(degrees / step);
      if (std::abs(round - degrees) < 2.0 * sigma) return round;
    }
    return degrees;
  }

  void add_place(InferredItem& item, const std::string& prefix, int number,
                 const std::vector<Member>& members, int k, const Vector2d& place_mm) const {
    Place place;
    place.nominal = prefix + std::to_string(number + 1);
    for (const Member& m : members) {
      if (m.k != k) continue;
      const FaceView& face = faces_[static_cast<std::size_t>(m.face)];
      const HoleId& id = ids_[static_cast<std::size_t>(m.face)][static_cast<std::size_t>(m.hole)];
      if (m.face == 0) {
        const Vector2d& p = face.holes_mm[static_cast<std::size_t>(m.hole)];
        place.measured = id;
        place.residual_mm = turned_back(p, answers_.turn_rad) - place_mm;
        place.strayed = m.strayed;
      } else {
        place.measured_on_second = id;
      }
    }
    item.places.push_back(std::move(place));
  }

  const std::vector<FaceView>& faces_;
  const std::vector<std::vector<HoleId>>& ids_;
  const Answers& answers_;
  std::vector<InferredItem> items_;
};

}  // namespace

std::vector<InferredItem> make_items(const Structure& structure, const ItemNumbers& numbers,
                                     const std::vector<FaceView>& faces,
                                     const std::vector<std::vector<HoleId>>& ids, const Answers& answers) {
  ItemMaker maker(faces, ids, answers);
  std::size_t question = 0;
  for (std::size_t r = 0; r < structure.rows.size(); ++r)
    maker.rows(structure.rows[r], numbers.lines[r], numbers.wholes[r], question);
  for (std::size_t r = 0; r < structure.rings.size(); ++r)
    maker.ring(structure.rings[r], numbers.rings[r], question);
  return std::move(maker).items();
}

}  // namespace fairhole::inference

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "fairhole/base/odds_words.h"
#include "fairhole/job/infer_json.h"

namespace fairhole::job {
namespace {

constexpr double kWorthAThought = 0.95;  // below these odds the other readings of a dimension are listed
constexpr double kTurnSigmas = 3.0;      // from here on the turn is no accident

std::string plain_mm(double length_mm) {
  const std::string text = format_mm(length_mm, 2);
  return text.ends_with(".00") ? text.substr(0, text.size() - 3) + " mm" : text + " mm";
}

std::string length(double length_mm, Unit unit) {
  if (unit == Unit::kMm) return plain_mm(length_mm);
  return fmt::format("{} ({:.2f} mm)", format_inches(length_mm, 32), length_mm);
}

std::string holes(int count) { return fmt::format("{} hole{}", count, count == 1 ? "" : "s"); }

/// What an item is, in one line.
struct Sentence {
  Unit unit;
  bool placed;
  bool staggered;

  std::string operator()(const NominalHole& hole) const { return "Hole " + hole.id; }
  std::string operator()(const Row& row) const {
    return fmt::format("Row {}: {}, {} pitch, {}{}", row.prefix, holes(row.count), length(row.pitch_mm, unit),
                       start(row), staggered ? ", staggered by half a pitch" : "");
  }
  std::string operator()(const Grid& grid) const {
    return fmt::format("{} {}: {} rows of {}, {} pitch, rows {} apart, {}",
                       grid.stagger_mm != 0.0 ? "Staggered rows" : "Grid", grid.row.prefix, grid.rows,
                       holes(grid.row.count), length(grid.row.pitch_mm, unit),
                       length(std::abs(grid.gauge_mm), unit), start(grid.row));
  }
  std::string operator()(const BoltCircle& circle) const {
    const bool whole = std::abs(circle.count * circle.step.degrees() - 360.0) < 1e-6;
    std::string text = fmt::format("{} {}: {}, pitch circle {} across", whole ? "Circle" : "Arc",
                                   circle.prefix, holes(circle.count), length(2.0 * circle.radius_mm, unit));
    if (!whole) text += fmt::format(", {:.4g} degrees apart", circle.step.degrees());
    if (placed) {
      text += fmt::format(", centre {} from the end and {} off the edge", length(circle.centre_mm.x(), unit),
                          length(circle.centre_mm.y(), unit));
    }
    return text + fmt::format(", first hole at {:.4g} degrees", circle.start.degrees());
  }

 private:
  std::string start(const Row& row) const {
    const bool along_y = row.direction.radians() != 0.0;
    const double first_mm = along_y ? row.start_mm.y() : row.start_mm.x();
    const double gauge_mm = along_y ? row.start_mm.x() : row.start_mm.y();
    const char* const from_end = placed ? "from the end" : "along from the origin";
    const char* const off_edge = placed ? "off the edge" : "across from the origin";
    return fmt::format("first {} {}, gauge {} {}", length(first_mm, unit), along_y ? off_edge : from_end,
                       length(gauge_mm, unit), along_y ? from_end : off_edge);
  }
};

std::string readings_of(const Dimension& dimension) {
  std::string text;
  for (const RoundValue& c : dimension.candidates) {
    const bool inch = c.unit == Unit::kInch;
    text += fmt::format("{}{}, {}", text.empty() ? "" : "; ",
                        inch ? fmt::format("{:.2f} mm = {}", c.value_mm, format_inches(c.value_mm, 32))
                             : plain_mm(c.value_mm),
                        odds_words(c.odds));
  }
  return text;
}

/// Dimensions that may have been meant otherwise, and one that no round value fits.
std::string doubts(const InferredItem& item) {
  std::string text;
  for (const Dimension& dimension : item.dimensions) {
    if (dimension.candidates.front().odds < kWorthAThought && dimension.candidates.size() > 1) {
      text += fmt::format("    {} measures {:.2f} +- {:.2f} mm: {}\n", dimension.name, dimension.measured_mm,
                          dimension.sigma_mm, readings_of(dimension));
    }
    const double off_mm = dimension.measured_mm - dimension.candidates.front().value_mm;
    if (std::abs(off_mm) > 3.0 * dimension.sigma_mm) {
      text += fmt::format(
          "    {} measures {:.2f} +- {:.2f} mm, {:.1f} sigmas from that: perhaps no round value\n",
          dimension.name, dimension.measured_mm, dimension.sigma_mm, std::abs(off_mm) / dimension.sigma_mm);
    }
  }
  return text;
}

std::string places(const InferredItem& item) {
  std::string text, empty;
  for (const Place& place : item.places) {
    if (!place.measured && !place.measured_on_second) empty += (empty.empty() ? "" : ", ") + place.nominal;
    if (place.strayed) {
      text += fmt::format("    {} stands {:.1f} mm off {}: torn or drawn over? It had no say\n",
                          *place.measured, place.residual_mm.norm(), place.nominal);
    }
  }
  if (!empty.empty()) text += fmt::format("    no hole found at {}: lost, or never drawn?\n", empty);
  return text;
}

std::string turn_line(const Inference& inference) {
  const double turn = inference.turn.degrees(), sigma = inference.turn_sigma.degrees();
  if (!inference.placed || std::abs(turn) < kTurnSigmas * sigma) return {};
  return fmt::format(
      "The rows are turned {:+.2f} +- {:.2f} degrees against the datum edge (counter-clockwise is +): the "
      "edge or the "
      "frame is out, and the pattern is stated without it.\n",
      turn, sigma);
}

}  // namespace

std::string infer_text(const Inference& inference) {
  std::string text;
  if (inference.items.empty()) {
    text += "No row, grid or circle is to be seen: every hole is stated by itself, where it was measured.\n";
  } else {
    text += fmt::format("Drawn in {}, {}. The holes scatter {:.2f} mm about the drawing.\n",
                        inference.unit == Unit::kInch ? "inches" : "mm", odds_words(inference.unit_odds),
                        inference.scatter_mm);
  }
  if (!inference.placed && !inference.items.empty()) {
    text +=
        "The face has no datum edges: the origin is the first hole of the first row, or a circle's centre.\n";
  }
  for (const InferredItem& item : inference.items) {
    text += std::visit(Sentence{inference.unit, inference.placed, item.staggered}, item.item);
    text += fmt::format("; {}\n", odds_words(item.odds)) + doubts(item) + places(item);
  }
  text += turn_line(inference);
  for (const LooseHole& hole : inference.loose) {
    text += fmt::format("Hole {} ({}): in no order, at {:.1f}, {:.1f} mm\n", hole.hole.id, hole.measured,
                        hole.hole.centre_mm.x(), hole.hole.centre_mm.y());
  }
  return text;
}

}  // namespace fairhole::job

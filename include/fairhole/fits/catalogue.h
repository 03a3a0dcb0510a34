// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fits/drills.h"

/// Standard sizes: threads, hexagons, washers, reamers, rivets and their heads, bar, drills. The program's
/// own tables are src/fits/data/*.csv; a user's own file has the same columns (docs/formats/catalogue.md).
namespace fairhole {

/// How a value was come by. What stands from memory alone is not to be taken for the standard's.
enum class Provenance { kFound, kComputed, kMemory, kUser };
const char* provenance_name(Provenance provenance);  ///< "found", "computed", "memory", "user"

struct ValueSource {
  Provenance provenance = Provenance::kUser;
  std::string text;  ///< standard, edition, where it was read
};

enum class ThreadForm { kMetric, kUnified, kWhitworth };

struct Thread {
  std::string size;    ///< "M20", "3/4"
  std::string series;  ///< "metric", "UNC", "UNF", "BSW", "BSF"
  ThreadForm form = ThreadForm::kMetric;
  double major_mm = 0.0;
  double pitch_mm = 0.0;
  double tap_drill_mm = 0.0;
  Provenance tap_drill_provenance = Provenance::kUser;
  ValueSource source;

  std::string name() const;  ///< "M20", "3/4 BSW"
  /// Core (root) diameter: metric d - 1.226869 p, unified D - 1.299038 p, Whitworth D - 1.280654 p
  /// (h = 0.640327 p).
  double core_mm() const;
  /// Metric pi/4 (d - 0.9382 p)^2 (ISO 898-1), unified pi/4 (D - 0.9743 p)^2; Whitworth: the core circle,
  /// which is what old practice reckons with, and safe.
  double stress_area_mm2() const;
  /// Depth of thread that a tapping drill leaves, as a share of the full Whitworth or 60 degree depth.
  double engagement_ratio(double drill_mm) const;
};

struct Hexagon {
  double bolt_mm = 0.0;
  std::string series;            ///< "metric", "unified", "BS 1083", "old Whitworth"
  double across_flats_mm = 0.0;  ///< largest
  double head_mm = 0.0;          ///< height of a bolt's head
  double nut_mm = 0.0;           ///< height of a nut
  std::optional<double> lock_nut_mm;
  ValueSource source;
  double across_corners_mm() const;  ///< 2/sqrt 3 of the flats
};

struct Washer {
  double bolt_mm = 0.0;
  std::string series;  ///< "plain", "plain narrow", "thick"
  double hole_mm = 0.0;
  double outside_mm = 0.0;
  double thickness_mm = 0.0;
  ValueSource source;
};

enum class ReamerKind { kHand, kMachine };
struct Reamer {
  double diameter_mm = 0.0;
  std::string name;  ///< "22 mm", "7/8 in"
  ReamerKind kind = ReamerKind::kHand;
  ValueSource source;
};

struct RivetSize {
  double diameter_mm = 0.0;  ///< cold
  std::string name;
  ValueSource source;
};

enum class HeadForm { kSnap, kPan, kCountersunk };
/// Proportions of a head in diameters of the cold rivet.
struct RivetHead {
  std::string name;  ///< "snap", "countersunk 60"
  HeadForm form = HeadForm::kSnap;
  double diameter_ratio = 0.0;
  double height_ratio = 0.0;  ///< depth of a countersunk head
  ValueSource source;
};

enum class BarShape { kRound, kHexagon };
struct Bar {
  double size_mm = 0.0;  ///< diameter, or across flats
  std::string name;
  BarShape shape = BarShape::kRound;
  ValueSource source;
};

struct Catalogue {
  std::vector<Thread> threads;
  std::vector<Hexagon> hexagons;
  std::vector<Washer> washers;
  std::vector<Reamer> reamers;
  std::vector<RivetSize> rivets;
  std::vector<RivetHead> heads;
  std::vector<Bar> bars;
  std::vector<Drill> drills = {};  ///< a user's own, beside those of drill_list()
};

/// The program's own tables.
const Catalogue& standard_catalogue();

/// A user's file: CSV with a header row whose first column names the table (thread, hexagon, washer, reamer,
/// rivet, head, bar, drill), `#` comments, `# unit: mm` or `# unit: in` for bare numbers (default mm).
/// `where` names the file in problems, which give the line: kCatalogueTable (header), kCatalogueRow (cells;
/// all of them).
Result<Catalogue> parse_catalogue(std::string_view csv, const std::string& where);

/// `more` in front of `all`, so that a user's own row is found before the program's.
Catalogue merged(const Catalogue& more, const Catalogue& all);

/// Finders take sizes that agree to 0.01 mm. Problem of all: kNotInCatalogue, with what there is.
Result<Thread> thread_named(const Catalogue& catalogue, const std::string& name);  ///< "M20", "3/4 BSW"
/// Largest thread of a series whose major diameter is at most `limit_mm`.
Result<Thread> largest_thread(const Catalogue& catalogue, const std::string& series, double limit_mm);
/// Hexagon series that goes with a thread series: BSW and BSF take BS 1083, UNC and UNF unified.
std::string hexagon_series_of(const std::string& thread_series);
Result<Hexagon> hexagon_for(const Catalogue& catalogue, const std::string& series, double bolt_mm);
Result<Washer> washer_for(const Catalogue& catalogue, const std::string& series, double bolt_mm);
Result<RivetHead> head_named(const Catalogue& catalogue, const std::string& name);
/// Smallest bar of a shape of at least `least_mm`.
Result<Bar> bar_from(const Catalogue& catalogue, BarShape shape, double least_mm);

namespace codes {
inline constexpr Code kCatalogueTable{446};  ///< a file that is no catalogue
inline constexpr Code kCatalogueRow{447};    ///< a row of a catalogue that cannot be used
inline constexpr Code kNotInCatalogue{448};  ///< a size that the catalogue does not hold
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/length.h"
#include "fairhole/base/result.h"
#include "fairhole/pattern/hole.h"

namespace fairhole {

/// What was measured. The face's frame: origin at the datum corner, x along the long datum edge, y away from
/// it.
enum class ReadingKind {
  kAlong,       ///< end edge to the centre, parallel to the long edge
  kAcross,      ///< long edge to the centre, square to it
  kAlongNear,   ///< as kAlong, to the rim met first
  kAlongFar,    ///< as kAlong, to the other rim
  kAcrossNear,  ///< as kAcross, to the rim met first
  kAcrossFar,   ///< as kAcross, to the other rim
  kRun,         ///< running dimension along x on one tape set-up of unknown zero
  kRunAcross,   ///< the same along y
  kCentres,     ///< hole to hole over centres
  kNearEdges,   ///< gap between the rims that face each other
  kFarEdges,    ///< over the outer rims
  kSameEdges,   ///< rim of `from` met first to rim of `to` met first, going from `from` to `to`
  kOffLine,     ///< offset of `from` from a line stretched from `to` to `line_end`, positive to its left
  kDia,         ///< diameter; `direction_rad` where the caliper's direction was noted
  kKnownX,      ///< x taken as known; sigma 0 holds it exactly
  kKnownY       ///< y taken as known
};

/// "along", "same-edges", ... as written in a readings file.
const char* kind_name(ReadingKind kind);
std::optional<ReadingKind> kind_from_name(std::string_view name);

/// The accuracy class of a material measure of length (Directive 2014/32/EU, annex X (MI-008), chapter I):
/// largest error between two marks a + b L, and c more when the tape's end face is one of the two; L in
/// metres, rounded up to the next whole metre.
struct TapeClass {
  double a_mm = 0.0;
  double b_mm_per_m = 0.0;
  double c_mm = 0.0;
};

/// "I", "II" or "III".
std::optional<TapeClass> tape_class(std::string_view name);

/// One tape: a `# tape:` line and all rows up to the next.
struct Tape {
  std::string name;  ///< what stands after the class, or "tape 1", "tape 2", ...
  std::string class_name;
  TapeClass limits;
};

/// One data row, read and checked in itself.
struct Reading {
  int row = 0;   ///< data rows from 1
  int line = 0;  ///< of the file, from 1
  ReadingKind kind = ReadingKind::kAlong;
  HoleId from;
  HoleId to;                            ///< second hole; the line's first hole for kOffLine; else empty
  HoleId line_end;                      ///< the line's second hole for kOffLine; else empty
  std::string set_up;                   ///< the tape set-up of kRun and kRunAcross; else empty
  std::optional<double> direction_rad;  ///< kDia only, from x
  double value_mm = 0.0;
  double sigma_mm = 0.0;  ///< of the independent part of the error; 0 only for a known coordinate
  std::optional<int>
      tape;               ///< index into Readings::tapes; none for calipers, known values, or without a tape
  Unit unit = Unit::kMm;  ///< the unit the number was read in
  std::string text;       ///< the reading as written
  std::string note;
};

/// What is known beforehand of the corner between the two datum edges (`# square: 0 +- 0.2`).
struct CornerPrior {
  double square_rad = 0.0;  ///< corner angle minus 90 degrees
  double sigma_rad = 0.0;
};

/// Where a net without datum readings is to be laid down (`# near: H1 170.71 270.71`).
struct NearPlace {
  HoleId hole;
  Eigen::Vector2d place_mm = Eigen::Vector2d::Zero();
};

/// A readings file, taken apart. Lengths in mm whatever the file's unit.
struct Readings {
  std::string source;  ///< file name, for messages
  Unit unit = Unit::kMm;
  std::vector<Reading> rows;
  std::vector<Tape> tapes;
  std::optional<CornerPrior> corner;  ///< none: the corner is taken as square
  std::vector<NearPlace> near_places;
  double tape_sigma_mm =
      0.0;  ///< of a further reading with the last tape named: the last resolution and centring
  double caliper_sigma_mm = 0.0;
};

/// Defaults where the file is silent. A tape is read to half a millimetre, or to 1/32 in in an inch file; the
/// eye finds a hole's centre to 0.25 mm; a caliper finds a worn hole's width to 0.1 mm.
inline constexpr double kDefaultResolutionMm = 0.5;
inline constexpr double kDefaultResolutionInchMm = 25.4 / 32.0;
inline constexpr double kDefaultCentringMm = 0.25;
inline constexpr double kDefaultCaliperSigmaMm = 0.1;

/// Reads a readings file: CSV, UTF-8 with or without a byte order mark, LF or CRLF, comma or semicolon (a
/// semicolon in the header row decides; then numbers may have a decimal comma), fields quoted where they hold
/// a separator, `#` comments and header lines:
///   `# unit: mm|in`, `# tape: I|II|III [name]`, `# resolution: 0.5`, `# centring: 0.25`, `# caliper: 0.1`
///   (each holds for the rows after it), `# square: 0 +- 0.2` (degrees), `# near: H1 170 270`.
/// A reading's sigma is resolution/sqrt(12) combined with centring, or the row's own. Returns every problem
/// of the file, in order of lines.
Result<Readings> parse_readings(std::string_view text, const std::string& source);

namespace codes {
inline constexpr Code kReadingsNoHeader{240};       ///< no header row kind,from,to,reading,sigma,note
inline constexpr Code kReadingsBadHeaderLine{241};  ///< a `# name: value` line that cannot be used
inline constexpr Code kReadingsFieldCount{242};     ///< too few or too many fields; a cut-off last line
inline constexpr Code kReadingsUnknownKind{243};    ///< a kind that is none
inline constexpr Code kReadingsHoleMissing{244};    ///< `from` or `to` empty where a hole must stand
inline constexpr Code kReadingsBadValue{245};       ///< a reading that is no length, or not a possible one
inline constexpr Code kReadingsBadSigma{246};       ///< a sigma that is no length, or not above 0
inline constexpr Code kReadingsSameHole{247};       ///< a hole measured to itself
inline constexpr Code kReadingsBadTo{248};          ///< `to` that does not fit the kind
inline constexpr Code kReadingsQuote{249};          ///< a quoted field that is not closed
inline constexpr Code kReadingsNothing{250};        ///< no data rows
inline constexpr Code kReadingsHeldTwice{251};      ///< one coordinate held exactly at two values
inline constexpr Code kReadingsNotUtf8{252};        ///< bytes that are no UTF-8 text
}  // namespace codes

}  // namespace fairhole

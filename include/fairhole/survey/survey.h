// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/survey/readings.h"

/// From tape and caliper readings to hole positions with their covariance, by least squares with a-priori
/// sigmas. docs/survey.md gives the model and the sources.
///
/// Gauge: a net that nothing ties to the datum edges has a shape but no place. Its coordinates are then laid
/// down by a convention, and its covariance is that of inner constraints: the uncertainty of the shape alone.
/// Never read such a covariance as that of a place.
namespace fairhole {

/// A slip of the trade that explains a reading best: its name, what it did to the reading, and the posterior
/// odds of this explanation against all others considered, "some other gross error" among them.
struct Slip {
  std::string name;  ///< "100 mm start", "1 in start", "1 in", "10 mm", "a foot", "edge for centre", "digits
                     ///< swapped", ...
  double size_mm = 0.0;  ///< reading minus what should have been read
  double odds = 0.0;     ///< probability 0..1
};

/// What the adjustment says of one reading.
struct ReadingVerdict {
  int row = 0;
  double residual_mm = 0.0;      ///< reading minus adjusted; of a rejected reading: against the others
  double redundancy = 0.0;       ///< share of an error in this reading that shows in its residual, 0..1
  std::optional<double> w;       ///< standardised residual (Baarda); none if redundancy < 0.01
  std::optional<double> mdb_mm;  ///< smallest error found with 80 % power at alpha 0.1 %; none likewise
  bool rejected = false;         ///< left out of the adjustment, kept in the record
  std::optional<Slip> slip;      ///< only for readings under suspicion
};

/// One unknown of the tape or the corner, with its 1-sigma.
struct TapeScale {
  std::string tape;
  double scale = 1.0;  ///< reading / true length
  double sigma = 0.0;
};
struct TapeZero {
  std::string set_up;    ///< "tape 1 along", "A run", ...
  double zero_mm = 0.0;  ///< true length minus reading
  double sigma_mm = 0.0;
};

/// A reading worth taking, and the mm by which it shrinks the largest 95 % half axis of any hole, the
/// readings listed before it being taken too.
struct NextReading {
  ReadingKind kind = ReadingKind::kAlong;
  HoleId from;
  HoleId to;
  double gain_mm = 0.0;
};

/// Holes that fit the readings just as well mirrored in the line of two others, and the reading that decides.
struct MirrorDoubt {
  std::vector<HoleId> holes;
  HoleId line_from;
  HoleId line_to;
  std::string remedy;
};

struct SurveyResult {
  MeasuredFace face;         ///< covariance over all holes, in order of first mention in the file
  bool shape_only = false;   ///< no datum: placed by convention, covariance of the shape alone
  bool partly_free = false;  ///< a shift or turn is not tied: said in `notes`
  int dof = 0;
  double chi2 = 0.0;         ///< of the readings kept
  double chi2_p = 1.0;       ///< chance of a larger one; 1 when dof is 0
  double chi2_before = 0.0;  ///< of all readings
  int dof_before = 0;
  std::vector<ReadingVerdict> readings;  ///< one a data row, in order
  /// Rows that cannot be told apart (w correlate above 0.95): an error in one of them looks like one in
  /// another.
  std::vector<std::vector<int>> together;
  /// Of these, the groups that hold a blunder: all set aside where the rest still fixes every hole, else all
  /// kept.
  std::vector<std::vector<int>> suspect_groups;
  std::vector<int> unchecked;  ///< rows with redundancy < 0.01
  std::vector<NextReading> next;
  double square_rad = 0.0;  ///< corner angle minus 90 degrees
  double square_sigma_rad = 0.0;
  std::vector<TapeScale> scales;
  std::vector<TapeZero> zeros;
  std::vector<MirrorDoubt> mirror_doubts;
  std::vector<std::string> notes;  ///< plain sentences for the reader
};

/// Settings with the values the trade gets; change them to study the method.
struct SurveyOptions {
  /// Test each reading, set blunders aside, explain them. Off: one adjustment of all readings.
  bool look_for_blunders = true;
  /// How many next readings to propose; 0 for none.
  int next_count = 5;
  /// Covariance over all holes, whose size is the square of the number of holes, and with it the groups of
  /// rows that cannot be told apart though nothing is wrong with them. Off: each hole's own covariance alone
  /// (a net without a datum keeps it on).
  bool full_covariance = true;
};

inline constexpr double kCriticalW = 3.29;            ///< two-sided 0.1 % of the normal distribution
inline constexpr double kDelta0 = 4.132;              ///< alpha 0.1 %, power 80 %
inline constexpr double kLeastRedundancy = 0.01;      ///< below, nothing checks the reading
inline constexpr double kTogetherCorrelation = 0.95;  ///< above, two w cannot be told apart

/// Adjusts one face. Problems when a hole is not determined: one for each group of holes, with the reading
/// that would fix it. Same input, same digits.
Result<SurveyResult> adjust(const Readings& readings, const SurveyOptions& options = {});

namespace codes {
inline constexpr Code kSurveyUndetermined{540};   ///< a hole that the readings do not fix
inline constexpr Code kSurveyNoConvergence{541};  ///< readings too contradictory to adjust
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <map>
#include <string>
#include <vector>

#include "fairhole/survey/readings.h"

namespace fairhole::survey_detail {

/// What one number of the state stands for.
enum class ParamKind {
  kX,
  kY,
  kDiameter,
  kOvalCos,
  kOvalSin,
  kCommonDiameter,
  kScale,
  kZeroX,
  kZeroY,
  kSquare
};

struct Param {
  ParamKind kind;
  int hole = -1;       // of coordinates and diameters
  bool fixed = false;  // held at its start value: known exactly, pinned as gauge, or not observable
  double start = 0.0;
  std::string name;  // of tapes and set-ups
};

struct Partial {
  int param;
  double value;
};

/// One observation: a reading, or what is known beforehand of a parameter (`reading` -1 and `prior` filled).
struct Observation {
  int reading = -1;
  double observed = 0.0;
  double sigma = 1.0;
  std::vector<Partial> prior;
  bool active = true;  // false: rejected
};

/// Value and partial derivatives of an observation at a state.
struct Equation {
  double value = 0.0;
  std::vector<Partial> partials;
};

/// The holes of a reading, by number; -1 where there is none.
struct ReadingHoles {
  int from = -1;
  int to = -1;
  int line_end = -1;
};

/// Which parameters a hole has; -1 for none. Coordinates of hole h are 2h and 2h + 1.
struct HoleParams {
  int diameter = -1;
  int oval_cos = -1;
  int oval_sin = -1;
};

/// The unknowns and observations of one readings file. The model (docs/survey.md):
///   along       = (1 + k) (x + y tan s) - zero       edge kinds: -+ half the width along the reading's
///   direction across      = (1 + k) y - zero run         = (1 + k) x - zero                    run-across
///   likewise with y centres     = (1 + k) |p_to - p_from|             edge kinds: +- half widths along the
///   line off-line    = (1 + k) (perpendicular offset) dia         = d + a cos 2t + b sin 2t             in
///   direction t; d alone without a direction
/// with the tape's scale k, the set-up's zero, the corner's excess s, and an oval hole's width in direction
/// t.
class Model {
 public:
  explicit Model(const Readings& readings);

  int hole_count() const { return static_cast<int>(hole_ids.size()); }
  static int x_of(int hole) { return 2 * hole; }
  static int y_of(int hole) { return 2 * hole + 1; }
  int hole(const HoleId& id) const { return hole_index.at(id); }
  const Reading& reading(const Observation& o) const {
    return readings->rows[static_cast<std::size_t>(o.reading)];
  }

  /// Value and partials of observation `o`. Fixed parameters have their partials too.
  void evaluate(const Observation& o, const Eigen::VectorXd& state, Equation& out) const;
  /// The same for a reading of the file or one that is only thought of.
  void evaluate_reading(const Reading& r, const Eigen::VectorXd& state, Equation& out) const;

  ReadingHoles holes_of(const Reading& r) const;

  const Readings* readings;
  std::vector<HoleId> hole_ids;  // in order of first mention
  std::map<HoleId, int> hole_index;
  std::vector<ReadingHoles> reading_holes;
  std::vector<HoleParams> hole_params;
  std::vector<Param> params;
  std::vector<Observation> observations;  // those of the readings first, in order, but for exactly known ones
  std::vector<int> observation_of_reading;               // -1: held exactly
  std::vector<int> scale_param;                          // per tape
  std::map<std::pair<std::string, bool>, int> run_zero;  // (set-up, across?)
  std::map<std::pair<int, bool>, int> edge_zero;         // (tape, across?)
  int square_param = -1;
  int common_diameter_param = -1;

 private:
  void evaluate_with(const Reading& r, const ReadingHoles& holes, const Eigen::VectorXd& state,
                     Equation& out) const;
  void number_holes();
  void add_diameters();
  void add_tapes();
  void add_corner();
  void add_observations();
  int add_param(ParamKind kind, int hole, double start, std::string name = {});
  void add_prior(std::vector<Partial> combination, double mean, double sigma);
};

bool is_along(ReadingKind kind);   ///< along and its rim kinds
bool is_across(ReadingKind kind);  ///< across and its rim kinds
bool is_distance(ReadingKind kind);
bool is_rim(ReadingKind kind);  ///< a hole's width enters
/// Sign of the half width of `from` and of `to` in a reading: -1, 0 or +1.
std::array<int, 2> rim_signs(ReadingKind kind);

/// The upper middle one of at least one value.
double median(std::vector<double> values);

/// An oval's longest and shortest width differ by twice an amplitude whose components have this prior sigma.
inline constexpr double kOvalSigmaMm = 1.0;
/// Holes nobody measured across are of one common, unknown size, each within this sigma of it.
inline constexpr double kCommonDiameterSigmaMm = 0.75;
/// Two caliper directions closer than this show no oval.
inline constexpr double kLeastOvalAngleRad = 0.26;  // 15 degrees

}  // namespace fairhole::survey_detail

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fasteners/group.h"
#include "fairhole/fits/iso286.h"
#include "fairhole/pattern/hole.h"

/// The drilled plate measured again, against its plan: each hole conforming, not conforming, or cannot say
/// with this measurement. mm, plate frame.
///
/// Decision rule (ISO 14253-1: the uncertainty counts against whoever claims). The true place of a hole is
/// not known, only an ellipse about the measured one. *Conforming* is claimed when the 2-sigma ellipse lies
/// wholly inside the hole's position zone and the diameter keeps 2 sigma off both limits: a hole that is out
/// in either is then passed with a chance of at most 2.3 %. *Not conforming* is claimed when the ellipse of
/// 2.72 sigma (97.5 % of a plane normal error) lies wholly outside, or the diameter is 2 sigma beyond a
/// limit. All else: cannot say. A pilot must moreover lie within its largest circle about the planned centre,
/// so that the finishing tool cuts all round: the zone of a wide one is half of what its diameter leaves of
/// that, the diameter taken 2 sigma to whichever side weakens the claim.
namespace fairhole {

enum class Stage { kPilot, kFinished };
const char* stage_name(Stage stage);  ///< "pilot", "finished"

enum class Verdict { kConforming, kNotConforming, kCannotSay };
const char* verdict_name(Verdict verdict);  ///< "conforming", "not-conforming", "cannot-say"

struct HoleLimits {
  double zone_mm = 0.0;  ///< radius about the planned centre
  double min_mm = 0.0, max_mm = 0.0;
};

/// An old hole that the new one is to clean up or meet.
struct MatingHole {
  std::string part;
  HoleId hole;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  std::optional<double> diameter_mm;
  bool reamed = false;  ///< to the new hole's finish diameter; else it stays as it is
};

struct PlannedHole {
  HoleId id;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  double finish_mm = 0.0;
  std::optional<HoleLimits> pilot;  ///< none: no pilot; it is drilled to its finish at once
  double pilot_mm = 0.0;            ///< its drill
  HoleLimits finished;
  std::string mark;  ///< of its fastener on the schedule; may be empty
  std::string fit;   ///< of its fastener, "H7/k6"; empty where the shank need not fill the hole
  std::vector<MatingHole> mates;
};

struct PlannedPlate {
  std::string name;
  std::vector<PlannedHole> holes;  ///< those that are drilled
};

enum class MeasuredIn {
  kDatum,  ///< in the plate's own frame, from its datum edges
  kFree    ///< in any frame of the same hand: laid on the plan by its own holes
};

struct InspectionOptions {
  std::optional<Stage> stage;  ///< none: told from the diameters
  MeasuredIn measured_in = MeasuredIn::kDatum;
  double turning_mm = 0.01;  ///< band the lathe holds on a fitted shank
};

struct HoleVerdict {
  HoleId id;
  HoleId measured_as;  ///< its name in the measured file; empty: not measured
  Eigen::Vector2d planned_mm = Eigen::Vector2d::Zero();
  std::optional<Eigen::Vector2d> offset_mm;  ///< measured less planned
  Eigen::Matrix2d offset_cov_mm2 = Eigen::Matrix2d::Zero();
  std::optional<double> diameter_mm;
  double diameter_sigma_mm = 0.0;
  HoleLimits limits;
  Verdict position = Verdict::kCannotSay, diameter = Verdict::kCannotSay, verdict = Verdict::kCannotSay;
  std::string remedy;  ///< sentences; empty where nothing is to be done
  /// Finished, fitted, measured well enough: limits of the shank for this very bore.
  std::optional<SizeLimits> shank;
};

/// Final shanks of one mark that share a size.
struct FinalShank {
  std::string mark;
  std::vector<HoleId> holes;
  SizeLimits shank;
};

struct Inspection {
  std::string plate;
  Stage stage = Stage::kFinished;
  std::vector<HoleVerdict> holes;  ///< in the order of the plan
  std::vector<HoleId> unknown;     ///< measured holes that the plan does not have
  std::vector<FinalShank>
      shanks;  ///< what is finer than the lathe hole by hole; the rest in the fewest sizes
  std::vector<fasteners::GroupingChoice> trade_off;
  std::vector<std::string> notes;
};

/// Ids that the plan knows decide which hole is which. Where fewer than two agree, the holes are registered
/// to the plan by their places. Measured free, shift and turn are those of least squares over all pairs, each
/// counting alike, so that "offset" means the same for the true plate as for the measured one. Problems:
/// kInspectNothing (no hole in common), kInspectFree (fewer than 3 pairs to lay it on the plan by), those of
/// Registrar.
Result<Inspection> inspect(const PlannedPlate& plan, const MeasuredFace& measured,
                           const InspectionOptions& options = {});

/// Position against a zone, diameter against limits: the rule above.
Verdict position_verdict(const Eigen::Vector2d& offset_mm, const Eigen::Matrix2d& cov_mm2, double zone_mm);
Verdict diameter_verdict(double diameter_mm, double sigma_mm, double min_mm, double max_mm);

namespace codes {
inline constexpr Code kInspectNothing{583};  ///< no measured hole is one of the plan's
inline constexpr Code kInspectFree{584};     ///< too few holes to lay the plate on the plan by
}  // namespace codes

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"

/// What was decided: pure data, the input of layout and report.
namespace fairhole {

enum class Method { kTransfer, kOpenOut, kClear, kBush, kPlug, kDrillToDrawing, kLeaveOut, kUndecided };
const char* method_name(
    Method method);  ///< "transfer", "open-out", "clear", "bush", "plug", "drill-to-drawing", ...

enum class State { kSettled, kUndecided, kLookAgain, kPinned };
const char* state_name(State state);  ///< "settled", "undecided", "look again", "pinned"

/// Where a hole gets its finish diameter.
enum class Finish {
  kBench,    ///< drilled to size on the bench
  kInPlace,  ///< piloted on the bench, reamed or drilled through the parts clamped and bolted in place
  kNone      ///< left as it is
};

struct LayerPlan {
  std::string part;  ///< empty for the new plate
  std::string face;
  std::string joint;
  HoleId hole;  ///< empty for the new plate
  bool new_plate = false;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();  ///< old centre in the plate frame, part at its seat
  std::optional<double> found_diameter_mm;
  double ovality_mm = 0.0;
  double ovality_axis_rad = 0.0;
  Eigen::Matrix2d centre_cov_mm2 = Eigen::Matrix2d::Zero();
  double finish_diameter_mm = 0.0;
  std::optional<double> pilot_diameter_mm;  ///< only where the hole is finished in place
  std::optional<double> bush_outside_mm;    ///< of a layer with a new bush: its seat; the finish is its bore
  double thickness_mm = 0.0;
  std::string action;  ///< "ream", "drill", "leave", "bush", "plug and re-drill"
  Eigen::Vector2d misfit_mm = Eigen::Vector2d::Zero();  ///< old centre minus stack centre
  State state = State::kSettled;
};

/// The best of one way to treat a stack, taken or not: "re-drill or oversize" side by side.
struct OtherWay {
  Method method = Method::kUndecided;
  double finish_diameter_mm = 0.0;
  bool allowed = false;
  bool taken = false;
  double cost = 0.0;              ///< as if the size were the usual one of its group
  double odds_lower_bound = 0.0;  ///< analytic, seats as planned
  std::string why;                ///< what speaks for it, or what forbids it
};

struct StackPlan {
  std::string id, plate, group;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();  ///< plate frame, unrounded
  Eigen::Vector2d nominal_mm = Eigen::Vector2d::Zero();
  Method method = Method::kUndecided;
  State state = State::kUndecided;
  double finish_diameter_mm = 0.0;  ///< of the new plate's hole
  Finish finish = Finish::kBench;
  std::string fastener;  ///< "rivet-headed fitted bolt 7/8 in"
  double grip_mm = 0.0;  ///< all layers and packing
  double odds = 0.0;     ///< 0..1 that every layer cleans up or passes, for the job's way of drilling
  double odds_lower_bound = 0.0;  ///< analytic: 1 - sum of the layers' chances of failing
  double cost = 0.0;
  double margin_mm = 0.0;         ///< left over on diameter once every old hole has grown by its doubt
  double position_zone_mm = 0.0;  ///< radius about centre within which every layer still cleans up or passes
  double least_diameter_mm = 0.0, largest_diameter_mm = 0.0;  ///< limits of the finished hole
  std::string reason;                                         ///< one sentence a fitter would say
  std::string ruled_out;                                      ///< why nothing cheaper: what decided it
  std::vector<LayerPlan> layers;                              ///< the new plate (if any) first
  std::vector<OtherWay>
      ways;  ///< of a stack that is opened out, bushed or plugged: as it is, oversize, re-drill
};

/// Whether the plan puts a hole there.
bool is_drilled(const StackPlan& stack);

/// How to set one part by hand, and which two holes to drill and bolt first.
struct SeatPlan {
  std::string part, face, joint, plate;
  PlateFromFace plate_from_face;
  PlateFromFace nominal;
  double along_mm = 0.0,
         across_mm = 0.0;  ///< shift of the face's origin from its nominal seat, plate x and y
  Angle turn;              ///< counter-clockwise about the face's origin, from the nominal seat
  bool at_limit = false;
  std::string locating_a, locating_b;  ///< stack ids; empty when the joint has fewer than two holes
  Eigen::Vector2d hole_a_mm = Eigen::Vector2d::Zero(),
                  hole_b_mm =
                      Eigen::Vector2d::Zero();  ///< where the part's own holes stand there, plate frame
  double set_x_mm = 0.0, set_y_mm = 0.0;        ///< from the plate's datum edges to the face's datum corner
};

/// What a whole plan asks for, in things a fitter counts.
struct PlanCount {
  int plugs = 0;           ///< old holes plugged and drilled afresh
  int bushes = 0;          ///< old holes opened for a bush
  int opened = 0;          ///< old holes reamed larger
  int odd_sizes = 0;       ///< stacks of another size than most of their group
  int sizes = 0;           ///< different finish sizes that need a tool of their own
  int undecided = 0;       ///< stacks that nothing fits, or that wait
  double metal_cm3 = 0.0;  ///< taken from old parts
};

/// The same job under other wishes.
struct Alternative {
  std::string name;  ///< "fewest plugs"
  PlanCount count;
  double odds = 0.0;
  bool same = false;  ///< comes to the same decisions as the plan
};

struct Plan {
  std::vector<StackPlan> stacks;
  std::vector<SeatPlan> seats;
  double cost = 0.0;
  double bound = 0.0;  ///< proven lower bound of the cost
  bool proven = false;
  double odds = 0.0;        ///< that every stack of the job cleans up or passes
  double odds_sigma = 0.0;  ///< Monte Carlo standard error
  std::vector<std::string> warnings;
  std::vector<Alternative> alternatives;  ///< the plan itself first; empty when nobody asked
};

}  // namespace fairhole

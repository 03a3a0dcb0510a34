// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/fairing/joint_seats.h"
#include "fairhole/geometry/circle.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/pattern/hole.h"

/// What is to be faired: stacks of old holes over new plate, in the plate's frame. All mm.
namespace fairhole {

enum class FastenerKind { kRivet, kRivetHeadedFittedBolt, kFittedBolt, kClearanceBolt };
const char* fastener_name(FastenerKind kind);  ///< "rivet", "rivet-headed fitted bolt", ...

/// A fastener as the job asks for it and the sizes the shop can go to.
struct FastenerSpec {
  std::string name;
  FastenerKind kind = FastenerKind::kFittedBolt;
  double diameter_mm = 0.0;       ///< nominal: shank (cold rivet, bolt)
  std::vector<double> sizes_mm;   ///< finish diameters with reamer (or drill) and fastener at hand, ascending
  double clearance_mm = 1.5875;   ///< hole less shank, for rivets and clearance bolts; 0 for fitted
  double head_diameter_mm = 0.0;  ///< head or washer; 0: 1.6 diameters
  /// Outside diameters of bushes for which the tool of their seat is at hand, ascending. None: no hole is
  /// bushed.
  std::vector<double> bush_outsides_mm = {};
};

/// One old hole in a stack, standing in the plate's frame with its part at its seat.
struct OldLayer {
  std::string part;   ///< part id
  std::string face;   ///< face name
  std::string joint;  ///< joint name: the layer moves with this seat
  HoleId hole;
  Eigen::Vector2d centre_mm = Eigen::Vector2d::Zero();
  std::optional<double> diameter_mm;
  double diameter_sigma_mm = 0.0;
  double ovality_mm = 0.0;        ///< longest less shortest diameter
  double ovality_axis_rad = 0.0;  ///< plate frame
  HoleForm form = HoleForm::kThrough;
  bool measured = true;        ///< false: the drawing has it, nobody measured it (out of reach, overlooked)
  bool on_marked_face = true;  ///< lies on the plate's marked face, or on the other
  double thickness_mm = 0.0;
  bool may_be_opened = true;         ///< false: this part must not be reamed
  std::optional<double> largest_mm;  ///< largest finish diameter this layer takes
  bool fixed = false;                ///< a datum hole: carries location and must not move
  /// Half planes the finished hole and its head must stay clear of (part edges, heel fillet), plate frame:
  /// signed distance of a point p is normal . p - offset, positive inside.
  struct Bound {
    Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
    double offset_mm = 0.0;
    bool head_too = false;  ///< heel fillet, toe radius: the head or washer must clear it, not the hole alone
    std::string name;       ///< "end edge", "heel fillet"
  };
  std::vector<Bound> bounds;
  /// Chance that its place rests on a reading that is a slip, and is off by more than kSlipHarmsMm.
  double slip_probability = 0.0;
  int covariance_index = -1;  ///< rows 2k, 2k+1 of Assembly::covariance_mm2
};

/// The holes of all layers on one fastener.
struct Stack {
  std::string id;                                        ///< unique on its plate
  std::string plate;                                     ///< plate (or carrying face) name
  std::string group;                                     ///< hole group of the job
  Eigen::Vector2d nominal_mm = Eigen::Vector2d::Zero();  ///< where the drawing wants it, plate frame
  std::optional<double> nominal_diameter_mm;
  FastenerSpec fastener;
  double plate_thickness_mm = 0.0;  ///< 0 when the carrier is no new plate
  bool plate_is_new = true;
  double packing_mm = 0.0;  ///< packing and shims in the grip
  std::vector<OldLayer> layers;
  std::optional<double> pinned_finish_mm;    ///< the user's own size
  std::optional<std::string> pinned_method;  ///< the user's own method, by its name
};

/// A zone of the plate no hole may touch (weld line, stiffener), as a polygon; plate frame.
struct KeepOut {
  std::string name;
  std::vector<Eigen::Vector2d> outline_mm;
};

struct PlateShape {
  std::string name;
  std::vector<Eigen::Vector2d> outline_mm;  ///< closed, counter-clockwise
  std::vector<KeepOut> keep_outs;
  double thickness_mm = 0.0;
  bool is_new = true;
};

/// How far a seat may go from nominal: shift of the face's origin in the plate's x (along) and y (across),
/// and counter-clockwise turn. One-sided play is [-1, 2]; no play is [0, 0].
struct Play {
  double along_min_mm = 0.0, along_max_mm = 0.0;
  double across_min_mm = 0.0, across_max_mm = 0.0;
  Angle turn_min, turn_max;
};

/// Where a seated face stands: nominal seat and what registration asks for within the play.
struct SeatedFace {
  std::string part, face, joint, plate;
  PlateFromFace nominal;  ///< plate_from_face at the nominal seat
  PlateFromFace seat;     ///< plate_from_face as seated
  bool at_limit = false;  ///< the play stopped it short of what the holes ask for
  Play play = {};
  /// It stays where it is, or is held by metal that stays: its place is not set by its own holes.
  bool stays = false;
};

/// Freedoms that one face has, or several share: an angle slides along its heel with both legs, a saddle
/// moves in both plates at once, a beam is higher or lower for all that it carries.
struct Mover {
  std::string name;  ///< "near angle along its heel"
  SeatPlay play;     ///< in the mover's own directions
  struct Follower {
    std::size_t seat = 0;  ///< of Assembly::seats
    Eigen::Matrix2d plate_from_mover =
        Eigen::Matrix2d::Identity();                     ///< directions; a reflection turns the other way
    Eigen::Vector2d pivot_mm = Eigen::Vector2d::Zero();  ///< plate frame
  };
  std::vector<Follower> followers;
};

/// Two plates of opposite hands that are drilled clamped together: stacks of one id share their centre.
struct PlatePair {
  std::string a, b;
  Motion b_from_a;
};

/// A hidden slip carried to the plate: what 1 mm of it does to the old centres from row `first_row` of
/// Assembly::covariance_mm2 on.
struct AssemblySlip {
  Eigen::Index first_row = 0;
  Eigen::VectorXd per_mm;
  std::vector<HiddenSlip::Size> sizes;
};
inline constexpr double kSlipHarmsMm = 0.3;

struct Assembly {
  std::vector<PlateShape> plates;
  std::vector<SeatedFace> seats;
  std::vector<Mover> movers;  ///< what may move the seats; a seat that follows none stays
  std::vector<Stack> stacks;
  std::vector<PlatePair> pairs;
  /// Covariance of all old centres in the plate frame with their seats held (survey or photo, tilt): 2n x 2n,
  /// where n counts layers with covariance_index >= 0.
  Eigen::MatrixXd covariance_mm2;
  std::vector<AssemblySlip> slips;  ///< independent of each other; in the odds alone
};

}  // namespace fairhole

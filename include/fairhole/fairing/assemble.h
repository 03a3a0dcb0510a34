// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/registration/registration.h"

/// From registered faces to the assembly that is faired.
namespace fairhole {

/// A seat's shift and turn from nominal, as Play measures them.
struct SeatShift {
  double along_mm = 0.0, across_mm = 0.0;
  Angle turn;  ///< in (-180, 180] degrees
};
SeatShift seat_shift(const PlateFromFace& nominal, const PlateFromFace& seat);

/// The pose nearest to `asked` within the play. A turn that is cut short is taken about `pivot_mm` (face
/// frame; the middle of the holes), so that the holes as a whole stay where they ask to be; then along and
/// across are cut. Requires asked and nominal of one hand.
struct LimitedSeat {
  PlateFromFace seat;
  bool at_limit = false;
};
LimitedSeat seat_within_play(const PlateFromFace& nominal, const PlateFromFace& asked, const Play& play,
                             const Eigen::Vector2d& pivot_mm);

/// Names of a face and where it goes.
struct FacePlace {
  std::string part, face, joint, plate;
};

/// The seat a registration asks for: plate_from_pattern * pattern_from_face, cut to the play.
/// `plate_from_pattern` places the drawing's pattern on the plate. Problem: kSeatWrongHand when the
/// registered face and the nominal seat are of different hands.
Result<SeatedFace> seat_face(const FacePlace& place, const PlateFromFace& nominal,
                             const Motion& plate_from_pattern, const Registration& registration,
                             const MeasuredFace& measured, const Play& play);

/// Everything the assembly needs of one face at its seat.
struct JoinedFace {
  SeatedFace seated;
  MeasuredFace measured;
  Registration registration;
  std::vector<HiddenSlip> hidden;          ///< readings behind `measured` that may be slips
  std::map<HoleId, std::string> stack_of;  ///< pattern hole -> stack id, every pattern hole of the joint
  std::set<HoleId> absent;                 ///< pattern holes that the part is known not to have
  Surface surface = Surface::kFaying;
  bool on_marked_face = true;
  double thickness_mm = 0.0;
  bool may_be_opened = true;
  std::optional<double> largest_mm;
  std::set<HoleId> fixed;               ///< measured holes that carry location and must not move
  std::vector<OldLayer::Bound> bounds;  ///< face frame
};

struct AssembleOptions {
  /// Of a hole's axis from square to its face, 1 sigma. A hole measured on the outer surface lies up to
  /// tilt * thickness elsewhere on the faying side.
  Angle tilt_sigma = Angle::degrees(0.5);
};

/// Fills the layers of `stacks` (which come without any) and the covariance. A pattern hole without a match
/// becomes a layer that nobody measured, unless it is `absent`: then it is blank metal, to be drilled.
/// Problem: kAssembleNoStack when a stack id is not among `stacks`.
Result<Assembly> assemble(std::vector<PlateShape> plates, std::vector<Stack> stacks,
                          const std::vector<JoinedFace>& faces, const AssembleOptions& options = {});

namespace codes {
inline constexpr Code kSeatWrongHand{310};
inline constexpr Code kAssembleNoStack{311};
}  // namespace codes

}  // namespace fairhole

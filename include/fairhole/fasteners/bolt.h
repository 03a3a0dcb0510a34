// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/fasteners/head.h"
#include "fairhole/fasteners/stack.h"
#include "fairhole/fits/catalogue.h"
#include "fairhole/fits/iso286.h"

/// Bolts made for their own stack. Lengths run from the underside of the head:
///
///   head | washer | layers (grip) | washer | nut | point
///        |<---- plain shank ---->|relief|<-- thread -->|
///
/// The plain shank reaches through the last bearing layer, so that no thread and no relief lies in a bearing
/// layer or shear plane; full thread begins before the nut's face, so that the nut never bottoms on the
/// shank; and threads stand past the nut. All that for every grip within its uncertainty, and for a shank
/// turned up to `shank_over_mm` longer.
namespace fairhole::fasteners {

struct BoltRules {
  std::string thread_series = "metric";  ///< metric, BSW, BSF, UNC, UNF
  std::optional<std::string>
      thread;                    ///< "M20", "3/4 BSW"; none: the largest of the series that passes the hole
  double thread_under_mm = 0.2;  ///< that much smaller than the shank, so that it enters a reamed hole unhurt
  int threads_past_nut = 2;      ///< full threads beyond the nut, at least; the point is one pitch more
  int threads_in_reserve = 1;    ///< full threads between the nut's face and the relief, at least
  double relief_pitches = 2.0;   ///< undercut (or run-out) between shank and thread, in pitches; from memory
  double shank_over_mm = 0.2;    ///< tolerance of the shank's length, upwards
  std::string washer_series = "plain";
  std::optional<double>
      washer_mm;                   ///< thickness at the nut; none: catalogue, else as thick as the bolt needs
  bool washer_under_head = false;  ///< of the same series
  bool lock_nut = false;
};

struct BoltOrder {
  GripStack stack;
  Kind kind = Kind::kFittedBolt;  ///< any but a rivet
  double nominal_mm = 0.0;        ///< shank
  SizeLimits shank;  ///< limits of the shank (fit, or shank_for_bore); a clearance bolt's are its nominal
  /// Rivet-headed: the neighbouring rivets' head, as measured or by head_of_rivet(); snap or pan.
  std::optional<HeadSize> head;
  /// Rivet-headed: a flat milled on the head's side so far from the axis, to hold against turning.
  std::optional<double> flat_from_axis_mm;
  BoltRules rules;
};

/// A bolt off the shelf for a clearance hole: thread of 2 d + 6 mm (2 d + 12 mm over 125 mm length), or 2 d +
/// 1/4 in.
struct StockBolt {
  double length_mm = 0.0;
  double thread_from_mm = 0.0;   ///< where full thread begins under the head, at the latest
  double run_out_from_mm = 0.0;  ///< where its run-out may begin: 5 pitches before (ISO 4014, from memory)
  bool thread_in_layer = false;  ///< thread or run-out reaches into a bearing layer
};

struct BoltDesign {
  std::string stack;
  Kind kind = Kind::kFittedBolt;
  Thread thread;
  SizeLimits shank;
  Grip grip;
  HeadSize head;  ///< hexagon: diameter across flats, height
  bool hexagon = false;
  double across_corners_mm = 0.0;  ///< hexagon
  double form_radius_mm = 0.0;     ///< rivet head
  std::optional<double> flat_from_axis_mm;
  double head_washer_mm = 0.0;       ///< 0: none
  double head_washer_hole_mm = 0.0;  ///< clears the shank
  bool head_washer_made = false;     ///< the catalogue holds none
  double nut_washer_mm = 0.0;
  double nut_washer_hole_mm = 0.0;     ///< bored to clear the shank where the shank enters it
  double nut_washer_outside_mm = 0.0;  ///< twice the thread where it is made; 0: not known
  bool washer_made = false;            ///< no washer of the catalogue is thick enough: made to this thickness
  double shank_mm = 0.0;               ///< plain shank under the head, +shank_over_mm / 0
  double shank_most_mm = 0.0;          ///< longest the nut allows
  double relief_mm = 0.0;              ///< its length
  double relief_diameter_mm = 0.0;     ///< a little under the thread's core
  double thread_from_mm = 0.0;         ///< end of the relief when the shank is at its longest
  double length_mm = 0.0;              ///< under the head to the point's end, whole mm
  double nut_mm = 0.0;                 ///< nut, and lock-nut; 0 into a tapped hole
  bool into_thread = false;            ///< into a tapped hole: neither nut nor washer under it
  std::optional<StockBolt> stock;      ///< clearance bolts only
  std::vector<std::string> notes;
};

/// Problems: kBadGrip; kBadBolt for sizes that cannot be, a thread that does not pass the hole, a washer
/// stated too thin (with the thickness that would do), a flat that cuts the shank; kNotInCatalogue.
Result<BoltDesign> design_bolt(const BoltOrder& order, const Catalogue& catalogue);

namespace codes {
inline constexpr Code kBadBolt{452};  ///< a bolt that cannot be made as ordered
}  // namespace codes

}  // namespace fairhole::fasteners

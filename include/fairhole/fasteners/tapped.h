// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/fasteners/bolt.h"
#include "fairhole/fasteners/stack.h"
#include "fairhole/fits/catalogue.h"
#include "fairhole/fits/iso286.h"

/// Fitted bolts into a tapped hole of a casting or block: no nut, and the joint's face is the last shear
/// plane. So that no thread lies in it the shank reaches a little into the tapped part, whose mouth is
/// counterbored for shank and relief:
///
///   head | layers (grip) | counterbore | thread in the part ... bottom
///        |<---- plain shank --->|relief|<-- thread -->|
namespace fairhole::fasteners {

struct TappedOrder {
  GripStack stack;     ///< the layers above the tapped part, head first
  std::string thread;  ///< "M20", "3/4 BSW": as the hole is tapped
  SizeLimits shank;
  double full_thread_mm = 0.0;  ///< depth of full thread below the part's face, counterbore not taken off
  bool cast_iron = false;       ///< 1.5 diameters of thread engaged instead of 1
  double relief_pitches = 2.0;  ///< as BoltRules
  double shank_over_mm = 0.2;   ///< as BoltRules
};

struct TappedDesign {
  Thread thread;
  Grip grip;
  double shank_mm = 0.0;  ///< +shank_over_mm / 0
  double relief_mm = 0.0;
  double counterbore_mm = 0.0;           ///< depth below the part's face, at least
  double counterbore_diameter_mm = 0.0;  ///< clears the shank by 0.5 mm
  double length_mm = 0.0;                ///< under the head, whole mm
  double engaged_mm = 0.0;               ///< full thread engaged, at the least
  std::vector<std::string> notes;
};

/// Engaged: 1 diameter, 1.5 in cast iron (common practice, no source). One pitch of point; the bolt does not
/// touch the bottom, whatever the grip within its uncertainty. Problems: kBadGrip; kNotInCatalogue;
/// kBadTapped for sizes that cannot be, and for a hole too shallow, with the depth that would do.
Result<TappedDesign> design_tapped(const TappedOrder& order, const Catalogue& catalogue);

/// A hole with a thread in an old part.
struct TappedHole {
  std::string thread;           ///< "M20", "3/4 BSW"
  double full_thread_mm = 0.0;  ///< below the part's face
  bool cast_iron = false;
};
/// The same as a bolt for the lists: head and washer under it as ordered, no nut. `order.stack` holds the
/// layers above the tapped part, `order.shank` is no smaller than the thread; the thread asked for in
/// `order.rules` does not count. Problems: those of design_tapped() and of a head that cannot be.
Result<BoltDesign> design_bolt_into(const TappedHole& hole, const BoltOrder& order,
                                    const Catalogue& catalogue);

namespace codes {
inline constexpr Code kBadTapped{455};  ///< a tapped hole that cannot hold the bolt
}  // namespace codes

}  // namespace fairhole::fasteners

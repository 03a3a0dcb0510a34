// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/fasteners/net_section.h"
#include "fairhole/fasteners/resistance.h"

/// Does the changed joint make sense beside the one that stood there? Edge distances and spacing by old
/// practice and EN 1993-1-8, shear and bearing against the original fastener, section lost. A check and not a
/// design: it knows neither the load nor the metal.
namespace fairhole::fasteners {

struct CheckedFastener {
  double diameter_mm = 0.0;      ///< shank; a driven rivet fills its hole: the hole
  double ultimate_mpa = 400.0;   ///< mild steel, and S235 rivets as driven (from memory)
  bool thread_in_plane = false;  ///< then `shear_area_mm2` is the thread's
  double shear_area_mm2 = 0.0;   ///< 0: of the diameter
};

struct CheckedLayer {
  std::string part;
  double thickness_mm = 0.0;
  double ultimate_mpa = 360.0;  ///< S235; old metal may be weaker
  double hole_before_mm = 0.0;  ///< 0: there was none
  double hole_after_mm = 0.0;
  BearingPlace place;  ///< distances as they will be
};

struct CheckedStack {
  std::string id;
  CheckedFastener before, after;
  double packing_before_mm = 0.0;
  double packing_after_mm = 0.0;
  std::vector<CheckedLayer> layers;
};

struct LayerVerdict {
  std::string part;
  Bearing bearing;                      ///< after, gamma 1.25
  std::optional<double> bearing_ratio;  ///< after over before
};

/// What stands out, so that the worst of many alike can be told.
struct SenseFinding {
  std::string part;    ///< empty: the fastener itself
  std::string about;   ///< "to the end", "bearing", ...: findings alike share it
  double share = 0.0;  ///< what is there over what should be; the smaller, the worse
  std::string text;    ///< a plain sentence
};

struct SenseCheck {
  double shear_n = 0.0;      ///< one plane, after, gamma 1.25, packing reckoned in
  double shear_ratio = 0.0;  ///< after over before
  std::vector<LayerVerdict> layers;
  std::vector<SenseFinding> findings;  ///< empty: nothing stands out
  std::vector<std::string> flags;      ///< their sentences
  std::string deferral;                ///< who decides
};

/// Requires diameters and thicknesses above 0 (asserted).
SenseCheck check_stack(const CheckedStack& stack);

/// One strip of plate before and after, its load along x, its edges at `from` and `to` across.
struct CheckedStrip {
  std::string part;
  double width_mm = 0.0;
  std::vector<StripHole> before, after;
};

struct StripCheck {
  NetLine before, after;
  double lost_before_ratio = 0.0;  ///< of the full width
  double lost_after_ratio = 0.0;
  std::vector<std::string> flags;
};
/// Requires a width above 0 (asserted).
StripCheck check_strip(const CheckedStrip& strip);

}  // namespace fairhole::fasteners

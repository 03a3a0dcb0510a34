// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"

/// What an interference does: pressure, driving force, stress (Lame's thick cylinders, plane stress).
namespace fairhole {

/// Elastic constants and the stress not to exceed: src/fits/data/metals.csv (from memory where it says so).
struct Metal {
  std::string name;
  double modulus_mpa = 0.0;
  double poisson_ratio = 0.0;
  double strength_mpa = 0.0;  ///< yield; of brittle metal the tensile strength, at the low end
  bool brittle = false;       ///< cast iron: it cracks where others yield
};
std::vector<Metal> metals();  ///< steel first
/// Problem: kUnknownMetal.
Result<Metal> metal_named(const std::string& name);

/// A shank (or bush) in a part. `outside_mm` is the diameter of metal that works round the hole; for a hole
/// in a plate it is a judgement: twice the distance to the nearest edge, 3 diameters at the most, is ours.
struct PressedPair {
  double diameter_mm = 0.0;
  double outside_mm = 0.0;
  double inside_mm = 0.0;  ///< bore of a bush; 0: solid
  double length_mm = 0.0;  ///< engaged length of all layers
  Metal shaft;
  Metal hub;
  double friction_ratio = 0.12;  ///< oiled steel on steel
};

struct PressedState {
  double pressure_mpa = 0.0;
  double force_n = 0.0;            ///< to push the last of it home, full length engaged
  double hub_hoop_mpa = 0.0;       ///< tension at the hole's wall
  double hub_tresca_mpa = 0.0;     ///< hoop plus pressure: largest difference of principal stresses
  double shaft_tresca_mpa = 0.0;   ///< at the shank's surface, or at a bush's bore
  double hub_plastic_mpa = 0.0;    ///< pressure at which the hub yields right through: strength ln(Do/d)
  double shaft_plastic_mpa = 0.0;  ///< the same of the shank: its strength; of a bush: strength ln(d/Di)
  double bore_closes_mm = 0.0;     ///< a bush's bore shrinks by so much on diameter
};

/// p = delta / (d (Ko + Ki)), Ko = ((Do^2 + d^2)/(Do^2 - d^2) + nu_o)/Eo, Ki = ((d^2 + Di^2)/(d^2 - Di^2) -
/// nu_i)/Ei; force = pi d L p mu. `interference_mm` is on diameter; 0 or less gives zeros. Elastic: beyond
/// yield the true pressure is lower. Requires inside < diameter < outside, length >= 0, metals with modulus
/// above 0 (asserted).
PressedState press(const PressedPair& pair, double interference_mm);

enum class Driving { kByHand, kHammer, kPress, kGalls, kCracks };

/// What a hammer does. Our own estimate, no source: half of a 7 lb sledge's blow at 5 m/s reaches the bolt,
/// and a bolt that goes less than 1 mm a blow is stuck: 3.175 kg x (5 m/s)^2 / 2 x 0.5 / 1 mm = 20 kN.
struct HammerBlow {
  double mass_kg = 3.175;
  double speed_m_per_s = 5.0;
  double share_ratio = 0.5;
  double least_advance_mm = 1.0;
  double force_n() const;
};

struct DrivingVerdict {
  Driving kind = Driving::kByHand;
  std::string words;  ///< "drives with a hammer"
  std::string basis;  ///< the figures it rests on
};

/// By hand: no interference. May crack: the hole's wall is brittle and its hoop tension reaches the strength.
/// Will gall: one of the two yields right through (thick cylinder of Tresca metal, Hill, The Mathematical
/// Theory of Plasticity), so that nothing springs back and the surfaces scrape past each other (our own
/// limit). Press: past first yield at the wall, which the fits meant for pressing reach (H7/p6 and H7/s6,
/// at their tightest, in mild steel), or beyond the blow's force. Else by hammer.
DrivingVerdict driving(const PressedPair& pair, double interference_mm, const HammerBlow& hammer = {});

namespace codes {
inline constexpr Code kUnknownMetal{445};  ///< a metal that the list does not hold
}  // namespace codes

}  // namespace fairhole

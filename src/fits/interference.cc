// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fits/interference.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "table.h"

namespace fairhole {
namespace {

const char* shaft_word(const PressedPair& pair) { return pair.inside_mm > 0.0 ? "bush" : "shank"; }

}  // namespace

std::vector<Metal> metals() {
  static const fits::Table table(embedded::metals_csv);
  std::vector<Metal> all;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    all.push_back({table.text(row, "metal"), table.number(row, "modulus_mpa"), table.number(row, "poisson"),
                   table.number(row, "strength_mpa"), table.text(row, "brittle") == "yes"});
  }
  return all;
}

Result<Metal> metal_named(const std::string& name) {
  std::string known;
  for (const Metal& metal : metals()) {
    if (metal.name == name) return metal;
    known += (known.empty() ? "" : ", ") + metal.name;
  }
  return Problem{codes::kUnknownMetal, "", fmt::format("\"{}\" is no metal of the list", name),
                 fmt::format("write one of: {}", known)};
}

PressedState press(const PressedPair& pair, double interference_mm) {
  const double d2 = pair.diameter_mm * pair.diameter_mm;
  const double outside2 = pair.outside_mm * pair.outside_mm;
  const double inside2 = pair.inside_mm * pair.inside_mm;
  assert(inside2 < d2 && d2 < outside2 && pair.length_mm >= 0.0);
  assert(pair.shaft.modulus_mpa > 0.0 && pair.hub.modulus_mpa > 0.0);
  if (!(interference_mm > 0.0)) return {};
  const double hoop_ratio = (outside2 + d2) / (outside2 - d2);
  const double hub_per_mpa = (hoop_ratio + pair.hub.poisson_ratio) / pair.hub.modulus_mpa;
  const double shaft_per_mpa =
      ((d2 + inside2) / (d2 - inside2) - pair.shaft.poisson_ratio) / pair.shaft.modulus_mpa;

  PressedState state;
  state.pressure_mpa = interference_mm / (pair.diameter_mm * (hub_per_mpa + shaft_per_mpa));
  state.force_n =
      std::numbers::pi * pair.diameter_mm * pair.length_mm * state.pressure_mpa * pair.friction_ratio;
  state.hub_hoop_mpa = state.pressure_mpa * hoop_ratio;
  state.hub_tresca_mpa = state.hub_hoop_mpa + state.pressure_mpa;
  // Solid: the same pressure in every direction of the plane. A bush: hoop compression at its bore.
  const double bore_hoop_mpa = 2.0 * state.pressure_mpa * d2 / (d2 - inside2);
  state.shaft_tresca_mpa = pair.inside_mm > 0.0 ? bore_hoop_mpa : state.pressure_mpa;
  state.hub_plastic_mpa = pair.hub.strength_mpa * std::log(pair.outside_mm / pair.diameter_mm);
  state.shaft_plastic_mpa =
      pair.shaft.strength_mpa * (pair.inside_mm > 0.0 ? std::log(pair.diameter_mm / pair.inside_mm) : 1.0);
  state.bore_closes_mm = pair.inside_mm * bore_hoop_mpa / pair.shaft.modulus_mpa;
  return state;
}

double HammerBlow::force_n() const {
  constexpr double kMmPerM = 1000.0;
  return 0.5 * mass_kg * speed_m_per_s * speed_m_per_s * share_ratio / (least_advance_mm / kMmPerM);
}

DrivingVerdict driving(const PressedPair& pair, double interference_mm, const HammerBlow& hammer) {
  const PressedState state = press(pair, interference_mm);
  if (!(interference_mm > 0.0)) return {Driving::kByHand, "goes in by hand", "no interference"};
  const std::string figures = fmt::format(
      "pressure {:.0f} MPa, {:.1f} kN over {:.4g} mm of hole, metal {:.4g} mm across round it, friction "
      "{:.2g}",
      state.pressure_mpa, state.force_n / 1000.0, pair.length_mm, pair.outside_mm, pair.friction_ratio);
  if (pair.hub.brittle && state.hub_hoop_mpa >= pair.hub.strength_mpa) {
    return {Driving::kCracks, "may crack the hole's wall",
            fmt::format("{}; tension round the hole would reach {:.0f} MPa, and {} may break at {:.0f}",
                        figures, state.hub_hoop_mpa, pair.hub.name, pair.hub.strength_mpa)};
  }
  const bool hub_plastic = !pair.hub.brittle && state.pressure_mpa >= state.hub_plastic_mpa;
  if (hub_plastic || state.pressure_mpa >= state.shaft_plastic_mpa) {
    return {Driving::kGalls, "will gall",
            fmt::format("{}; at {:.0f} MPa the {} ({}) yields right through", figures,
                        hub_plastic ? state.hub_plastic_mpa : state.shaft_plastic_mpa,
                        hub_plastic ? "metal round the hole" : shaft_word(pair),
                        hub_plastic ? pair.hub.name : pair.shaft.name)};
  }
  const bool hub = !pair.hub.brittle && state.hub_tresca_mpa >= pair.hub.strength_mpa;
  if (hub || state.shaft_tresca_mpa >= pair.shaft.strength_mpa) {
    return {
        Driving::kPress, "needs a press",
        fmt::format("{}; the {} ({}) would reach {:.0f} MPa and yields at {:.0f}: oil it, and press it "
                    "once only",
                    figures, hub ? "hole's wall" : shaft_word(pair), hub ? pair.hub.name : pair.shaft.name,
                    hub ? state.hub_tresca_mpa : state.shaft_tresca_mpa,
                    hub ? pair.hub.strength_mpa : pair.shaft.strength_mpa)};
  }
  const bool by_hammer = state.force_n <= hammer.force_n();
  return {by_hammer ? Driving::kHammer : Driving::kPress,
          by_hammer ? "drives with a hammer" : "needs a press",
          fmt::format("{}; a {:.2g} kg hammer drives up to {:.0f} kN", figures, hammer.mass_kg,
                      hammer.force_n() / 1000.0)};
}

}  // namespace fairhole

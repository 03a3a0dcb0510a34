// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "fairhole/base/angle.h"
#include "fairhole/job/fair_case.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

Json pose_json(const std::vector<SeatMove>& moves) {
  Json out = Json::array();
  for (const SeatMove& move : moves) {
    out.push_back({{"dx", move.dx_mm}, {"dy", move.dy_mm}, {"rot_deg", degrees_of(move.turn_rad)}});
  }
  return out;
}

std::vector<std::string> exceeding(const FairCase& fair_case, const LevelChoice& choice) {
  std::vector<std::string> out;
  for (std::size_t s = 0; s < choice.level.size(); ++s) {
    if (choice.level[s] > 0) out.push_back(fair_case.stacks[s]);
  }
  return out;
}

std::string seats_text(const FairCase& fair_case, const std::vector<SeatMove>& moves) {
  std::string text;
  for (std::size_t p = 0; p < moves.size(); ++p) {
    text += fmt::format("  {:<14} x {:+.3f}  y {:+.3f} mm  turn {:+.4f} degrees\n", fair_case.parts[p],
                        moves[p].dx_mm, moves[p].dy_mm, degrees_of(moves[p].turn_rad));
  }
  return text;
}

std::string bolt_text(const FairCase& fair_case, double bolt_mm, const LevelChoice& choice) {
  const std::vector<std::string> over = exceeding(fair_case, choice);
  std::string text =
      fmt::format("Bolt {} mm: {} of {} stacks exceed it", bolt_mm, over.size(), choice.level.size());
  if (!over.empty()) text += fmt::format(" ({})", fmt::join(over, ", "));
  text += choice.proven ? "; proven least.\n"
                        : fmt::format("; at least {:.0f} must.\n", std::ceil(choice.bound - 1e-6));
  if (std::isfinite(choice.margin_mm)) {
    text += fmt::format(
        "The others can all hold with {:.3f} mm to spare; here their worst misfit is {:.3f} mm.\n",
        choice.margin_mm, choice.worst_misfit_mm);
  }
  return text + seats_text(fair_case, choice.moves);
}

}  // namespace

std::string fair_json(const FairCase& fair_case, const FairAnswer& answer) {
  Json count = Json::object();
  for (std::size_t b = 0; b < answer.of_bolt.size(); ++b) {
    const LevelChoice& choice = answer.of_bolt[b];
    const bool has_margin = std::isfinite(choice.margin_mm);
    count[fmt::format("{}", fair_case.bolts_mm[b])] = {
        {"value", exceeding(fair_case, choice).size()},
        {"pose", pose_json(choice.moves)},
        {"lower", static_cast<int>(std::ceil(choice.bound - 1e-6))},
        {"proven", choice.proven},
        {"margin", has_margin ? Json(choice.margin_mm) : Json(nullptr)},
        {"worst_misfit", has_margin ? Json(choice.worst_misfit_mm) : Json(nullptr)}};
  }
  const Json out = {{"max",
                     {{"value", answer.least.value_mm},
                      {"pose", pose_json(answer.least.moves)},
                      {"lower", answer.least.lower_mm}}},
                    {"count", count}};
  return out.dump(1) + "\n";
}

std::string fair_text(const FairCase& fair_case, const FairAnswer& answer) {
  std::string text = fmt::format(
      "Largest clean-up circle of {} stacks: {:.4f} mm; no seats within the play come below {:.4f} mm.\n",
      fair_case.stacks.size(), answer.least.value_mm, answer.least.lower_mm);
  text += seats_text(fair_case, answer.least.moves);
  for (std::size_t b = 0; b < answer.of_bolt.size(); ++b) {
    text += bolt_text(fair_case, fair_case.bolts_mm[b], answer.of_bolt[b]);
  }
  return text;
}

}  // namespace fairhole::job

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <map>

#include "fairhole/base/length.h"
#include "fairhole/report/fastener_sheets.h"
#include "words.h"

namespace fairhole {
namespace {

/// "T12" is "T" and 12; no number: -1.
std::pair<std::string, int> parted(const std::string& id) {
  std::size_t digits = id.size();
  while (digits > 0 && id[digits - 1] >= '0' && id[digits - 1] <= '9') --digits;
  constexpr std::size_t kMostDigits = 6;
  if (digits == id.size() || id.size() - digits > kMostDigits || id[digits] == '0') return {id, -1};
  return {id.substr(0, digits), std::stoi(id.substr(digits))};
}

/// "T1 to T5, T8": three or more in a row as a range.
std::string ids_words(const std::vector<std::string>& ids) {
  std::string text;
  for (std::size_t i = 0; i < ids.size();) {
    const auto [prefix, number] = parted(ids[i]);
    std::size_t last = i;
    while (number >= 0 && last + 1 < ids.size() &&
           parted(ids[last + 1]) == std::pair(prefix, number + static_cast<int>(last + 1 - i)))
      ++last;
    if (last < i + 2) last = i;
    if (!text.empty()) text += ", ";
    text += last > i ? fmt::format("{} to {}", ids[i], ids[last]) : ids[i];
    i = last + 1;
  }
  return text;
}

}  // namespace

std::string places_words(const std::vector<HolePlace>& places) {
  std::vector<std::string> plates;
  std::map<std::string, std::vector<std::string>> ids;
  for (const HolePlace& place : places) {
    if (!ids.contains(place.plate)) plates.push_back(place.plate);
    ids[place.plate].push_back(place.id);
  }
  std::string text;
  for (const std::string& plate : plates)
    text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", plate, ids_words(ids[plate]));
  return text;
}

std::string grip_words(const std::vector<fasteners::GripLayer>& layers) {
  std::string text;
  double grip_mm = 0.0;
  for (const fasteners::GripLayer& layer : layers) {
    text +=
        fmt::format("{}{} {}", text.empty() ? "" : " + ", layer.part, report::size_mm(layer.thickness_mm));
    grip_mm += layer.thickness_mm;
  }
  return fmt::format("{} = {}", text, report::size_mm(grip_mm));
}

std::string bush_places_words(const FastenerSchedule& schedule, const BushPiece& piece) {
  std::string text;
  for (const std::size_t i : piece.bushes) {
    const LayerBush& bush = schedule.bushes[i];
    const HolePlace& place = schedule.stacks[bush.stack].place;
    text += fmt::format("{}{} of {} at {}, {}", text.empty() ? "" : "; ", bush.hole, bush.part, place.plate,
                        place.id);
  }
  return text;
}

std::string bush_bore_words(const LayerBush& bush) {
  return bush.reamed && bush.design ? limits_words(bush.design->bore) : report::size_mm(bush.finish_mm);
}

std::string bush_note(const LayerBush& bush) {
  if (!bush.design) return {};
  const fasteners::BushDesign& design = *bush.design;
  return fmt::format(
      "Ream the seat to {} mm {}. Pressed in, the bore closes by {:.3f} to {:.3f} mm: {} it in place with "
      "the rest. At its tightest it {}.{}",
      report::size_mm(bush.seat_mm), bush.seat_class, design.closes_least_mm, design.closes_most_mm,
      bush.reamed ? "ream" : "drill", design.driving.words,
      design.least_interference_mm <= 0.0 ? " At its loosest it is not held: gauge the seat first." : "");
}

std::string limits_words(const SizeLimits& limits) {
  const std::int64_t most_um = limits.max_nm / 1000, least_um = (limits.min_nm + 999) / 1000;
  return fmt::format("{} to {}", format_mm(static_cast<double>(most_um) / 1e3, 3),
                     format_mm(static_cast<double>(least_um) / 1e3, 3));
}

std::string shank_words(const FastenerPiece& piece) {
  if (piece.to_own_bore) return fmt::format("{} blank, then to its bore", report::size_mm(piece.blank_mm));
  if (!piece.shank) return "";
  if (piece.kind == fasteners::Kind::kClearanceBolt) return report::size_mm(piece.shank->max_mm());
  return limits_words(*piece.shank);
}

}  // namespace fairhole

// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <utility>

#include "fairhole/survey/readings.h"

namespace fairhole {
namespace {

constexpr std::array<std::pair<ReadingKind, const char*>, 16> kNames{{
    {ReadingKind::kAlong, "along"},
    {ReadingKind::kAcross, "across"},
    {ReadingKind::kAlongNear, "along-near"},
    {ReadingKind::kAlongFar, "along-far"},
    {ReadingKind::kAcrossNear, "across-near"},
    {ReadingKind::kAcrossFar, "across-far"},
    {ReadingKind::kRun, "run"},
    {ReadingKind::kRunAcross, "run-across"},
    {ReadingKind::kCentres, "centres"},
    {ReadingKind::kNearEdges, "near-edges"},
    {ReadingKind::kFarEdges, "far-edges"},
    {ReadingKind::kSameEdges, "same-edges"},
    {ReadingKind::kOffLine, "off-line"},
    {ReadingKind::kDia, "dia"},
    {ReadingKind::kKnownX, "known-x"},
    {ReadingKind::kKnownY, "known-y"},
}};

}  // namespace

const char* kind_name(ReadingKind kind) {
  for (const auto& [value, name] : kNames) {
    if (value == kind) return name;
  }
  return "";
}

std::optional<ReadingKind> kind_from_name(std::string_view name) {
  for (const auto& [value, text] : kNames) {
    if (name == text) return value;
  }
  return std::nullopt;
}

std::optional<TapeClass> tape_class(std::string_view name) {
  // Directive 2014/32/EU, annex X (MI-008), chapter I, table 1: a, b, c by class.
  if (name == "I") return TapeClass{0.1, 0.1, 0.1};
  if (name == "II") return TapeClass{0.3, 0.2, 0.2};
  if (name == "III") return TapeClass{0.6, 0.4, 0.3};
  return std::nullopt;
}

}  // namespace fairhole
